"""The operation as checks over the forecast: every stay of every stage, with the wind, weather and clock to meet."""

from collections.abc import Iterator, Sequence

import numpy as np
import xarray as xr

from shared.arrays import Array
from transport.window.clocks import Clock, believed, daylight
from transport.window.demand import Demand, Wind, conditions, stage_limit
from transport.window.inputs import Limits
from transport.window.overlap import Steps
from transport.window.schedule import Passage

__all__ = ["clocks_of", "demands_of", "finish_s", "start_times_s", "steps_of"]


def demands_of(
    passages: Sequence[Passage],
    wind: Wind,
    forecast: xr.Dataset,
    limits: Limits,
    *,
    wet_is_closed: bool,
) -> Iterator[Demand]:
    """Every check that the forecast enters: the rose under the cover, limits of stages, rain, dew, visibility, ice."""
    for passage in passages:
        if passage.stage.cover == "on":
            yield wind.demand(passage)
        if passage.stage.gust_limit_mps is not None:
            yield stage_limit(passage, wind)
        station_m = float(wind.station_m[passage.cells[0]])
        yield from conditions(passage, forecast, limits, station_m, wet_is_closed=wet_is_closed)


def clocks_of(
    passages: Sequence[Passage], start_s: Array, road: xr.Dataset, tension: tuple[float, float]
) -> Iterator[Clock]:
    """Every check of the clock alone: daylight at the middle of the road, and the age of the measured tension.

    `tension`: until when the tension measured beforehand is believed, and for how long one measured on the way.
    """
    middle = road.isel(station=road.sizes["station"] // 2)
    place = {name: middle[name].values for name in ("longitude_deg", "latitude_deg")}
    yield from daylight(passages, start_s, **place)
    yield from believed(passages, start_s, *tension)


def finish_s(passages: Sequence[Passage]) -> float:
    """Latest end of the operation, seconds after its start."""
    return max(float(passage.stay.late_s[-1]) for passage in passages)


def start_times_s(steps: Steps, as_of_s: float, finish_s: float, every_min: int) -> Array:
    """Starts on the round of the clock from now on, as long as the operation ends inside the forecast.

    When the forecast is too short for any, the next round start is still asked, so that the answer says so.
    """
    every_s = 60.0 * every_min
    first = np.ceil(max(as_of_s, steps.begin_s[0]) / every_s) * every_s
    last = max(steps.end_s[-1] - finish_s, first)
    return np.asarray(np.arange(first, last + 1.0, every_s))


def steps_of(forecast: xr.Dataset) -> Steps:
    """The steps of a forecast in seconds since the epoch."""
    begin, end = (forecast[name].values.astype("datetime64[s]").astype(np.float64) for name in ("time_start", "time"))
    return Steps(begin, end)
