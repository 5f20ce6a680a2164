"""Elastic roll: a leaning platform moves its own weight outward, which makes it lean more."""

import numpy as np
from numpy.typing import ArrayLike

from shared.arrays import Array
from shared.units import STANDARD_GRAVITY_MPS2

__all__ = ["roll_amplification_ratio"]


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
