"""speedup: how much faster the wind is on a stretch than its forecast, by mast campaigns."""

from datetime import datetime
from pathlib import Path

import click

from transport.cli.asking import asks_for_move, emit_json

__all__ = ["command"]


def speedup(move: Path, as_of: datetime, as_json: bool, out: Path | None) -> str:
    """Read the campaigns, measure, write speed_up.json, show."""
    from shared.learned import text_of
    from shared.output import write_atomic
    from transport.reports import terminal
    from transport.reports.speed_ups import speed_up_extract
    from transport.window.campaigns import speed_ups_of

    found = speed_ups_of(move, as_of)
    path = (out or Path()) / "speed_up.json"
    write_atomic(path, text_of(found).encode())
    click.echo(f"wrote {path}", err=True)
    if as_json:
        emit_json(found.told())
    else:
        terminal.show(terminal.Part(speed_up_extract(found.told())))
    return "nothing to decide"


command = asks_for_move(
    "How much faster the wind is on a stretch with relief than its forecast, measured by a mast campaign.\n\n"
    "It writes speed_up.json into --out DIR (default: the folder you are in), for 'measured' of [[site.relief]]."
)(speedup)
