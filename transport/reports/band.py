"""The band of the gust over time at the place that governs: as the window gives it."""

from typing import NamedTuple

import numpy as np
import xarray as xr

from shared.arrays import Array
from shared.assessment import Assessment

__all__ = ["Band", "band", "opinions_mps"]

NAMES = ("gust_low_mps", "gust_median_mps", "gust_high_mps", "gust_limit_there_mps")


class Band(NamedTuple):
    """Edges of the forecast steps in seconds, and what holds between them."""

    edges_s: Array
    low_mps: Array
    median_mps: Array
    high_mps: Array
    limit_mps: Array


def band(result: Assessment, from_s: float, until_s: float) -> Band:
    """The part of the band between two times; empty when there is none."""
    window = result.window
    if window.sizes.get("time", 0) < 2:
        empty = np.empty(0)
        return Band(empty, empty, empty, empty, empty)
    edges, shown = _shown(window, from_s, until_s)
    levels = [np.asarray(window[name].values, dtype=float) for name in NAMES]
    touched = np.append(shown, False) | np.insert(shown, 0, False)
    return Band(np.clip(edges[touched], from_s, until_s), *(level[shown] for level in levels))


def opinions_mps(result: Assessment, from_s: float, until_s: float) -> list[Array]:
    """Highest member of each second opinion at the place of the band, over the same steps; none without any."""
    if result.disagreement is None or result.window.sizes.get("time", 0) < 2:
        return []
    _, shown = _shown(result.window, from_s, until_s)
    levels = np.asarray(result.disagreement["opinion_gust_there_mps"].values, dtype=float)
    return [row[shown] for row in levels]


def _shown(window: xr.Dataset, from_s: float, until_s: float) -> tuple[Array, np.ndarray]:
    """Edges of all steps, and which of them lie between two times."""
    edges = _edges_s(window)
    return edges, (edges[1:] > from_s) & (edges[:-1] < until_s)


def _edges_s(window: xr.Dataset) -> Array:
    """Beginning of the first step and the ends of all; a value holds for the whole step before its time."""
    ends = window["time"].values.astype("datetime64[s]").astype(float)
    return np.concatenate(([2 * ends[0] - ends[1]], ends))
