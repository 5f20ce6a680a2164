"""How much the forecasts of the archive have been worth for this move: its own limit, its own rule, its own mast."""

from collections.abc import Iterator
from datetime import UTC, datetime
from typing import NamedTuple

import numpy as np
import xarray as xr

from shared.errors import Fault, InputError
from shared.inputs import Default, defaults_of
from shared.provenance import Provenance
from shared.tables import figure
from shared.verification import Verification
from transport.weather.skill.cases import Cases, cases_of
from transport.weather.skill.inputs import VerificationInputs
from transport.weather.skill.issued import Issued, from_members
from transport.weather.skill.setting import COST_RATIOS, Setting
from transport.weather.skill.verification import verification
from transport.window.inputs import Decision, Move
from transport.window.warned import by_factor, by_members, control_of

__all__ = ["Archived", "defaults_taken", "least_limit_mps", "verified"]

FIELD = "weather.verification"


class Archived(NamedTuple):
    """Pairs of the archive, the same with calibrated members (None without a calibration), and what to say of them."""

    pairs: xr.Dataset
    calibrated: xr.Dataset | None
    remarks: tuple[str, ...] = ()


def verified(
    move: Move, archived: Archived, limit_mps: float, facts: Provenance, remarks: tuple[str, ...] = ()
) -> Verification:
    """Score the archive. The event is a gust above the least limit of the move, and above each threshold it states.

    Errors: InputError where neither a limit nor a threshold is known.
    """
    given = move.weather.verification or VerificationInputs()
    pairs, later = _known_at(archived.pairs, facts.as_of)
    cases, known = cases_of(pairs)
    members = {"raw": pairs, "calibrated": archived.calibrated}
    issued = {
        kind: _issued(_known_at(data, facts.as_of)[0].isel(case=known), cases, move.decision)
        for kind, data in members.items()
        if data is not None
    }
    scores = verification(pairs, cases, issued, _setting(given, move.decision, limit_mps))
    said = (*_said(scores, limit_mps, later), *archived.remarks, *remarks)
    stake = given.stake.currency if given.stake else ""
    return Verification(move.model_dump(mode="json"), scores, limit_mps, stake, said, facts)


def _issued(pairs: xr.Dataset, cases: Cases, decision: Decision) -> Issued:
    members = pairs["forecast_gust_mps"].transpose("case", "member").values.astype(float)
    if decision.rule == "ensemble":
        return from_members(members, cases.observed_mps, by_members(members, decision))
    control = control_of(members, pairs["member"].values if "member" in pairs.coords else None, decision)
    return from_members(members, cases.observed_mps, by_factor(control, decision.alpha_ratio or 1.0))


def defaults_taken(move: Move) -> tuple[Default, ...]:
    """What the move did not give; a table that it does not have at all takes its defaults as well."""
    absent = () if move.weather.verification else defaults_of(VerificationInputs(), f"{FIELD}.")
    return (*defaults_of(move), *absent)


def least_limit_mps(rose: xr.Dataset, move: Move) -> float:
    """The least gust limit above 0 of the road and of the stages; infinite where wind limits nothing, NaN if unknown.

    A place that is closed whatever the wind has no limit that a forecast could pass.
    """
    road = rose["gust_limit_mps"].values
    stages = [stage.gust_limit_mps for stage in move.stage if stage.gust_limit_mps is not None]
    if np.isnan(road).any():
        return float("nan")
    return float(np.min(np.array([*road[road > 0.0].ravel(), *stages]), initial=np.inf))


def _setting(given: VerificationInputs, decision: Decision, limit_mps: float) -> Setting:
    limits = (limit_mps,) if np.isfinite(limit_mps) else ()
    thresholds = tuple(sorted({*limits, *given.thresholds_mps}))
    if not thresholds:
        message = "the move has no gust limit that is known; state the gusts that count as events"
        raise InputError(Fault("", f"{FIELD}.thresholds_mps", message))
    setting = Setting(
        thresholds_mps=thresholds,
        lead_edges_h=given.lead_edges_h,
        least_pairs_count=figure("skill_least_pairs_count"),
        gap_h=figure("skill_spell_gap_h"),
        confidence_ratio=figure("skill_confidence_ratio"),
        cap_ratio=decision.acceptable_chance_ratio or 1.0,
    )
    if given.stake is None:
        return setting
    stake = given.stake
    ratios = np.unique(np.append(COST_RATIOS, stake.cost / stake.loss))
    cap = min(stake.cap_ratio, setting.cap_ratio)
    return setting._replace(stake=(stake.cost, stake.loss), cost_ratios=ratios, cap_ratio=cap)


def _known_at(pairs: xr.Dataset, as_of: datetime) -> tuple[xr.Dataset, int]:
    """Pairs whose step had ended at the moment that counts, and how many had not."""
    moment = np.datetime64(as_of.astimezone(UTC).replace(tzinfo=None), "ns")
    later = pairs["time"].values > moment
    return pairs.isel(case=~later), int(later.sum())


def _said(scores: xr.Dataset, limit_mps: float, later: int) -> Iterator[str]:
    facts = scores.attrs
    if facts["scored_count"] < facts["least_pairs_count"]:
        yield (
            f"Too few pairs: {facts['scored_count']} can be scored, at least {facts['least_pairs_count']} are needed; "
            "counts are told, scores are not."
        )
    yield (
        "Hours of one storm are not independent: what counts as proof are spells of weather, parted by more than "
        f"{facts['spell_gap_h']:g} h without the event, and days."
    )
    yield "The mast is not the road: a gust that passes the limit there says how far the forecast can be believed."
    if later:
        yield f"{later} pairs lie after the moment that counts and are not used."
    if np.isnan(limit_mps):
        yield "The least gust limit of the move is not known: only the thresholds that the move states are scored."
    if np.isposinf(limit_mps):
        yield "Wind limits the move nowhere: only the thresholds that the move states are scored."
    if facts["cap_ratio"] >= 1.0:
        yield "No chance is stated above which nobody goes: values by cost and loss have no cap."
