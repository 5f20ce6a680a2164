"""Twist of a deck on four groups: the road's warp goes through deck and load, and shifts force to one diagonal."""

import numpy as np
from numpy.typing import ArrayLike

from shared.arrays import Array
from transport.trailer.stroke import grade_change_ratio

__all__ = ["twist_force_kN", "warp_rad"]


def warp_rad(
    station_m: Array, crossfall_ratio: Array, crossfall_se_ratio: Array, length_m: float, standard_errors_count: float
) -> Array:
    """Twist of the road under the deck: greatest less least crossfall along it, with the survey's allowance.

    w = max c - min c + sqrt(2) k se. Shapes: (station,), NaN under the length gives NaN.
    Validity: small crossfalls, where the tangent is the angle. Source: geometry.
    """
    change = grade_change_ratio(station_m, crossfall_ratio, length_m)
    return np.asarray(change + np.sqrt(2.0) * standard_errors_count * crossfall_se_ratio)


def twist_force_kN(stiffness_MNm_per_rad: float, warp_rad: ArrayLike, track_m: float) -> Array:
    """Force that a twisted deck adds to two groups on one diagonal and takes from the other two: 1000 k w / b.

    Shapes broadcast. Validity: four groups in a rectangle; an upper bound, since tyres and oil give way too. A group
    that was overfilled adds to it and is not in it. Three groups: the deck is statically determinate, none.
    Source: statics of a deck in torsion (memory).
    """
    return np.asarray(1000.0 * stiffness_MNm_per_rad * np.asarray(warp_rad, dtype=float) / track_m)
