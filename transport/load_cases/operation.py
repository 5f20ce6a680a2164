"""LC2, operation: grade, crossfall, bend, road shake, and emergency stop, rebound or start, with the gust."""

import numpy as np

from shared.arrays import Array
from transport.load_cases.actions import inertia_kN
from transport.load_cases.combination import Still
from transport.load_cases.ride import Masses, Ride, bend_range_kN, gravity_range_kN

__all__ = ["CLAUSE", "NAME", "REMEDY", "backward_mps2", "still"]

NAME = "securing operation (LC2)"
CLAUSE = (
    "project load case: grade + crossfall + bend + emergency stop, its rebound or start + gust, together; "
    "stops or LC / divisor"
)
REMEDY = "more or flatter chains in the direction that governs, a keyed stop, a gentler stop, a lower speed"


def backward_mps2(ride: Ride) -> Array:
    """Backward acceleration that the load feels: the start, or the rebound when the stop ends; (n,), NaN stays NaN.

    max(a_start, a_stop). At v = 0 the brake force vanishes at once and the deck swings back; the swing back is bounded
    by the emergency deceleration as the load feels it, which a damped deck does not reach.
    Source: end of a stop as a step, bound taken whole (practice).
    """
    return np.asarray(np.maximum(np.maximum(ride.start_mps2, ride.deceleration_mps2), 0.0), dtype=float)


def still(masses: Masses, ride: Ride) -> Still:
    """Range of the push with everything but the wind, all at once.

    forward: -m g k_x + m a_stop; backward: -m g k_x - m a_back; sideways: -m g k_y - m v^2 kappa;
    across the deck: m (g k_z - a_z). The stop and its rebound or the start exclude each other.
    Source: statics in the moving frame; all together by project policy (practice).
    """
    ahead_kN, left_kN, across_kN = gravity_range_kN(masses, ride)
    bend_kN = bend_range_kN(masses, ride)
    stop_kN = inertia_kN(masses.greatest_t, np.maximum(ride.deceleration_mps2, 0.0))
    back_kN = inertia_kN(masses.greatest_t, backward_mps2(ride))
    shake_kN = inertia_kN(masses.least_t, np.abs(ride.vertical_mps2))
    return Still(
        ahead_kN=(ahead_kN[0] - back_kN, ahead_kN[1] + stop_kN),
        left_kN=(left_kN[0] + bend_kN[0], left_kN[1] + bend_kN[1]),
        carried_kN=across_kN - shake_kN,
    )
