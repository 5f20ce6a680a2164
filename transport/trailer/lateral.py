"""What the mirror feels across the deck: gravity on the leaning deck and the bend."""

from typing import NamedTuple

import numpy as np

from shared.arrays import Array
from shared.units import STANDARD_GRAVITY_MPS2

__all__ = ["Lateral", "lateral_mps2"]


class Lateral(NamedTuple):
    """The sideways acceleration of each station, what it is made of, and what is allowed."""

    lean_deg: Array
    amplification_ratio: float
    speed_mps: Array
    curvature_per_m: Array
    reach_per_m: Array
    felt_mps2: Array
    allowed_mps2: float


def lateral_mps2(
    lean_deg: Array, amplification_ratio: float, speed_mps: Array, curvature_per_m: Array, reach_per_m: Array
) -> Array:
    """Greatest sideways acceleration in the plane of the deck: g sin(phi) + e v^2 (|kappa| + s).

    phi is the further end of the roll with its tolerance and elastic lean; e lets the bend lean the deck as well; the
    roll is taken towards the outside of the bend whichever way it turns. Infinite e: infinite, the deck falls over.
    Shapes: all (station,), NaN stays NaN. Validity: small elastic lean.
    Source: statics; second-order statics of roll_amplification_ratio (memory).
    """
    unstable = np.isinf(amplification_ratio)
    bend_mps2 = np.square(speed_mps) * (np.abs(curvature_per_m) + reach_per_m)
    growth = 1.0 if unstable else amplification_ratio
    felt_mps2 = STANDARD_GRAVITY_MPS2 * np.sin(np.radians(lean_deg)) + growth * bend_mps2
    return np.where(np.isnan(felt_mps2) | ~unstable, felt_mps2, np.inf)
