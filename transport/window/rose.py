"""The limit rose: every check stacked, the least taken, its name kept; and its cells, the places a driver sees."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import numpy as np
import xarray as xr

from shared.arrays import Array
from shared.datasets import dataset

__all__ = ["cell_edges_m", "cells", "rose", "widened"]


def rose(checks: Iterable[xr.Dataset]) -> xr.Dataset:
    """Stack all limit states; the least limit governs each place and wind direction.

    gust_limit_mps(station, wind_from) = min over limit_state. NaN (unknown) passes through the minimum.
    Source: every check ends as a limit on the gust (house design, practice).
    """
    parts = [check[["gust_limit_mps", "clause", "remedy"]].drop_attrs(deep=False) for check in checks]
    stack = xr.concat(parts, dim="limit_state", join="exact", coords="minimal", compat="equals")
    by_state = stack["gust_limit_mps"].transpose("limit_state", "station", "wind_from")
    return _with_least(by_state.values, {str(name): stack[name].values for name in by_state.dims}, stack)


def cells(rose: xr.Dataset, edges_m: Array) -> xr.Dataset:
    """Merge stations to cells: the least limit of every station in or at the edge of a cell.

    Shapes: edges (n + 1), result (limit_state, n, wind_from) with station = middle of the cell.
    """
    station_m = rose["station"].values
    first = np.maximum(np.searchsorted(station_m, edges_m[:-1], side="right") - 1, 0)
    last = np.minimum(np.searchsorted(station_m, edges_m[1:], side="left"), station_m.size - 1)
    bounds = np.column_stack([first, last + 1]).ravel()
    values = rose["gust_limit_by_state_mps"].values
    padded = np.concatenate([values, values[:, -1:]], axis=1)
    least = np.minimum.reduceat(padded, bounds, axis=1)[:, ::2]
    coords = {name: rose[name].values for name in ("limit_state", "wind_from")}
    return _with_least(least, coords | {"station": (edges_m[:-1] + edges_m[1:]) / 2}, rose)


def cell_edges_m(length_m: float, cell_m: float, breaks_m: Sequence[float]) -> Array:
    """Edges of the cells: even steps, broken also where a section, a relief range or a hold point begins or ends."""
    even = np.linspace(0.0, length_m, max(1, int(np.ceil(length_m / cell_m))) + 1)
    inside = [value for value in breaks_m if 0.0 < value < length_m]
    return np.unique(np.concatenate([even, inside]))


def widened(limit_mps: Array, spread_deg: float) -> Array:
    """Least limit over all directions within the spread of each sector, and over all directions in a last column.

    Shapes: (station, n) to (station, n + 1); the last column serves a wind of unknown direction.
    Source: the direction of a forecast is not better than the spread (practice).
    """
    count = limit_mps.shape[-1]
    step_deg = 360.0 / count
    reach = min(int(np.ceil((spread_deg + step_deg / 2) / step_deg)), count // 2)
    turned = [np.roll(limit_mps, shift, axis=-1) for shift in range(-reach, reach + 1)]
    least: Array = np.minimum.reduce(turned)
    return np.concatenate([least, np.min(limit_mps, axis=-1, keepdims=True)], axis=-1)


def _with_least(values: Array, coords: Mapping[str, Any], source: xr.Dataset) -> xr.Dataset:
    unknown = np.isnan(values)
    least = np.where(unknown, np.inf, values).argmin(axis=0)
    governing = np.where(unknown.any(axis=0), unknown.argmax(axis=0), least)
    place = ("station", "wind_from")
    return dataset(
        {
            "gust_limit_by_state_mps": (("limit_state", *place), values),
            "gust_limit_mps": (place, values.min(axis=0)),
            "governed_by": (place, np.asarray(coords["limit_state"])[governing]),
            "clause": ("limit_state", source["clause"].values),
            "remedy": ("limit_state", source["remedy"].values),
        },
        dict(coords),
    )
