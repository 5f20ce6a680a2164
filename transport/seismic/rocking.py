"""Acceleration at which a free-standing load, or the trailer on its suspension, begins to rock."""

import numpy as np

from shared.arrays import Array
from shared.units import STANDARD_GRAVITY_MPS2

__all__ = ["rocking_mps2"]


def rocking_mps2(
    half_base_m: float | Array,
    height_m: float | Array,
    slope_ratio: float | Array,
    vertical_mps2: float | Array,
    gravity_mps2: float = STANDARD_GRAVITY_MPS2,
) -> Array:
    """Onset of rocking towards the low side: a = (g + a_v) tan(atan(b / h) - theta).

    b half base, h height of the centre of mass; a_v upward positive, negative for the worse sense.
    Source: statics of a rigid block (memory)
    """
    angle = np.arctan2(half_base_m, height_m) - np.arctan(slope_ratio)
    return np.asarray((gravity_mps2 + np.asarray(vertical_mps2)) * np.tan(angle))
