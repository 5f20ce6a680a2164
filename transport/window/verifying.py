"""The job of `glasshaul verify`: archive and mast to pairs, the limit of the move, its rule, and what came of it."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import numpy as np
import xarray as xr

from shared.arrays import Array
from shared.tables import ledger
from shared.verification import Verification
from transport.weather.skill.applying import Ground, allowance_over_time_mps, applied
from transport.weather.skill.at_load import Learned
from transport.weather.skill.fitness import differing
from transport.window.assess import calculation, plan_of, provenance_of
from transport.window.inputs import Move
from transport.window.learning import pairs_of_move
from transport.window.outlook import learned_of
from transport.window.rose import rose
from transport.window.verification import Archived, defaults_taken, least_limit_mps, limit_told, verified
from transport.window.warned import control_of

__all__ = ["archived_of", "verify"]


def verify(path: Path, *, as_of: datetime) -> Verification:
    """Score the forecasts of a move's archive against its mast, as known at one moment.

    Errors: InputError for a move without an archive, for files that cannot be read, for no limit and no threshold.
    """
    with ledger() as used:
        plan = plan_of(path)
        archived, files = archived_of(plan.move, plan.folder, as_of)
        checks = calculation(plan)
        full = rose(check for check in checks.values() if "gust_limit_mps" in check)
        found = verified(plan.move, archived, least_limit_mps(full, plan.move))
        said = (*limit_told(full, plan.move), *found.remarks)
    facts = provenance_of(path, plan.move, used, as_of, files)
    return Verification(
        move=plan.move.model_dump(mode="json"),
        provenance=replace(facts, defaults=defaults_taken(plan.move)),
        **found._replace(remarks=said)._asdict(),
    )


def archived_of(move: Move, folder: Path, as_of: datetime) -> tuple[Archived, tuple[str, ...]]:
    """The pairs of the archive, what the calibration of the move makes of them, and the files they come from.

    A calibration that does not fit the archive is not scored, and that is said.
    """
    pairs, files = pairs_of_move(move, folder, as_of)
    learned = learned_of(move, folder)
    if learned is None:
        return Archived(pairs), files
    facts = pairs.attrs, move.site, move.weather.maximum_step_h, float(pairs.attrs["model_altitude_m"])
    if unlike := tuple(differing(learned.calibration.basis, *facts)):
        return Archived(pairs, remarks=(f"The calibration is not scored: {'; '.join(unlike)}.",)), files
    said = tuple(_said(learned, pairs))
    if learned.chance_ratio is not None:
        return Archived(pairs, pairs, _allowance_mps(learned, pairs, move), said), files
    members = _calibrated_mps(learned, pairs)
    return Archived(pairs, pairs.assign(forecast_gust_mps=(("case", "member"), members)), remarks=said), files


def _calibrated_mps(learned: Learned, pairs: xr.Dataset) -> Array:
    """Calibrated members at the mast, (case, member), as the load of a move would get them beside it."""
    gust = pairs["forecast_gust_mps"].transpose("member", "case").values[None]
    step_h = (pairs["time"].values - pairs["time_start"].values) / np.timedelta64(1, "h")
    ground = Ground(np.ones(1), np.array([learned.mast_in_the_open]))
    direction, lead_h = pairs["wind_from_deg"].values[None], pairs["lead_h"].values
    found = applied(learned.calibration, gust, gust, direction, lead_h, step_h, ground)
    return np.asarray(found.gust_mps[0].T)


def _allowance_mps(learned: Learned, pairs: xr.Dataset, move: Move) -> Array:
    """Allowance for the error of the control member, (case,)."""
    assert learned.chance_ratio is not None  # noqa: S101  held by the caller
    members = pairs["forecast_gust_mps"].transpose("case", "member").values
    control = control_of(members, pairs["member"].values, move.decision)
    lead_h = pairs["lead_h"].values
    found = allowance_over_time_mps(learned.calibration, control[None], lead_h, learned.chance_ratio)
    return np.asarray(found[0])


def _said(learned: Learned, pairs: xr.Dataset) -> Iterator[str]:
    made = learned.calibration
    day = (pairs["time"].values - np.timedelta64(1, "s")).astype("datetime64[D]")
    seen = (day >= np.datetime64(made.trained_from)) & (day <= np.datetime64(made.trained_until))
    if seen.any():
        yield (
            f"The calibration was fitted to the days from {made.trained_from} to {made.trained_until}, in which "
            f"{int(seen.sum())} of {seen.size} pairs lie: its scores here flatter; {learned.file} holds those of days "
            "left out."
        )
    if not learned.mast_in_the_open:
        yield "The mast does not stand in the open: the calibration may raise a gust and never lower it."
    if learned.chance_ratio is not None:
        yield "Raw is the control member against the whole limit, calibrated against the limit less the fitted error."
