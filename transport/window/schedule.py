"""Where the convoy can be at each hour after the start: earliest and latest, with contingency and waiting."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import xarray as xr
from numpy.typing import ArrayLike, NDArray

from shared.arrays import Array
from shared.datasets import dataset
from transport.window.inputs import Stage
from transport.window.overlap import Stay

__all__ = ["Passage", "driving_time_s", "passages", "timetable", "waiting_s"]


@dataclass(frozen=True)
class Passage:
    """A stage with the cells it touches and its earliest and latest stay in each of them.

    A standing stage has one cell, a drive has all of them.
    """

    stage: Stage
    cells: NDArray[np.intp]
    stay: Stay

    @property
    def whole(self) -> Stay:
        """The stage from its earliest beginning to its latest end, as one place."""
        return Stay(self.stay.early_s[:1], self.stay.late_s[-1:])


def passages(
    stages: Sequence[Stage], driving_s: Array, waits_s: Array, *, earliest_ratio: float
) -> tuple[Passage, ...]:
    """Earliest and latest stay of every stage.

    early = sum of earliest_ratio x planned time before it;
    late = sum of planned time, contingency and waiting up to its end.
    Shapes: driving_s (cells + 1) at the cell edges, waits_s (cells) added when a cell is entered or held in.
    Source: time rule of weather-restricted operations, planned time plus contingency (memory).
    """
    early_s, late_s, found = 0.0, 0.0, []
    cells = np.arange(driving_s.size - 1)
    for stage in stages:
        if stage.kind == "drive":
            assert stage.contingency_ratio is not None  # noqa: S101  held by the model
            held_s = np.cumsum(waits_s)
            early = early_s + driving_s[:-1] * earliest_ratio
            late = late_s + driving_s[1:] * (1.0 + stage.contingency_ratio) + held_s
            found.append(Passage(stage, cells, Stay(early, late)))
            early_s, late_s = early_s + float(driving_s[-1]) * earliest_ratio, float(late[-1])
            continue
        assert stage.duration_h is not None and stage.contingency_h is not None  # noqa: S101  held by the model
        end_s = late_s + 3600.0 * (stage.duration_h + stage.contingency_h)
        cell = cells[:1] if stage.place == "start" else cells[-1:]
        found.append(Passage(stage, cell, Stay(np.array([early_s]), np.array([end_s]))))
        early_s, late_s = early_s + 3600.0 * stage.duration_h * earliest_ratio, end_s
    return tuple(found)


def timetable(passages: Sequence[Passage]) -> xr.Dataset:
    """When each stage can begin at the earliest and end at the latest, in seconds after the start. Shapes: (stage)."""
    return dataset(
        {
            "stage_begin_s": ("stage", np.array([passage.stay.early_s[0] for passage in passages])),
            "stage_end_s": ("stage", np.array([passage.stay.late_s[-1] for passage in passages])),
        },
        {"stage": [passage.stage.name for passage in passages]},
    )


def driving_time_s(station_m: Array, speed_mps: Array, edges_m: Array) -> Array:
    """Planned driving time to each cell edge: the integral of ds / v, v the lower speed of each step.

    Shapes: station and speed (station), edges (n + 1), result (n + 1). Valid: speed > 0; NaN passes through.
    Source: kinematics.
    """
    slow_mps = np.minimum(speed_mps[:-1], speed_mps[1:])
    time_s = np.concatenate([[0.0], np.cumsum(np.diff(station_m) / slow_mps)])
    return np.asarray(np.interp(edges_m, station_m, time_s), dtype=float)


def waiting_s(edges_m: Array, hold_station_m: ArrayLike, hold_wait_h: ArrayLike) -> Array:
    """Seconds of waiting allowed in each cell: the sum of the waits of the hold points inside it."""
    waits_s = np.zeros(edges_m.size - 1)
    for station_m, wait_h in zip(np.atleast_1d(hold_station_m), np.atleast_1d(hold_wait_h), strict=True):
        cell = int(np.clip(np.searchsorted(edges_m, station_m, side="right") - 1, 0, waits_s.size - 1))
        waits_s[cell] += 3600.0 * wait_h
    return waits_s
