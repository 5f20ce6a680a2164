"""cover: the cover's limits by cause."""

from datetime import datetime
from pathlib import Path

from transport.cli.asking import asks_for_move, show_extract

__all__ = ["command"]


def cover(move: Path, as_of: datetime, as_json: bool, out: Path | None) -> str:
    """Run the calculation that has no weather in it, show the limits of the cover."""
    from transport.reports.extracts import check_extract
    from transport.window.assess import calculation, plan_of

    plan = plan_of(move)
    data = calculation(plan)["cover"]
    extract = check_extract("Cover", [data], plan.road)
    until = data.attrs["tension_valid_until"]
    record = extract.record | {"tension_valid_until": until}
    said = (f"the measured tension is believed until {until}", *extract.sentences)
    show_extract(extract._replace(sentences=said, record=record), "cover/1", as_json=as_json, out=out)
    return "nothing to decide"


command = asks_for_move("The cover's limits on the gust, by cause.\n\nWith --out DIR it writes cover.json.")(cover)
