"""The weather of a move alone: every source read, gated, compared and carried to the load, with no limit beside it."""

from datetime import datetime
from pathlib import Path

from shared.assessment import Ahead
from shared.tables import ledger
from transport.window.assess import plan_of, provenance_of, weather_of
from transport.window.disagreement import disagreement
from transport.window.feeds import feeds_of

__all__ = ["ahead"]


def ahead(path: Path, *, as_of: datetime, offline: bool = False) -> Ahead:
    """The weather that the move of a file would meet, as known at one moment.

    Errors: InputError for a move, a road or a feed that cannot be read.
    """
    with ledger() as used:
        plan = plan_of(path)
        seen = weather_of(plan, feeds_of(plan.move, plan.folder, plan.road, offline=offline), as_of)
    return Ahead(
        move=plan.move.model_dump(mode="json"),
        forecast=seen.forecast,
        opinions=seen.opinions,
        observations=seen.observations,
        disagreement=disagreement(seen.forecast, seen.opinions),
        provenance=provenance_of(path, plan.move, used, as_of),
        remarks=seen.remarks,
    )
