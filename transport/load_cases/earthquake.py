"""LC3, earthquake: grade, crossfall, bend and the mean wind with the shaking of the deck, no stop and no start.

The shaking is taken off the envelope beforehand: what is left must hold everything else, whichever way it shakes.
The mean wind is the gust divided by the lowest usual gust factor, so it is not taken too low. EN 1990 would leave the
wind out beside an earthquake; the mean is kept, since a move is only made below a limit that is met every day.
"""

from dataclasses import replace

import numpy as np

from shared.arrays import Array
from transport.load_cases.combination import Push, Still, Wind, corners, gust_limit_mps
from transport.load_cases.envelope import Envelope, Rows, first_crossing, push_use_ratio, without_favour
from transport.load_cases.ride import Masses, Ride, bend_range_kN, gravity_range_kN
from transport.trailer.earthquake import parts_ratio

__all__ = [
    "CLAUSE",
    "NAME",
    "REMEDY",
    "at_least_closed",
    "grouped_limit_mps",
    "levels",
    "shaken",
    "still",
    "worst_push",
]

NAME = "securing earthquake (LC3)"
CLAUSE = "EN 1998-1:2004, 4.3.3.5 (100/30/30, up and down) with grade, crossfall, bend and mean wind"
REMEDY = "more or flatter chains, a stiffer deck, or a level of shaking for the time of exposure by the safety officer"
STEPS_COUNT = 32
LEVELS_COUNT = 8
NODES_COUNT = 33
CLOSED_RATIO = 1.001


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
    m' = m (1 - use of the shaking alone), kept apart since the use is convex in the vertical factor. The circle of
    psi is enclosed by a polygon of the same 24 directions. What is left ends at some vertical factor, and below it no
    straight line may be drawn; so it is found at NODES_COUNT even steps beside the nodes of the envelope.
    Source: EN 1998-1:2004, 4.3.3.5, and convexity of the wrenches that can be held (memory).
    """
    up_ratio = vertical_kN / envelope.weight_kN
    lowest = envelope.vertical_ratio[0] + up_ratio
    given = np.append(lowest, envelope.vertical_ratio[envelope.vertical_ratio > lowest + 1e-6])
    nodes = np.unique(np.round([*np.linspace(lowest, given[-1], NODES_COUNT), *given], 9))
    force_kN, spent = [], []
    for part, up_part in parts_ratio(other_ratio):
        circle_kN = _circle_kN(part * horizontal_kN, envelope.force_kN.shape[1])
        left_over = nodes - up_part * up_ratio
        force_kN.append(_left_kN(envelope, circle_kN, left_over))
        spent.append(np.max(push_use_ratio(envelope, circle_kN[:, :1], circle_kN[:, 1:], left_over), axis=0))
    least = [np.interp(nodes - up_ratio, envelope.vertical_ratio, held) for held in envelope.moment_kNm.T]
    left = replace(
        envelope,
        vertical_ratio=nodes,
        force_kN=np.min(force_kN, axis=0),
        moment_kNm=np.stack(least, axis=-1),
        spent_ratio=np.max(spent, axis=0),
    )
    return without_favour(left)


def at_least_closed(use_ratio: Array, limit_mps: Array) -> Array:
    """Use in still air, (n,), told as more than 1 wherever no wind at all is allowed, (n, w).

    The limit comes from straight lines inside what the shaking leaves, the use from the shaken pushes themselves: the
    limit may close a little before the use reaches 1, and then the use is raised to CLOSED_RATIO.
    Source: one verdict for limit and use (practice).
    """
    closed = (limit_mps == 0.0).all(axis=1)
    return np.where(closed, np.maximum(use_ratio, CLOSED_RATIO), use_ratio)


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
    for part, up_part in parts_ratio(other_ratio):
        circle = part * _circle_kN(1.0, envelope.force_kN.shape[1])
        carried_kN = still.carried_kN - up_part * shaking_kN[:, 1]
        for ahead_kN, left_kN in corners(still):
            shaken_ahead_kN = ahead_kN + circle[:, :1] * shaking_kN[:, 0]
            shaken_left_kN = left_kN + circle[:, 1:] * shaking_kN[:, 0]
            use = push_use_ratio(envelope, shaken_ahead_kN, shaken_left_kN, carried_kN / envelope.weight_kN)
            found.append(np.broadcast_arrays(use, shaken_ahead_kN, shaken_left_kN, carried_kN))
    use, ahead_kN, left_kN, carried_kN = (np.concatenate(parts) for parts in zip(*found, strict=True))
    worst = (np.argmax(np.where(np.isnan(use), np.inf, use), axis=0), np.arange(use.shape[1]))
    return Push(use[worst], ahead_kN[worst], left_kN[worst], carried_kN[worst])


def _circle_kN(radius_kN: float, count: int) -> Array:
    """Corners of a regular polygon round a circle, (count, 2)."""
    angle_rad = 2.0 * np.pi * np.arange(count) / count
    outer_kN = radius_kN / np.cos(np.pi / count)
    return np.asarray(outer_kN * np.stack([np.cos(angle_rad), np.sin(angle_rad)], axis=-1), dtype=float)


def _left_kN(envelope: Envelope, circle_kN: Array, vertical_ratio: Array) -> Array:
    """Largest push in each direction that stays inside with every shake of the circle, (f, d)."""
    fan = _circle_kN(1.0, envelope.force_kN.shape[1]) * np.cos(np.pi / envelope.force_kN.shape[1])
    shape = (len(vertical_ratio), len(fan), len(circle_kN))
    along = np.broadcast_to(fan[None, :, None, :], (*shape, 2)).reshape(-1, 2)
    shake_kN = np.broadcast_to(circle_kN, (*shape, 2)).reshape(-1, 2)
    vertical = np.broadcast_to(vertical_ratio[:, None, None], shape).ravel()

    def use_at(push_kN: Array, rows: Rows) -> Array:
        at_kN = push_kN[:, None] * along[rows] + shake_kN[rows]
        return push_use_ratio(envelope, at_kN[:, 0], at_kN[:, 1], vertical[rows])

    highest_kN = 2.0 * float(np.max(envelope.force_kN))
    found_kN = first_crossing(use_at, len(along), high=highest_kN, steps_count=STEPS_COUNT)
    return np.asarray(np.min(found_kN.reshape(shape), axis=2), dtype=float)


def _rows_of(still: Still, rows: Rows) -> Still:
    ahead_kN, left_kN = ((low[rows], high[rows]) for low, high in (still.ahead_kN, still.left_kN))
    return Still(ahead_kN, left_kN, still.carried_kN[rows])


def _wind_of(wind: Wind, rows: Rows) -> Wind:
    return replace(wind, ahead_m2=wind.ahead_m2[rows], left_m2=wind.left_m2[rows])
