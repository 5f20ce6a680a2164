"""LC3, earthquake: grade, crossfall, bend and the mean wind with the shaking of the deck, no stop and no start.

The shaking is taken off the envelope beforehand: what is left must hold everything else, whichever way it shakes.
The mean wind is the gust divided by the lowest usual gust factor, so it is not taken too low. EN 1990 would leave the
wind out beside an earthquake; the mean is kept, since a move is only made below a limit that is met every day.
"""

from dataclasses import replace

import numpy as np

from shared.arrays import Array
from transport.load_cases.actions import inertia_kN, seismic_parts_ratio
from transport.load_cases.combination import Push, Still, Wind, corners, gust_limit_mps
from transport.load_cases.envelope import CLOSED, Envelope, Rows, first_crossing, push_use_ratio
from transport.load_cases.ride import Masses, Ride, bend_range_kN, gravity_range_kN

__all__ = ["CLAUSE", "NAME", "REMEDY", "grouped_limit_mps", "levels", "shaken", "still", "worst_push"]

NAME = "securing earthquake (LC3)"
CLAUSE = "EN 1998-1:2004, 4.3.3.5 (100/30/30, up and down) with grade, crossfall, bend and mean wind"
REMEDY = "more or flatter chains, a stiffer deck, or a level of shaking for the time of exposure by the safety officer"
STEPS_COUNT = 32
LEVELS_COUNT = 8


def still(masses: Masses, ride: Ride) -> Still:
    """Range of the push without wind and shaking.

    -m g k_x, -m g k_y - m v^2 kappa, across the deck m g k_z.
    Source: EN 1998-1:2004 and EN 1990:2002, 6.4.3.4, permanent actions beside the earthquake (memory).
    """
    ahead_kN, left_kN, across_kN = gravity_range_kN(masses, ride)
    bend_kN = bend_range_kN(masses, ride)
    return Still((ahead_kN[0], ahead_kN[1]), (left_kN[0] + bend_kN[0], left_kN[1] + bend_kN[1]), across_kN)


def shaken(envelope: Envelope, horizontal_kN: float, vertical_kN: float, other_ratio: float) -> Envelope:
    """What is left of an envelope whichever way the deck shakes.

    R' = largest H with H e + r e_psi inside for every psi, at the vertical factor less the upward shaking;
    m' = m (1 - use of the shaking alone). The circle of psi is enclosed by a polygon of the same 24 directions.
    Source: EN 1998-1:2004, 4.3.3.5, and convexity of the wrenches that can be held (memory).
    """
    up_ratio = vertical_kN / envelope.weight_kN
    nodes = np.maximum(envelope.vertical_ratio, envelope.vertical_ratio[0] + up_ratio)
    force_kN, spent = [], []
    for part, up_part in seismic_parts_ratio(other_ratio):
        circle_kN = _circle_kN(part * horizontal_kN, envelope.force_kN.shape[1])
        left_over = nodes - up_part * up_ratio
        force_kN.append(_left_kN(envelope, circle_kN, left_over))
        spent.append(np.max(push_use_ratio(envelope, *circle_kN.T[:, :, None], left_over), axis=0))
    force, use = np.min(force_kN, axis=0), np.max(spent, axis=0)
    lowest = np.stack([np.interp(nodes - up_ratio, envelope.vertical_ratio, held) for held in envelope.moment_kNm.T])
    moment = np.where(use < 1.0, lowest * (1.0 - np.minimum(use, 1.0)), CLOSED).T
    return replace(
        envelope, vertical_ratio=nodes, force_kN=np.where(force > 0.0, force, CLOSED), moment_kNm=moment
    )


def levels(horizontal_mps2: Array, vertical_mps2: Array) -> Array:
    """The shaking of each station raised to one of a few levels, (n, 2); NaN stays NaN.

    Source: rounding up is on the safe side (practice).
    """
    pair = np.abs(np.stack([horizontal_mps2, vertical_mps2], axis=-1))
    known = pair[np.isfinite(pair).all(axis=-1)]
    if len(np.unique(known, axis=0)) <= LEVELS_COUNT:
        return pair
    step = np.max(known, axis=0) / LEVELS_COUNT
    return np.asarray(np.ceil(pair / np.where(step > 0.0, step, 1.0)) * step, dtype=float)


def grouped_limit_mps(
    envelope: Envelope, still: Still, wind: Wind, shaking_kN: Array, *, other_ratio: float, **search: float
) -> Array:
    """Gust limit beside the earthquake: stations with the same shaking (n, 2) together; NaN where it is unknown.

    Source: combination.gust_limit_mps on the envelope that the shaking leaves (practice).
    """
    limit_mps = np.full(wind.ahead_m2.shape, np.nan)
    for level in np.unique(shaking_kN[np.isfinite(shaking_kN).all(axis=-1)], axis=0):
        rows = np.flatnonzero((shaking_kN == level).all(axis=-1))
        rest = shaken(envelope, float(level[0]), float(level[1]), other_ratio)
        limit_mps[rows] = gust_limit_mps(rest, _rows_of(still, rows), _wind_of(wind, rows), **search)
    return limit_mps


def worst_push(envelope: Envelope, still: Still, shaking_kN: Array, other_ratio: float) -> Push:
    """The worst corner of the range with the worst sense of shaking, in still air; (n,).

    Source: utilisation = action / resistance, all senses of 100/30/30 (memory).
    """
    found = []
    for part, up_part in seismic_parts_ratio(other_ratio):
        circle = _circle_kN(1.0, envelope.force_kN.shape[1])
        carried_kN = still.carried_kN - up_part * shaking_kN[:, 1]
        for ahead_kN, left_kN in corners(still):
            pushes = np.stack([ahead_kN, left_kN])[:, None] + part * shaking_kN[:, 0] * circle.T[:, :, None]
            use = push_use_ratio(envelope, *pushes, np.broadcast_to(carried_kN / envelope.weight_kN, pushes[0].shape))
            found.append(np.stack([use, *pushes, np.broadcast_to(carried_kN, use.shape)]))
    every = np.concatenate(found, axis=1)
    worst = np.argmax(np.where(np.isnan(every[0]), np.inf, every[0]), axis=0)
    return Push(*every[:, worst, np.arange(every.shape[2])])
