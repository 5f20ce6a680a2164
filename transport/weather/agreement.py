"""Do two sources of weather agree? A wrong unit in all fields of one of them shows nowhere else."""

from typing import NamedTuple

import numpy as np
import xarray as xr

from shared.arrays import Array
from shared.tables import figure
from transport.weather.fields import Values
from transport.weather.inputs import Weather
from transport.weather.neighbourhood import Neighbourhood, neighbourhood
from transport.weather.plausibility import Refusal
from transport.weather.quality import Asked
from transport.weather.space import interpolated

HALF_DAY = np.timedelta64(12, "h")
SAME = 1e-4

__all__ = ["Agreement", "agreement", "close", "sources_differ"]


class Agreement(NamedTuple):
    """Why two sources do not agree, what is to be said about them, and whether they were compared as two sources."""

    refusals: tuple[Refusal, ...]
    remarks: tuple[str, ...]
    compared: bool


class HalfDay(NamedTuple):
    """Mean wind of two sources over the same hours."""

    begin: np.datetime64
    until: np.datetime64
    here_mps: float
    there_mps: float


def agreement(
    forecast: xr.Dataset, second: xr.Dataset, weather: Weather, times: Asked, longitude_deg: Array, latitude_deg: Array
) -> Agreement:
    """Compare a second opinion with the forecast around the road.

    A copy of the forecast, or of one of its members, agrees, but is no second source.
    Source: common practice, no source (practice).
    """
    file = str(second.attrs["file"])
    near, there = (
        neighbourhood(feed, longitude_deg, latitude_deg, weather.maximum_step_h) for feed in (forecast, second)
    )
    if there.outside.any() or not _half_days(near, there, times):
        return Agreement((), (), False)
    refusals = sources_differ(near, there, times, file)
    if _same(near, there):
        return Agreement(refusals, (f"{file} holds the same winds as the forecast: a copy is no second source",), False)
    return Agreement(refusals, (), True)


def sources_differ(first: Neighbourhood, second: Neighbourhood, times: Asked, name: str) -> tuple[Refusal, ...]:
    """Compare the mean wind of two sources, half a day at a time from now on, as far as both reach.

    Where one of them says nothing at all there is nothing to compare; the starts that meet it there are undecided.
    Source: common practice, no source (practice).
    """
    for half in _half_days(first, second, times):
        if not close(half.here_mps, half.there_mps):
            what = f"mean wind {half.here_mps:.1f} m/s here and {half.there_mps:.1f} m/s in {name}"
            span = f"from {half.begin} to {half.until} UTC"
            return (Refusal("two sources", f"{what} {span}; is a unit wrong?"),)
    return ()


def close(first_mps: float, second_mps: float) -> bool:
    """Whether two mean winds may be those of one weather; NaN is not.

    |a - b| <= 2 m/s or larger <= 1.5 x smaller.      Source: common practice, no source (practice).
    """
    lower, upper = np.min([first_mps, second_mps]), np.max([first_mps, second_mps])
    differ_mps, differ_ratio = figure("weather_sources_differ_mps"), figure("weather_sources_differ_ratio")
    return bool(upper - lower <= differ_mps or upper <= differ_ratio * lower)


def _half_days(first: Neighbourhood, second: Neighbourhood, times: Asked) -> list[HalfDay]:
    """Half days from now on in which both sources say something."""
    begin = max(first.start[0], second.start[0], times.needed_from)
    end = min(first.end[-1], second.end[-1])
    spans = [(one, min(one + HALF_DAY, end)) for one in np.arange(begin, end, HALF_DAY)]
    found = [HalfDay(*span, *(_mean_between(near, *span) for near in (first, second))) for span in spans]
    return [half for half in found if not np.isnan(half.here_mps + half.there_mps)]


def _mean_between(near: Neighbourhood, begin: np.datetime64, until: np.datetime64) -> float:
    """Mean over what is known between two times; NaN if nothing is."""
    values = near.high["mean_wind_mps"][:, (near.end > begin) & (near.start < until)]
    known: Values = values[~np.isnan(values)]
    return float(np.mean(known)) if known.size else float("nan")


def _same(first: Neighbourhood, second: Neighbourhood) -> bool:
    """Whether a member of the one is a member of the other at the times that both have, on whatever part of a grid."""
    _, *common = np.intersect1d(first.end, second.end, return_indices=True)
    ours, theirs = (_at_stations(near, steps) for near, steps in zip((first, second), common, strict=True))
    known = bool(common[0].size) and not np.isnan(ours).all()
    return known and any(np.allclose(one, other, SAME, SAME, equal_nan=True) for one in ours for other in theirs)


def _at_stations(near: Neighbourhood, steps: np.ndarray) -> Values:
    """Mean wind at the ends of some steps, (member, step x station)."""
    values = interpolated(near.matrix, near.mean_at_end[:, steps])
    return np.moveaxis(values.reshape(len(values), near.shape[0], -1), 0, -1).reshape(near.shape[0], -1)
