"""securing: chains, trailer, stopping, earthquake."""

from datetime import datetime
from pathlib import Path

from transport.cli.asking import asks_for_move, show_extract

__all__ = ["command"]

PARTS = ("securing", "trailer", "stopping")


def securing(move: Path, as_of: datetime, as_json: bool, out: Path | None) -> str:
    """Run the calculation that has no weather in it, show its limit states."""
    from transport.reports.extracts import check_extract
    from transport.window.assess import calculation, plan_of

    plan = plan_of(move)
    checks = calculation(plan)
    extract = check_extract("Chains, trailer, stopping, earthquake", [checks[name] for name in PARTS], plan.road)
    quake = checks["seismic"].attrs
    said = (quake["level_sentence"], quake["chance_sentence"])
    record = extract.record | {"earthquake": list(said)}
    full = extract._replace(sentences=(*said, *extract.sentences), record=record)
    show_extract(full, "securing/1", as_json=as_json, out=out)
    return "nothing to decide"


command = asks_for_move(
    "Chains, trailer, stopping, earthquake: utilisation in still air and gust limit, by load case and section.\n\n"
    "With --out DIR it writes securing.json."
)(securing)
