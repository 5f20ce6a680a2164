"""Width that a long rectangle needs in a bend when its middle follows the centreline."""

import numpy as np

from shared.arrays import Array

__all__ = ["inner_radius_m", "outer_radius_m", "outward_reach_m", "sharpest_nearby"]


def inner_radius_m(radius_m: Array, width_m: float) -> Array:
    """Least distance from the centre of the bend: R - W / 2. Valid: R > W / 2. Source: geometry."""
    return np.asarray(radius_m - 0.5 * width_m)


def outer_radius_m(radius_m: Array, width_m: float, length_m: float) -> Array:
    """Greatest distance from the centre of the bend: sqrt((R + W / 2)^2 + (L / 2)^2). Source: geometry."""
    return np.hypot(radius_m + 0.5 * width_m, 0.5 * length_m)


def outward_reach_m(curvature_per_m: Array, width_m: float, length_m: float) -> Array:
    """Reach of the corners beyond the centreline: outer radius less R, good for a straight road too.

    (W + k (W^2 + L^2) / 4) / (1 + sqrt((1 + k W / 2)^2 + (k L / 2)^2)), W / 2 where k <= 0.
    Shapes: (station). Source: outer_radius_m, rearranged.
    """
    k = np.maximum(curvature_per_m, 0.0)
    root = np.hypot(1.0 + 0.5 * k * width_m, 0.5 * k * length_m)
    return np.asarray((width_m + 0.25 * k * (width_m**2 + length_m**2)) / (1.0 + root))


def sharpest_nearby(station_m: Array, curvature_per_m: Array, length_m: float) -> Array:
    """Greatest value within half a length ahead and behind: a bend begins before the middle is in it.

    NaN nearby gives NaN. Shapes: (station). Source: geometry, on the cautious side.
    """
    reach = int(np.ceil(0.5 * length_m / np.min(np.diff(station_m)) - 1e-9))
    padded = np.pad(curvature_per_m, reach, mode="edge")
    return np.asarray(np.max(np.lib.stride_tricks.sliding_window_view(padded, 2 * reach + 1), axis=1))
