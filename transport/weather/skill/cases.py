"""The pairs that can be scored, and those that cannot: counted and named, never dropped in silence."""

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from shared.arrays import Array
from transport.weather.skill.classes import spell

__all__ = ["Cases", "LeftOut", "cases_of", "left_out"]

Flags = NDArray[np.bool_]
Times = NDArray[np.datetime64]
LACKS = (
    "the observed gust is not known",
    "not every member is known",
    "the lead time is not known",
    "no time is known",
)


class Cases(NamedTuple):
    """Cases that are known in full; shapes (case,) and (case, member)."""

    members_mps: Array
    observed_mps: Array
    lead_h: Array
    wind_from_deg: Array
    time: Times
    reference_time: Times


class LeftOut(NamedTuple):
    """A stretch of time whose pairs lack the same thing; `highest_mps` is the highest gust that was observed in it."""

    reason: str
    first: np.datetime64
    last: np.datetime64
    pairs_count: int
    highest_mps: float


def cases_of(pairs: xr.Dataset) -> tuple[Cases, Flags]:
    """The cases that are known in full, and which of the pairs they are."""
    members = pairs["forecast_gust_mps"].transpose("case", "member").values.astype(float)
    parts = [pairs[name].values.astype(float) for name in ("observed_gust_mps", "lead_h", "wind_from_deg")]
    times = [pairs[name].values.astype("datetime64[ns]") for name in ("time", "reference_time")]
    known = _reason(pairs) == ""
    return Cases(members[known], *(part[known] for part in (*parts, *times))), known


def left_out(pairs: xr.Dataset, gap_h: float) -> tuple[LeftOut, ...]:
    """What could not be scored and why, in stretches of time, by reason."""
    reason, observed = _reason(pairs), pairs["observed_gust_mps"].values.astype(float)
    time = pairs["time"].values.astype("datetime64[ns]")
    found = []
    for name in np.unique(reason[reason != ""]):
        lacking = reason == name
        found += list(_stretches(str(name), time[lacking], observed[lacking], gap_h))
    return tuple(found)


def _reason(pairs: xr.Dataset) -> NDArray[np.str_]:
    """Why each pair was left out, or the first thing that it lacks; "" where it lacks nothing."""
    members = pairs["forecast_gust_mps"].transpose("case", "member").values
    lacks = (
        ~np.isfinite(pairs["observed_gust_mps"].values),
        ~np.isfinite(members).all(axis=1),
        ~np.isfinite(pairs["lead_h"].values),
        np.isnat(pairs["time"].values),
    )
    found = np.select(lacks, LACKS, default="")
    return np.where(pairs["left_out"].values != "", pairs["left_out"].values, found) if "left_out" in pairs else found


def _stretches(name: str, time: Times, observed_mps: Array, gap_h: float) -> Iterator[LeftOut]:
    stamped = ~np.isnat(time)
    if count := int((~stamped).sum()):
        unknown = np.datetime64("NaT", "ns")
        yield LeftOut(name, unknown, unknown, count, _highest(observed_mps[~stamped]))
    number = spell(time[stamped], gap_h)
    for one in np.unique(number):
        there, seen = time[stamped][number == one], observed_mps[stamped][number == one]
        yield LeftOut(name, there.min(), there.max(), there.size, _highest(seen))


def _highest(observed_mps: Array) -> float:
    known = observed_mps[np.isfinite(observed_mps)]
    return float(known.max()) if known.size else np.nan
