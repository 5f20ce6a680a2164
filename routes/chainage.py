"""Station: horizontal distance along the smooth centreline, and back from a station to the running length."""

import numpy as np
from scipy.interpolate import BSpline

from shared.arrays import Array

__all__ = ["even_stations_m", "length_at_points_m", "running_length_at"]

NODES, WEIGHTS = np.polynomial.legendre.leggauss(5)


def _piece_m(plan: BSpline, from_m: Array, to_m: Array) -> Array:
    """Arc length of the plan between two running lengths: integral of |r'|, five Gauss points."""
    half_m = 0.5 * (to_m - from_m)
    at_m = from_m[:, None] + half_m[:, None] * (1.0 + NODES)
    speed = np.linalg.norm(plan.derivative(1)(at_m), axis=-1)
    return np.asarray(half_m * (speed @ WEIGHTS))


def length_at_points_m(plan: BSpline, t_m: Array) -> Array:
    """Station of each point: arc length of the smooth curve up to it. Shapes: (point). Source: geometry."""
    return np.concatenate([[0.0], np.cumsum(_piece_m(plan, t_m[:-1], t_m[1:]))])


def even_stations_m(length_m: float, step_m: float) -> Array:
    """Stations from end to end, evenly spaced by about the step. Shapes: (station). Source: geometry."""
    return np.linspace(0.0, length_m, max(2, round(length_m / step_m) + 1))


def running_length_at(plan: BSpline, t_m: Array, station_m: Array) -> Array:
    """Running length t at which the arc length equals the station; Newton from the linear guess.

    Shapes: (station). Valid: stations from 0 to the length of the road. Source: geometry.
    """
    known_m = length_at_points_m(plan, t_m)
    piece = np.clip(np.searchsorted(known_m, station_m, side="right") - 1, 0, t_m.size - 2)
    begin_m, end_m = t_m[piece], t_m[piece + 1]
    at_m = np.interp(station_m, known_m, t_m)
    for _ in range(4):
        speed = np.linalg.norm(plan.derivative(1)(at_m), axis=-1)
        at_m = at_m - (known_m[piece] + _piece_m(plan, begin_m, at_m) - station_m) / speed
        at_m = np.clip(at_m, begin_m, end_m)
    return np.asarray(at_m)
