"""The gust over time beside its limit at the one place where the wind comes nearest to it."""

import numpy as np
import xarray as xr

from shared.datasets import dataset
from transport.window.demand import Wind
from transport.window.joint import Joint
from transport.window.overlap import largest_at
from transport.window.schedule import Passage

__all__ = ["band"]


def band(given: Joint, drive: Passage, wind: Wind, time: xr.DataArray) -> xr.Dataset:
    """Lowest, median and highest member of the gust at the load, and the least limit, at every step.

    The place is where the member of the forecast that settles the best start comes nearest to the limit while driving.
    Shapes: (time). Unknown members leave the step unknown.
    """
    best, first = _best_start(given), given.answers[0]
    used = wind.demand(drive).utilisation[:, :, int(first.outcome.member[best])]
    place, _ = largest_at(used, drive.stay, first.steps, float(given.start_s[best])) or (0, 0)
    cell = int(drive.cells[place])
    gust, limit = wind.gust_mps[cell], wind.limit_at(cell)
    levels = {
        "gust_low_mps": gust.min(axis=1),
        "gust_median_mps": np.median(gust, axis=1),
        "gust_high_mps": gust.max(axis=1),
        "gust_limit_there_mps": limit.min(axis=1),
        "band_station_m": np.full(gust.shape[0], wind.station_m[cell]),
    }
    return dataset({name: ("time", value) for name, value in levels.items()}, {"time": time.values})


def _best_start(given: Joint) -> int:
    """The first start that may go, else the one with the least known utilisation, else the first."""
    going = np.flatnonzero(given.outcome.verdict == "go")
    if going.size:
        return int(going[0])
    return int(np.argmin(np.where(np.isnan(given.outcome.utilisation), np.inf, given.outcome.utilisation)))
