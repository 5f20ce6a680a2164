"""route: the survey as stations."""

from datetime import datetime
from pathlib import Path

from transport.cli.asking import asks_for_move, show_extract

__all__ = ["command"]


def route(move: Path, as_of: datetime, as_json: bool, out: Path | None) -> str:
    """Read the move and its survey, show the road and whether the trailer fits it."""
    from transport.reports.extracts import road_extract
    from transport.window.assess import plan_of
    from transport.window.checks import fit_of

    plan = plan_of(move)
    show_extract(road_extract(plan.road, fit_of(plan.move, plan.road)), "route/1", as_json=as_json, out=out)
    return "nothing to decide"


command = asks_for_move(
    "Survey to stations: sections with grade, bends, crossfall and width, and whether the trailer fits.\n\n"
    "With --out DIR it writes route.json."
)(route)
