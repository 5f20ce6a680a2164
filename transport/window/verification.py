"""How much the forecasts of the archive have been worth for this move: its own limit, its own rule, its own mast."""

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
import xarray as xr

from shared.arrays import Array
from shared.errors import Fault, InputError
from shared.inputs import Default, defaults_of
from shared.tables import figure
from transport.weather.skill.cases import Cases, cases_of
from transport.weather.skill.inputs import VerificationInputs
from transport.weather.skill.issued import Issued, from_members
from transport.weather.skill.setting import COST_RATIOS, Setting
from transport.weather.skill.verification import verification
from transport.window.inputs import Decision, Move
from transport.window.warned import allowed_count, by_error, by_factor, by_members, control_of

__all__ = ["Archived", "Verified", "defaults_taken", "least_limit_mps", "limit_told", "verified"]

FIELD = "weather.verification"


class Archived(NamedTuple):
    """Pairs of the archive, and the same as calibrated (None without a calibration); what to say of them.

    error_mps: the fitted allowance for the error of the control member, (case,), where that is the rule of the move.
    """

    pairs: xr.Dataset
    calibrated: xr.Dataset | None = None
    error_mps: Array | None = None
    remarks: tuple[str, ...] = ()


class Verified(NamedTuple):
    """Scores, the limit that they count from, the currency of the stake, what to keep in mind."""

    scores: xr.Dataset
    limit_mps: float
    currency: str
    remarks: tuple[str, ...]


def verified(move: Move, archived: Archived, limit_mps: float) -> Verified:
    """Score the archive. The event is a gust above the least limit of the move, and above each threshold it states.

    Errors: InputError where neither a limit nor a threshold is known.
    """
    given = move.weather.verification or VerificationInputs()
    cases, known = cases_of(archived.pairs)
    issued = {"raw": _issued(archived.pairs.isel(case=known), cases, move.decision, None)}
    if archived.calibrated is not None:
        error = None if archived.error_mps is None else archived.error_mps[known]
        issued["calibrated"] = _issued(archived.calibrated.isel(case=known), cases, move.decision, error)
    scores = verification(archived.pairs, cases, issued, _setting(given, move.decision, limit_mps))
    currency = given.stake.currency if given.stake else ""
    said = (*_said(scores, limit_mps), *_of_members(archived.pairs.sizes["member"], move.decision), *archived.remarks)
    return Verified(scores, limit_mps, currency, said)


def _issued(pairs: xr.Dataset, cases: Cases, decision: Decision, error_mps: Array | None) -> Issued:
    members = pairs["forecast_gust_mps"].transpose("case", "member").values.astype(float)
    if decision.rule == "ensemble":
        return from_members(members, cases.observed_mps, by_members(members, decision))
    control = control_of(members, pairs["member"].values, decision)
    rule = by_factor(control, decision.alpha_ratio or 1.0) if error_mps is None else by_error(control, error_mps)
    return from_members(members, cases.observed_mps, rule)


def _of_members(held: int, decision: Decision) -> Iterator[str]:
    if decision.rule != "ensemble":
        return
    due = decision.members_count or held
    if held != due:
        yield f"The archive holds {held} members, the forecast of the move has {due}: they are not the same ensemble."
    if allowed_count(held, decision) < 0:
        yield (
            f"With {held} members the rule of the move would never go; here one member above the limit is a warning, "
            "and a miss is what no member foresaw."
        )


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


def limit_told(rose: xr.Dataset, move: Move) -> Iterator[str]:
    """Which stage or check the least gust limit of the move comes from; nothing where none is known."""
    least_mps = least_limit_mps(rose, move)
    if not np.isfinite(least_mps):
        return
    stages = [f"stage '{stage.name}'" for stage in move.stage if stage.gust_limit_mps == least_mps]
    states = np.unique(rose["governed_by"].values[rose["gust_limit_mps"].values == least_mps])
    owners = ", ".join([*stages, *map(str, states)])
    yield f"The least gust limit of the move, {least_mps:.1f} m/s, is that of {owners}."


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


def _said(scores: xr.Dataset, limit_mps: float) -> Iterator[str]:
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
    if np.isnan(limit_mps):
        yield "The least gust limit of the move is not known: only the thresholds that the move states are scored."
    if np.isposinf(limit_mps):
        yield "Wind limits the move nowhere: only the thresholds that the move states are scored."
    if facts["cap_ratio"] >= 1.0:
        yield "No chance is stated above which nobody goes: values by cost and loss have no cap."
