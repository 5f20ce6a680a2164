"""Stopping distance: reaction, build-up of the brake, braking on the grade."""

import numpy as np
from numpy.typing import ArrayLike

from shared.arrays import Array
from shared.units import STANDARD_GRAVITY_MPS2

__all__ = [
    "braking_distance_m",
    "jerk_limited_distance_m",
    "jerk_limited_time_s",
    "net_deceleration_mps2",
    "stopping_distance_m",
]

NOTHING_MPS2 = 1e-9  # rounding of z + C_rr against the grade


def net_deceleration_mps2(brake_ratio: ArrayLike, rolling_ratio: ArrayLike, grade_ratio: ArrayLike) -> Array:
    """Deceleration on a grade: g cos(theta) (z + C_rr + G), exactly 0 where z + C_rr does not exceed the descent.

    Shapes broadcast; z is brake force over normal load, G negative downhill. 0 means: does not stop.
    Source: statics.
    """
    grade = np.asarray(grade_ratio, dtype=float)
    share = np.asarray(brake_ratio, dtype=float) + np.asarray(rolling_ratio, dtype=float) + grade
    value = STANDARD_GRAVITY_MPS2 * share / np.hypot(1.0, grade)
    return np.where(value <= NOTHING_MPS2, 0.0, value)


def braking_distance_m(speed_mps: ArrayLike, deceleration_mps2: ArrayLike) -> Array:
    """Distance under a constant deceleration: v^2 / (2 a); infinite without deceleration, nothing is divided by 0.

    Shapes broadcast. Source: kinematics.
    """
    speed, slowing = np.broadcast_arrays(np.asarray(speed_mps, float), np.asarray(deceleration_mps2, float))
    result = np.full(speed.shape, np.inf)
    np.divide(np.square(speed), 2.0 * slowing, out=result, where=slowing > 0.0)
    return np.where(np.isnan(speed) | np.isnan(slowing), np.nan, result)


def stopping_distance_m(
    speed_mps: ArrayLike, reaction_s: float, build_up_s: float, deceleration_mps2: ArrayLike
) -> Array:
    """Whole stopping distance: v (t_r + t_b / 2) + v^2 / (2 a).

    Shapes broadcast; infinite where the train does not stop. Validity: the speed is held until the brake acts.
    Source: kinematics; reaction times from memory.
    """
    before_m = np.asarray(speed_mps, dtype=float) * (reaction_s + build_up_s / 2.0)
    return np.asarray(before_m + braking_distance_m(speed_mps, deceleration_mps2))


def jerk_limited_time_s(speed_mps: ArrayLike, deceleration_mps2: float, jerk_mps3: float) -> Array:
    """Time of a stop whose deceleration rises with constant jerk to a plateau: v / a + a / (2 J).

    A stop from so low a speed that the plateau is not reached takes sqrt(2 v / J). Shapes broadcast.
    Source: kinematics.
    """
    speed = np.asarray(speed_mps, dtype=float)
    plateau = speed / deceleration_mps2 + deceleration_mps2 / (2.0 * jerk_mps3)
    short = speed < deceleration_mps2**2 / (2.0 * jerk_mps3)
    return np.where(short, np.sqrt(2.0 * speed / jerk_mps3), plateau)


def jerk_limited_distance_m(speed_mps: ArrayLike, deceleration_mps2: float, jerk_mps3: float) -> Array:
    """Distance of such a stop: v^2 / (2 a) + v a / (2 J) - a^3 / (24 J^2), below the plateau 2 v T / 3.

    Shapes broadcast. Source: kinematics.
    """
    speed, a_mps2, j_mps3 = np.asarray(speed_mps, dtype=float), deceleration_mps2, jerk_mps3
    plateau = np.square(speed) / (2.0 * a_mps2) + speed * a_mps2 / (2.0 * j_mps3) - a_mps2**3 / (24.0 * j_mps3**2)
    short = speed < a_mps2**2 / (2.0 * j_mps3)
    return np.where(short, 2.0 / 3.0 * speed * jerk_limited_time_s(speed, a_mps2, j_mps3), plateau)
