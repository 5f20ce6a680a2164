"""The known cases of an archive, by lead class and wind sector, and whether they are enough to learn from."""

from typing import NamedTuple

import numpy as np
import xarray as xr

from shared.arrays import Array
from shared.tables import figure

__all__ = ["Cases", "Extent", "cases_of", "chosen", "extent", "lacking", "lead_class", "sector_count", "sector_of"]

Index = np.ndarray


class Cases(NamedTuple):
    """Known pairs, all (case): mean and variance (divisor n - 1) of the members, observed gust, lead class (from 0),
    sector (-1: not known), day on which the step ends; gust (case, member)."""

    mean_mps: Array
    variance_m2_per_s2: Array
    observed_mps: Array
    lead_class: Index
    sector: Index
    day: Index
    gust_mps: Array


class Extent(NamedTuple):
    """How far cases reach: count, days, mean and spread that several days have reached, observed gusts."""

    cases: int
    days: int
    mean_low_mps: float
    mean_high_mps: float
    spread_high_mps: float
    observed_low_mps: float
    observed_high_mps: float


def lead_class(lead_h: Array) -> Index:
    """Class of a lead time: 0 for (0, w], 1 for (w, 2 w] and so on, w of the house; NaN and 0 or less are class -1.

    Source: calibration_lead_class_h (practice).
    """
    known = np.asarray(lead_h, dtype=float) > 0.0
    classes = np.ceil(np.where(known, lead_h, 0.0) / figure("calibration_lead_class_h")) - 1.0
    return np.where(known, classes, -1.0).astype(int)


def sector_count() -> int:
    """How many sectors the house divides the compass into.

    Source: calibration_sector_deg (practice).
    """
    return round(360.0 / figure("calibration_sector_deg"))


def sector_of(wind_from_deg: Array) -> Index:
    """Sector of a direction, 0 to the right of north; -1 where the direction is not known.

    Source: calibration_sector_deg (practice).
    """
    known = ~np.isnan(wind_from_deg)
    sector = np.floor(np.where(known, wind_from_deg, 0.0) % 360.0 / figure("calibration_sector_deg"))
    return np.where(known, sector, -1).astype(int)


def cases_of(pairs: xr.Dataset) -> Cases:
    """The pairs with nothing unknown but, perhaps, the direction.

    A day is the UTC date of the step, its end excluded: the step that ends at midnight belongs to the day before.
    """
    gust, observed = pairs["forecast_gust_mps"].values, pairs["observed_gust_mps"].values
    known = ~np.isnan(observed) & ~np.isnan(gust).any(axis=1)
    gust = gust[known]
    before = pairs["time"].values[known] - np.timedelta64(1, "s")
    many = gust.shape[1] > 1
    return Cases(
        mean_mps=gust.mean(axis=1),
        variance_m2_per_s2=gust.var(axis=1, ddof=1) if many else np.full(len(gust), np.nan),
        observed_mps=observed[known],
        lead_class=lead_class(pairs["lead_h"].values[known]),
        sector=sector_of(pairs["wind_from_deg"].values[known]),
        day=before.astype("datetime64[D]").astype(int),
        gust_mps=gust,
    )


def chosen(cases: Cases, which: Index) -> Cases:
    """Some of the cases, by a mask or their numbers."""
    return Cases(*(column[which] for column in cases))


def extent(cases: Cases) -> Extent:
    """What the cases have seen; an edge of the range counts only where several days have reached it.

    Source: calibration_edge_days_count (practice).
    """
    spread = np.sqrt(cases.variance_m2_per_s2)
    return Extent(
        cases=len(cases.day),
        days=len(np.unique(cases.day)),
        mean_low_mps=-_reached(-cases.mean_mps, cases.day),
        mean_high_mps=_reached(cases.mean_mps, cases.day),
        spread_high_mps=_reached(spread, cases.day),
        observed_low_mps=float(cases.observed_mps.min(initial=np.inf)),
        observed_high_mps=float(cases.observed_mps.max(initial=-np.inf)),
    )


def _reached(values: Array, day: Index) -> float:
    """The highest value that as many days as the house asks have reached; -inf for fewer days."""
    order = np.argsort(day, kind="stable")
    begins = np.flatnonzero(np.diff(day[order], prepend=np.iinfo(int).min))
    highest = np.sort(np.maximum.reduceat(values[order], begins))[::-1] if len(begins) else values
    needed = round(figure("calibration_edge_days_count"))
    return float(highest[needed - 1]) if len(highest) >= needed else float("-inf")


def lacking(found: Extent) -> tuple[str, ...]:
    """What is too little to fit anything: days, cases, range of the observed gusts, each with its numbers; or nothing.

    Source: calibration_least_* (practice).
    """
    wanted = (
        (found.days, figure("calibration_least_days_count"), "days", "g"),
        (found.cases, figure("calibration_least_cases_count"), "cases", "g"),
        (_range_mps(found), figure("calibration_least_range_mps"), "m/s between lowest and highest gust", ".1f"),
    )
    return tuple(f"{have:{form}} of at least {need:g} {what}" for have, need, what, form in wanted if not have >= need)


def _range_mps(found: Extent) -> float:
    return found.observed_high_mps - found.observed_low_mps if found.cases else 0.0
