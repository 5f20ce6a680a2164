"""LC2, operation: grade, crossfall, bend, road shake, and the emergency stop or the start, with the gust."""

import numpy as np

from transport.load_cases.actions import inertia_kN
from transport.load_cases.combination import Still
from transport.load_cases.ride import Masses, Ride, bend_range_kN, gravity_range_kN

__all__ = ["CLAUSE", "NAME", "REMEDY", "still"]

NAME = "securing operation (LC2)"
CLAUSE = "project load case: grade + crossfall + bend + emergency stop or start + gust, together; LC / divisor"
REMEDY = "more or flatter chains in the direction that governs, a keyed stop, a gentler stop, a lower speed"


def still(masses: Masses, ride: Ride) -> Still:
    """Range of the push with everything but the wind, all at once.

    forward: -m g k_x + m a_stop; backward: -m g k_x - m a_start; sideways: -m g k_y - m v^2 kappa;
    across the deck: m (g k_z - a_z). The stop and the start exclude each other.
    Source: statics in the moving frame; all together by project policy (practice).
    """
    ahead_kN, left_kN, across_kN = gravity_range_kN(masses, ride)
    bend_kN = bend_range_kN(masses, ride)
    stop_kN = inertia_kN(masses.greatest_t, np.maximum(ride.deceleration_mps2, 0.0))
    start_kN = inertia_kN(masses.greatest_t, np.maximum(ride.start_mps2, 0.0))
    shake_kN = inertia_kN(masses.least_t, np.abs(ride.vertical_mps2))
    return Still(
        ahead_kN=(ahead_kN[0] - start_kN, ahead_kN[1] + stop_kN),
        left_kN=(left_kN[0] + bend_kN[0], left_kN[1] + bend_kN[1]),
        carried_kN=across_kN - shake_kN,
    )
