"""A calibration at work: the gust at the load as calibrated members, or the allowance for the error of the control.

Calibrated is the gust before relief, the quantity that was learned; what the ground does at each station is put on
after it: gust at the load = raw gust at the load x calibrated / raw gust before relief. So height, relief and
turbulence of the station count once, and by the same equations as without a calibration. What the mast itself stands
in is part of what was learned: a mast that is sped up by its hill makes the answer stricter everywhere, one that is
sheltered would make it milder, so nothing is lowered unless the move states that it stands in the open.
"""

from typing import NamedTuple

import numpy as np
from pyproj import Geod

from shared.arrays import Array
from shared.tables import figure
from transport.weather.fields import Values
from transport.weather.skill.alpha import ErrorOf, allowance_mps
from transport.weather.skill.coupling import coupled_mps
from transport.weather.skill.emos import Coefficients, Law, law_of
from transport.weather.skill.file import Calibration, LeadFit, Mast, SectorFit

__all__ = ["Applied", "Ground", "allowance_over_time_mps", "applied", "carried_ratio", "near_mast"]

STILL_MPS = 1e-3


class Applied(NamedTuple):
    """Calibrated gust at the load (station, member, step), where it may lie below the raw one, and what it rests on."""

    gust_mps: Values
    may_lower: np.ndarray
    law: Law
    fit: "Chosen"
    carried: Array


class Ground(NamedTuple):
    """Of each station: largest relief factor; whether it lies near a mast in the open that is not below the load."""

    relief: Array
    trusted: np.ndarray


class Chosen(NamedTuple):
    """Coefficients and trained range for each station and step; NaN where there is no fit."""

    coefficients: Coefficients
    mean_low_mps: Array
    mean_high_mps: Array
    spread_high_mps: Array
    seen: np.ndarray


def near_mast(mast: Mast, longitude_deg: Array, latitude_deg: Array) -> np.ndarray:
    """True for each station of the road within reach of the mast.

    Source: calibration_reach_km (practice).
    """
    there = np.full(len(longitude_deg), mast.longitude_deg), np.full(len(latitude_deg), mast.latitude_deg)
    _, _, distance_m = Geod(ellps="WGS84").inv(*there, longitude_deg, latitude_deg)
    return np.asarray(np.asarray(distance_m) <= 1000.0 * figure("calibration_reach_km"))


def carried_ratio(raw_mps: Values, before_mps: Array, relief_ratio: Array) -> Array:
    """What the ground does to the gust: at the load over before relief; in still air the largest relief factor.

    Source: definition; relief is proportional to the wind (EN 1991-1-4:2005, 4.3.1) (read).
    """
    moving = before_mps > STILL_MPS
    return np.where(moving, raw_mps / np.where(moving, before_mps, 1.0), relief_ratio)


def applied(
    calibration: Calibration,
    raw_mps: Values,
    before_mps: Values,
    wind_from_deg: Values,
    lead_h: Array,
    step_h: Array,
    ground: Ground,
) -> Applied:
    """Calibrate the gust at the load.

    raw: gust at the load, before: the same before relief, both (station, member, step); direction (station, step);
    lead and length of each step (step).
    In the trained range (lead, step length, sector, mean and spread of the members, all known) the calibrated members
    count as they are; outside it, or at a station that is not trusted, the larger of calibrated and raw counts.
    Before the first fit, and where a member is not known, the raw gust stays; beyond the last fit that one counts on.
    Source: EMOS and ECC-Q of this package; the larger outside the trained range (practice).
    """
    before = before_mps.astype(float)
    mean = before.mean(axis=1)
    variance = before.var(axis=1, ddof=1) if before.shape[1] > 1 else np.full(mean.shape, np.nan)
    fit = _chosen(calibration, wind_from_deg, lead_h)
    law = law_of(fit.coefficients, mean, variance)
    carried = carried_ratio(raw_mps, before, ground.relief[:, None, None])
    calibrated = coupled_mps(before, law) * carried
    basis = calibration.basis
    length = (step_h >= basis.step_low_h) & (step_h <= basis.step_high_h)
    inside = (mean >= fit.mean_low_mps) & (mean <= fit.mean_high_mps) & (np.sqrt(variance) <= fit.spread_high_mps)
    may_lower = ground.trusted[:, None] & length & inside & fit.seen
    larger = np.where(may_lower[:, None], calibrated, np.maximum(calibrated, raw_mps))
    gust = np.where(np.isnan(calibrated), raw_mps, larger).astype(raw_mps.dtype)
    return Applied(gust, may_lower, law, fit, carried)


def _chosen(calibration: Calibration, wind_from_deg: Values, lead_h: Array) -> Chosen:
    """The fit of each lead class; a class without one, and every lead beyond, takes the last before it as not seen."""
    shape = wind_from_deg.shape
    columns = np.full((7, *shape), np.nan)
    seen = np.zeros(shape, dtype=bool)
    for lead in calibration.leads:
        later = lead_h > lead.lead_from_h
        seen[:, later] = False
        if lead.usable and later.any():
            columns[:, :, later], known = _of_lead(lead, wind_from_deg[:, later], calibration.sector_deg)
            seen[:, later] = known & (lead_h[later] <= lead.lead_until_h)
    return Chosen(Coefficients(*columns[:4]), columns[4], columns[5], columns[6], seen)


def _of_lead(lead: LeadFit, wind_from_deg: Values, width_deg: float) -> tuple[Array, np.ndarray]:
    """Columns of the fit of each direction's sector, or of all directions; seen: the sector is known and was seen."""
    assert lead.together is not None  # noqa: S101  held by the caller
    columns = np.broadcast_to(_column(lead.together), (7, *wind_from_deg.shape)).copy()
    known = ~np.isnan(wind_from_deg)
    sector = np.floor(np.where(known, wind_from_deg, 0.0) % 360.0 / width_deg).astype(int)
    for fit in lead.sectors:
        assert fit.sector_deg is not None  # noqa: S101  a sector has edges
        here = known & (sector == round(fit.sector_deg[0] / width_deg))
        columns[:, here] = _column(fit)[:, :, 0]
    return columns, known & np.asarray(lead.seen)[sector]


def _column(fit: SectorFit) -> Array:
    row = (
        fit.a_mps, fit.b_ratio, fit.c_m2_per_s2, fit.d_ratio, fit.mean_low_mps, fit.mean_high_mps, fit.spread_high_mps,
    )  # fmt: skip
    return np.array(row)[:, None, None]


def allowance_over_time_mps(calibration: Calibration, control_mps: Values, lead_h: Array, chance_ratio: float) -> Array:
    """Allowance for the error of the control member, (station, step); NaN beyond what was learned.

    Never smaller than at a shorter lead. NaN: a lead without a class, or a gust of the control member above those that
    were learned from. control: its gust before relief, (station, step).
    Source: the factor alpha of this package; nothing is extrapolated (practice).
    """
    result = np.full(control_mps.shape, np.nan)
    floor = 0.0
    for found in calibration.errors:
        error = ErrorOf(*(getattr(found, name) for name in ErrorOf._fields))
        floor = max(floor, allowance_mps(error, chance_ratio))
        steps = (lead_h > found.lead_from_h) & (lead_h <= found.lead_until_h)
        known = control_mps[:, steps] <= found.forecast_high_mps
        result[:, steps] = np.where(known, floor, np.nan)
    return result
