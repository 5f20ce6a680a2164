"""Crossfall and widths at the stations: what the survey gives, the narrower of two neighbours, or unknown."""

import numpy as np
from numpy.typing import NDArray

from shared.arrays import Array

__all__ = ["between_points", "crossfall_se", "narrower_of_neighbours", "nearest_point"]


def between_points(station_m: Array, point_m: Array, values: Array) -> Array:
    """Linear between points; unknown if one of the two neighbours is. Shapes: (station). Source: geometry."""
    known = np.isfinite(values)
    inside = np.interp(station_m, point_m, np.where(known, values, 0.0))
    touched = np.interp(station_m, point_m, np.where(known, 0.0, 1.0)) > 0.0
    return np.asarray(np.where(touched, np.nan, inside))


def narrower_of_neighbours(station_m: Array, point_m: Array, width_m: Array) -> Array:
    """The lesser width of the points before and behind; unknown if one of them is. Shapes: (station).

    Source: fail-safe, a width is measured at points only (practice).
    """
    after = np.clip(np.searchsorted(point_m, station_m, side="left"), 0, point_m.size - 1)
    before = np.clip(np.searchsorted(point_m, station_m, side="right") - 1, 0, point_m.size - 1)
    return np.minimum(width_m[before], width_m[after])


def crossfall_se(sigma_z_m: float, width_m: Array, usual_width_m: float) -> Array:
    """Standard error of a crossfall taken from the elevations of two edges: sqrt(2) sigma_z / width.

    Where the width is unknown the usual one of a lane is taken. Shapes: (station). Source: error propagation.
    """
    base_m = np.where(np.isfinite(width_m) & (width_m > 0.0), width_m, usual_width_m)
    return np.asarray(np.sqrt(2.0) * sigma_z_m / base_m)


def nearest_point(station_m: Array, point_m: Array) -> NDArray[np.intp]:
    """Index of the point nearest to each station. Shapes: (station). Source: geometry."""
    return np.searchsorted(0.5 * (point_m[1:] + point_m[:-1]), station_m)
