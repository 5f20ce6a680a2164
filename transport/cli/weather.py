"""weather: what every source says, and what the load would feel of it."""

from datetime import datetime
from pathlib import Path

import click

from transport.cli.asking import asks_for_move, show_extract

__all__ = ["command"]


def weather(move: Path, as_of: datetime, as_json: bool, out: Path | None, offline: bool) -> str:
    """Read the feeds, carry them to the load, show them; undecided when a source was refused."""
    from shared.output import write_atomic
    from transport.reports.weather_page import weather_page
    from transport.reports.weather_part import weather_extract
    from transport.window.ahead import ahead

    seen = ahead(move, as_of=as_of, offline=offline)
    if out:
        path = out / "weather.html"
        write_atomic(path, weather_page(seen).encode())
        click.echo(f"wrote {path}", err=True)
    extract = weather_extract(seen)
    show_extract(extract, "weather/1", as_json=as_json, out=out)
    return "undecided" if extract.record["refusals"] else "nothing to decide"


command = asks_for_move(
    "What every source of weather says: what was read, derived and refused, and why; the gust at the load hour by hour."
    "\n\nWith --out DIR it writes weather.json and weather.html.",
    reads_feeds=True,
)(weather)
