"""Acceleration at which a load held by friction alone begins to slide, on a slope and shaken vertically."""

import numpy as np

from shared.arrays import Array
from shared.units import STANDARD_GRAVITY_MPS2

__all__ = ["chain_force_kN", "needed_ratio", "sliding_mps2"]


def sliding_mps2(
    friction_ratio: float | Array,
    slope_ratio: float | Array,
    vertical_mps2: float | Array,
    gravity_mps2: float = STANDARD_GRAVITY_MPS2,
) -> Array:
    """Onset of sliding downhill: a = (g + a_v) tan(phi - theta); uphill with a negative slope.

    a_v upward positive: take it negative for the worse sense. Below 0 the load slides without shaking.
    Source: statics of a block on an incline (memory)
    """
    angle = np.arctan(friction_ratio) - np.arctan(slope_ratio)
    return np.asarray((gravity_mps2 + np.asarray(vertical_mps2)) * np.tan(angle))


def needed_ratio(
    horizontal_mps2: float | Array,
    slope_ratio: float | Array,
    vertical_mps2: float | Array,
    gravity_mps2: float = STANDARD_GRAVITY_MPS2,
) -> Array:
    """Friction that would just hold downhill: mu = tan(theta + atan(a_h / (g + a_v))).

    Infinite without weight. The same ratio of half base to height just keeps a block from rocking.
    Source: inverse of sliding_mps2 (memory)
    """
    weight = gravity_mps2 + np.asarray(vertical_mps2)
    angle = np.arctan(np.abs(slope_ratio)) + np.arctan2(horizontal_mps2, weight)
    return np.where(angle >= np.pi / 2.0, np.inf, np.tan(angle))


def chain_force_kN(mass_t: float, horizontal_mps2: float, vertical_mps2: float, friction_ratio: float) -> float:
    """Force left for the chains: F = m (a_h - mu (g - |a_v|)); mu = 0 gives no credit to friction.

    Source: statics (memory)
    """
    kept = friction_ratio * (STANDARD_GRAVITY_MPS2 - abs(vertical_mps2))
    return mass_t * (horizontal_mps2 - kept)
