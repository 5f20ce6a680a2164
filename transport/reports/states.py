"""Limit states as the outputs show them: least limit and where; unknown comes before the least."""

import math
from typing import NamedTuple

import numpy as np
import xarray as xr

from shared.arrays import Array
from shared.assessment import Assessment
from transport.reports.notation import letter, one_line, text_of

__all__ = ["State", "any_direction", "least_limit", "states", "worst"]


class State(NamedTuple):
    """One limit state: its least limit on the gust, where that is, and its worst utilisation in still air."""

    letter: str
    name: str
    limit_mps: float
    everywhere: bool
    station_m: float
    wind_from_deg: float
    utilisation_ratio: float
    clause: str
    remedy: str


def states(result: Assessment) -> tuple[State, ...]:
    """All limit states, in the order of the rose, lettered A, B, C, ..."""
    rose = result.rose
    still = _still_air(result)
    return tuple(_state(rose, index, still) for index in range(rose.sizes.get("limit_state", 0)))


def _state(rose: xr.Dataset, index: int, still: dict[str, float]) -> State:
    row = rose.isel(limit_state=index)
    name = one_line(row["limit_state"].values)
    limit = row["gust_limit_by_state_mps"].transpose("station", "wind_from").values
    station, wind = np.unravel_index(worst(limit.ravel()), limit.shape)
    return State(
        letter(index),
        name,
        float(limit[station, wind]),
        bool(limit.min(axis=1).max() == limit.min()),
        float(row["station"].values[station]),
        float(row["wind_from"].values[wind]) if limit[station].max() > limit[station].min() else math.nan,
        still.get(name, math.nan),
        text_of(row, "clause"),
        text_of(row, "remedy"),
    )


def _still_air(result: Assessment) -> dict[str, float]:
    """Highest utilisation in still air over the road, by limit state."""
    found: dict[str, float] = {}
    for check in result.checks.values():
        values = check.get("utilisation_ratio")
        if values is not None and "limit_state" in values.dims:
            rows = zip(values["limit_state"].values, values.transpose("limit_state", ...).values, strict=True)
            found |= {one_line(name): float(np.max(row)) for name, row in rows if np.size(row)}
    return found


def least_limit(rose: xr.Dataset) -> Array:
    """Least gust limit over the directions, per station; unknown where any direction is."""
    return np.asarray(np.min(rose["gust_limit_mps"].transpose("station", "wind_from").values, axis=1), dtype=float)


def any_direction(rose: xr.Dataset, begin_m: float, end_m: float) -> bool:
    """Whether the wind direction makes no difference to the least limit between two stations."""
    inside = (rose["station"].values >= begin_m) & (rose["station"].values <= end_m)
    limits = rose["gust_limit_mps"].transpose("station", "wind_from").values[inside]
    return bool(limits.size) and len(set(limits.min(axis=0).tolist())) == 1


def worst(values: Array) -> int:
    """Position of the least value; of the first unknown one, if there is any."""
    return int(np.argmin(np.where(np.isnan(values), -np.inf, values)))
