"""securing: chains, trailer, stopping, earthquake."""

from datetime import datetime
from pathlib import Path

from transport.cli.asking import asks_for_move, show_extract

__all__ = ["command"]


def securing(move: Path, as_of: datetime, as_json: bool, out: Path | None) -> str:
    """Run the calculation that has no weather in it, show its verdicts and resistances."""
    from shared.tables import ledger
    from transport.reports.securing_part import securing_extract
    from transport.window.assess import calculation, plan_of, proposed, provenance_of, remarks_of

    with ledger() as used:
        plan = plan_of(move)
        checks = calculation(plan)
        offered = proposed(plan, checks)
    facts = provenance_of(move, plan.move, used, as_of)
    said = remarks_of(plan.move, as_of)
    extract = securing_extract(checks, plan.road, plan.move.model_dump(mode="json"), facts, offered, said)
    show_extract(extract, "securing/1", as_json=as_json, out=out)
    return str(extract.record["verdict"])


command = asks_for_move(
    "Chains, trailer, stopping, earthquake: verdict by load case, codes, usable resistance, losses, movement.\n\n"
    "With --out DIR it writes securing.json, with every number of the calculation sheet that has no weather in it."
)(securing)
