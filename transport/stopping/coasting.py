"""Drive lost on a climb: the train slows by itself, stands, and rolls back until something holds it."""

import numpy as np
from numpy.typing import ArrayLike

from shared.arrays import Array
from transport.stopping.distance import net_deceleration_mps2

__all__ = ["natural_deceleration_mps2", "rollback_acceleration_mps2", "rollback_distance_m", "rollback_speed_mps"]


def natural_deceleration_mps2(climb_ratio: ArrayLike, rolling_ratio: ArrayLike) -> Array:
    """Deceleration without drive and brake on a climb: g (sin(theta) + C_rr cos(theta)).

    Shapes broadcast, `climb_ratio` 0 or positive. Source: statics.
    """
    return net_deceleration_mps2(0.0, rolling_ratio, climb_ratio)


def rollback_acceleration_mps2(climb_ratio: ArrayLike, rolling_ratio: ArrayLike) -> Array:
    """Acceleration with which an unheld train rolls back: g (sin(theta) - C_rr cos(theta)), never below 0.

    Shapes broadcast. Source: statics.
    """
    return net_deceleration_mps2(0.0, -np.asarray(rolling_ratio, dtype=float), climb_ratio)


def rollback_speed_mps(acceleration_mps2: ArrayLike, time_s: float) -> Array:
    """Speed after a time of rolling back: a t.

    Shapes broadcast. Source: kinematics.
    """
    return np.asarray(np.asarray(acceleration_mps2, dtype=float) * time_s)


def rollback_distance_m(acceleration_mps2: ArrayLike, time_s: float) -> Array:
    """Way after a time of rolling back: a t^2 / 2.

    Shapes broadcast. Source: kinematics.
    """
    return np.asarray(0.5 * np.asarray(acceleration_mps2, dtype=float) * time_s**2)
