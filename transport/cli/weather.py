"""weather: what the feed holds."""

from datetime import datetime
from pathlib import Path

from transport.cli.asking import asks_for_move, show_extract

__all__ = ["command"]


def weather(move: Path, as_of: datetime, as_json: bool, out: Path | None, offline: bool) -> str:
    """Read the feeds, carry them to the load, show them; undecided when the forecast was refused."""
    from transport.reports.extracts import weather_extract
    from transport.window.assess import plan_of, weather_of
    from transport.window.disagreement import disagreement
    from transport.window.feeds import feeds_of

    plan = plan_of(move)
    ahead = weather_of(plan, feeds_of(plan.move, plan.folder, plan.road, offline=offline), as_of)
    differing = disagreement(ahead.forecast, ahead.opinions) if ahead.opinions else None
    extract = weather_extract(ahead.forecast, plan.move.site.zone, ahead.opinions, ahead.observations, differing)
    show_extract(extract, "weather/1", as_json=as_json, out=out)
    return "undecided" if extract.record["refusals"] else "nothing to decide"


command = asks_for_move(
    "What the feed holds, what was refused and why, and the gust at the load hour by hour."
    "\n\nWith --out DIR it writes weather.json.",
    reads_feeds=True,
)(weather)
