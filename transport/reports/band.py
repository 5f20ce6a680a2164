"""The band of the gust over time at the place that governs: as the window gives it, else picked from the forecast."""

from typing import NamedTuple

import numpy as np

from shared.arrays import Array
from shared.assessment import Assessment
from transport.reports.starts import first_shown, starts
from transport.reports.states import least_limit

__all__ = ["Band", "band"]

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
    edges, levels = _edges_s(result), _levels(result)
    if edges is None or levels is None:
        empty = np.empty(0)
        return Band(empty, empty, empty, empty, empty)
    shown = (edges[1:] > from_s) & (edges[:-1] < until_s)
    touched = np.append(shown, False) | np.insert(shown, 0, False)
    return Band(np.clip(edges[touched], from_s, until_s), *(level[shown] for level in levels))


def _edges_s(result: Assessment) -> Array | None:
    """Beginning of the first step and the ends of all; a value holds for the whole step before its time."""
    source = result.window if all(name in result.window for name in NAMES) else result.forecast
    if source.sizes.get("time", 0) < 2:
        return None
    ends = source["time"].values.astype("datetime64[s]").astype(float)
    first = 2 * ends[0] - ends[1]
    return np.concatenate(([first], ends))


def _levels(result: Assessment) -> list[Array] | None:
    if all(name in result.window for name in NAMES):
        return [np.asarray(result.window[name].values, dtype=float) for name in NAMES]
    gust = result.forecast.get("gust_apparent_mps")
    if gust is None or "station" not in gust.dims or not starts(result):
        return None
    wanted = starts(result)[first_shown(result)].station_m
    if np.isnan(wanted):
        return None
    there = gust.sel(station=wanted, method="nearest").transpose("realization", "time").values
    stations = result.rose["station"].values
    factor = result.move.get("decision", {}).get("alpha_ratio") or 1.0
    limit = factor * least_limit(result.rose)[int(np.argmin(np.abs(stations - wanted)))]
    return [there.min(axis=0), np.median(there, axis=0), there.max(axis=0), np.full(there.shape[1], limit)]
