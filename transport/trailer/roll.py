"""Elastic roll: a leaning platform moves its own weight outward, which makes it lean more."""

import numpy as np
from numpy.typing import ArrayLike

from shared.arrays import Array
from shared.units import STANDARD_GRAVITY_MPS2

__all__ = ["leaned_deg", "net_roll_stiffness_MNm_per_rad", "roll_amplification_ratio"]


def roll_amplification_ratio(
    mass_t: ArrayLike, height_m: ArrayLike, stiffness_MNm_per_rad: float, gravity_mps2: float = STANDARD_GRAVITY_MPS2
) -> Array:
    """Factor on every sideways shift of the resultant: 1 / (1 - m g h / k).

    Infinite where m g h reaches k: the net stiffness is not positive and the platform does not stand upright.
    Shapes broadcast. Validity: small angles, linear stiffness of the declared grouping.
    Source: second-order statics of a body on a rotational spring (memory).
    """
    share = np.asarray(mass_t, dtype=float) * gravity_mps2 * np.asarray(height_m, dtype=float) / 1000.0
    left = 1.0 - share / stiffness_MNm_per_rad
    result = np.full(left.shape, np.nan)
    np.divide(1.0, left, out=result, where=left > 0.0)
    return np.where(left <= 0.0, np.inf, result)


def net_roll_stiffness_MNm_per_rad(
    mass_t: ArrayLike, height_m: ArrayLike, stiffness_MNm_per_rad: float, gravity_mps2: float = STANDARD_GRAVITY_MPS2
) -> Array:
    """Roll stiffness left beside the weight that leans out: k - m g h / 1000; at 0 or below it does not stand upright.

    Shapes broadcast. Validity: small angles. Source: second-order statics of a body on a rotational spring (memory).
    """
    weight_kN = np.asarray(mass_t, dtype=float) * gravity_mps2
    return np.asarray(stiffness_MNm_per_rad - weight_kN * np.asarray(height_m, dtype=float) / 1000.0)


def leaned_deg(roll_deg: tuple[Array, Array], amplification_ratio: float) -> tuple[Array, Array]:
    """Range of roll of the deck with its elastic lean: each end times 1 / (1 - m g h / k), 90 degrees at most.

    An infinite amplification, or a lean past that, is the deck on its side: 90 degrees either way.
    Shapes: two of (station,), NaN stays NaN. Validity: range that holds 0.
    Source: second-order statics of a body on a rotational spring (memory).
    """
    if np.isinf(amplification_ratio):
        side = np.where(np.isnan(roll_deg[0] + roll_deg[1]), np.nan, 90.0)
        return -side, side
    low, high = (np.clip(amplification_ratio * end, -90.0, 90.0) for end in roll_deg)
    return low, high
