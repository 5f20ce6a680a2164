"""Attitude of the deck: pitch (nose up positive) and roll (left side up positive), each as a range of angles."""

import numpy as np
from numpy.typing import ArrayLike

from shared.arrays import Array

__all__ = ["levelled_range_deg", "specific_force_range_mps2", "tilt_range_deg", "worse_deg"]


def tilt_range_deg(
    slope_ratio: ArrayLike, slope_se_ratio: ArrayLike, tolerance_deg: float, standard_errors_count: float
) -> tuple[Array, Array]:
    """Least and greatest tilt of a deck that follows the road, kept parallel to it within the tolerance.

    atan(min(G, 0) - k se) - tol and atan(max(G, 0) + k se) + tol: the range also holds a level road with the same
    allowances, so that a steeper road never narrows it. Pitch from the grade, roll from the crossfall, with their sign.
    Shapes: all (station,), result two of (station,) in degrees. NaN stays NaN.
    Source: geometry; the tolerance of levelling applies to both axes (practice).
    """
    slope, reach = np.asarray(slope_ratio, dtype=float), standard_errors_count * np.asarray(slope_se_ratio, dtype=float)
    low = np.degrees(np.arctan(np.minimum(slope, 0.0) - reach)) - tolerance_deg
    high = np.degrees(np.arctan(np.maximum(slope, 0.0) + reach)) + tolerance_deg
    return low, high


def levelled_range_deg(slope_ratio: ArrayLike, tolerance_deg: float) -> tuple[Array, Array]:
    """Least and greatest tilt of a deck that is levelled: the tolerance to either side.

    Shapes: slope (station,), result two of (station,) in degrees. An unknown slope stays unknown: nobody has
    checked that the platform can level it. Source: levelling tolerance (practice).
    """
    slope = np.asarray(slope_ratio, dtype=float)
    reach = np.where(np.isnan(slope), np.nan, tolerance_deg)
    return -reach, reach


def worse_deg(low_deg: Array, high_deg: Array, lean_ratio: ArrayLike) -> Array:
    """The end of the range that is further from level; of two equal ends the one with the sign of `lean_ratio`.

    Shapes: all (station,). Source: least favourable action (practice).
    """
    positive = np.where(np.asarray(lean_ratio) < 0, -1.0, 1.0)
    tied = np.isclose(-low_deg, high_deg)
    return np.where(tied, positive * high_deg, np.where(high_deg > -low_deg, high_deg, low_deg))


def specific_force_range_mps2(low_deg: Array, high_deg: Array, gravity_mps2: float) -> tuple[Array, Array]:
    """Least and greatest gravity along the deck axis: nose up pulls backward, left side up pulls to the right.

    f = -g sin(tilt). The ranges of this module hold 0: a tilt that draws the load back from an edge is not counted.
    Shapes: all (station,), in m/s2 (per unit mass). Source: statics; favourable actions left out (practice).
    """
    low, high = -gravity_mps2 * np.sin(np.radians(high_deg)), -gravity_mps2 * np.sin(np.radians(low_deg))
    return np.asarray(low), np.asarray(high)
