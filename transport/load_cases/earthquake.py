"""LC3, earthquake: grade, crossfall, bend and the mean wind with the shaking of the deck, no stop and no start.

The shaking is added to the range of pushes in every direction; what is left of the envelope is for the wind.
The mean wind is the gust divided by the lowest usual gust factor, so it is not taken too low. EN 1990 would leave the
wind out beside an earthquake; the mean is kept, since a move is only made below a limit that is met every day.
"""

import numpy as np

from shared.arrays import Array
from transport.load_cases.combination import Still, corners
from transport.load_cases.polytope import SIGNS, Actions
from transport.load_cases.ride import Masses, Ride, bend_range_kN, gravity_range_kN
from transport.trailer.earthquake import parts_ratio

__all__ = ["CLAUSE", "NAME", "REMEDY", "shaken", "shakes_ratio", "still"]

NAME = "securing earthquake (LC3)"
CLAUSE = "EN 1998-1:2004, 4.3.3.5 (100/30/30, up and down) with grade, crossfall, bend and mean wind"
REMEDY = "more or flatter chains, a stiffer deck, or a level of shaking for the time of exposure by the safety officer"
STEPS_COUNTS = (24, 10)


def still(masses: Masses, ride: Ride) -> Still:
    """Range of the push without wind and shaking.

    -m g k_x, -m g k_y - m v^2 kappa, across the deck m g k_z.
    Source: EN 1998-1:2004 and EN 1990:2002, 6.4.3.4, permanent actions beside the earthquake (memory).
    """
    ahead_kN, left_kN, across_kN = gravity_range_kN(masses, ride)
    bend_kN = bend_range_kN(masses, ride)
    return Still((ahead_kN[0], ahead_kN[1]), (left_kN[0] + bend_kN[0], left_kN[1] + bend_kN[1]), across_kN)


def shaken(still: Still, shaking_kN: Array, other_ratio: float) -> Actions:
    """The range of pushes with the deck shaking any way round and upwards, horizontal and vertical (n, 2).

    H + a E (cos psi_i, sin psi_(i+1)), N - b E_z for both pairs (a, b) of 100/30/30, beside the corner of its own
    quadrant, psi in steps of 3.75 and of 9 degrees: each is larger along both axes than all of the circle between two
    steps, and no more than sqrt(1 + sin step) times it. Points of the circle alone would pass beside a weak direction.
    Source: EN 1998-1:2004, 4.3.3.5 (memory).
    """
    along, aside, up = shakes_ratio(other_ratio).T[:, :, None]
    corner, (horizontal_kN, vertical_kN) = corners(still), np.abs(shaking_kN).T
    signs = np.array(SIGNS)[:, :, None, None]
    return Actions(
        ahead_kN=corner.ahead_kN + signs[:, 0] * along * horizontal_kN,
        left_kN=corner.left_kN + signs[:, 1] * aside * horizontal_kN,
        carried_kN=corner.carried_kN - up * vertical_kN,
    )


def shakes_ratio(other_ratio: float) -> Array:
    """Parts of the horizontal shaking along either axis, and of the vertical one, that together cover a quadrant.

    (a cos psi_i, a sin psi_(i+1), b); result (shakes, 3).
    Source: EN 1998-1:2004, 4.3.3.5 (memory); steps own.
    """
    every = []
    for (part, up_part), count in zip(parts_ratio(other_ratio), STEPS_COUNTS, strict=True):
        angle_rad = np.linspace(0.0, np.pi / 2.0, count + 1)
        outer = part * np.stack([np.cos(angle_rad[:-1]), np.sin(angle_rad[1:])], axis=-1)
        every.append(np.column_stack([outer, np.full(count, up_part)]))
    return np.concatenate(every)
