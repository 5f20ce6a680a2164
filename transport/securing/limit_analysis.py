"""What the unit holds by limit analysis with the chains or stops that count: model B on an arrangement.

Forces in kN; the worst place of the centre of mass within its tolerance counts. Where the chains are free it gives the
bounds of Drucker, which are printed and never used.
"""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from shared.arrays import Array
from transport.securing.arrangement import (
    DIRECTION_DEG,
    Arrangement,
    centres_m,
    contact_limits_kN,
    counted,
    direction_ratio,
    stop_ratio,
)
from transport.securing.equilibrium import Collapse, collapse, wrench_kN

__all__ = ["chained_kN", "free_kN", "moment_kNm", "stopped_kN"]

Choice = NDArray[np.intp]
EVERY: Choice = np.arange(len(DIRECTION_DEG))
SENSES: Array = np.array([[1.0, 0, 0], [-1, 0, 0], [0, 1, 0], [0, -1, 0], [0, 0, 1], [0, 0, -1]])


def chained_kN(arrangement: Arrangement, vertical_ratio: Array, directions: Choice = EVERY) -> Array:
    """Equilibrium with the direct chains that count and without stops, (vertical factors, chosen directions).

    Source: limit analysis, equilibrium.collapse (read).
    """
    tension_kN = (arrangement.capacity_kN * counted(arrangement))[directions]
    pads_kN = np.tile(arrangement.contact_limit_kN * arrangement.is_pad, (len(directions), 1))
    return _least_kN(arrangement, vertical_ratio, directions, tension_kN, pads_kN)


def stopped_kN(arrangement: Arrangement, vertical_ratio: Array, directions: Choice = EVERY) -> Array:
    """Equilibrium by the stops, without direct chains and so whatever their capacity; minus infinite where none counts.

    Result (vertical factors, chosen directions).
    Source: limit analysis, equilibrium.collapse (read).
    """
    held_kN = np.full((len(vertical_ratio), len(directions)), -np.inf)
    met = (stop_ratio(arrangement)[directions] > 0.0).any(axis=-1)
    if met.any():
        ways = directions[met]
        slack_kN = np.zeros((len(ways), len(arrangement.capacity_kN)))
        contact_kN = contact_limits_kN(arrangement)[ways]
        held_kN[:, met] = _least_kN(arrangement, vertical_ratio, ways, slack_kN, contact_kN)
    return held_kN


def moment_kNm(arrangement: Arrangement, vertical_ratio: Array) -> Array:
    """Pure moment that the pads alone hold about x, y and z; (vertical factors, 3).

    The lesser of both senses, and the least over the corners c + tol (+-1, +-1) of where the centre of mass may lie:
    what can be held is concave in its place, so between the corners it is never less.
    Source: limit analysis as in equilibrium.collapse, without direct chains and stops (read).
    """
    factors, senses = len(vertical_ratio), len(SENSES)
    corners_m = centres_m(arrangement)[:, [0, len(DIRECTION_DEG) // 2]].reshape(-1, 1, 3)
    corners_m = corners_m[: None if arrangement.tolerance_m > 0.0 else 1]
    fixed_kN = _at_rest_kN(arrangement, np.broadcast_to(vertical_ratio, (len(corners_m), factors)), corners_m)
    scaled_kN = np.concatenate([np.zeros((senses, 3)), SENSES * arrangement.weight_kN], axis=1)
    count = len(corners_m) * factors
    found = _collapse(
        arrangement,
        np.repeat(fixed_kN.reshape(-1, 6), senses, axis=0),
        np.tile(scaled_kN, (count, 1)),
        np.zeros((count * senses, len(arrangement.capacity_kN))),
        np.tile(arrangement.contact_limit_kN * arrangement.is_pad, (count * senses, 1)),
    )
    both = found.multiplier_ratio.reshape(-1, factors, len(SENSES) // 2, 2)
    return np.asarray(np.min(both, axis=(0, -1)) * arrangement.weight_kN, dtype=float)


def free_kN(arrangement: Arrangement, *, with_friction: bool) -> tuple[Array, Array]:
    """Equilibrium on a level deck with every chain free or by the stops, and the virtual velocity at collapse.

    With friction an upper bound of the truth, without it a lower bound; results (directions,) and (directions, 6).
    Source: Drucker 1954, bounds for bodies with friction (memory).
    """
    if not with_friction:
        restraint = arrangement.restraint
        bare = replace(restraint, friction_ratio=np.zeros_like(restraint.friction_ratio))
        arrangement = replace(arrangement, restraint=bare)
    everywhere = np.arange(len(DIRECTION_DEG))
    free_kN = np.broadcast_to(arrangement.capacity_kN, (len(DIRECTION_DEG), len(arrangement.capacity_kN)))
    pads_kN = np.tile(arrangement.contact_limit_kN * arrangement.is_pad, (len(DIRECTION_DEG), 1))
    ways = [
        _pushed(arrangement, np.ones(1), everywhere, tension_kN, contact_kN)
        for tension_kN, contact_kN in ((free_kN, pads_kN), (0.0 * free_kN, contact_limits_kN(arrangement)))
    ]
    held = np.stack([np.min(way.multiplier_ratio.reshape(-1, len(DIRECTION_DEG)), axis=0) for way in ways])
    velocity = np.stack([way.velocity_ratio[: len(DIRECTION_DEG)] for way in ways])
    best = np.argmax(held, axis=0)
    return np.asarray(np.max(held, axis=0) * arrangement.weight_kN, dtype=float), velocity[best, everywhere]


def _least_kN(
    arrangement: Arrangement, vertical_ratio: Array, directions: Choice, tension_kN: Array, contact_kN: Array
) -> Array:
    """Equilibrium at the worst place of the centre of mass, (vertical factors, chosen directions)."""
    found = _pushed(arrangement, vertical_ratio, directions, tension_kN, contact_kN)
    corners = found.multiplier_ratio.reshape(-1, len(vertical_ratio), len(directions))
    return np.asarray(np.min(corners, axis=0) * arrangement.weight_kN, dtype=float)


def _pushed(
    arrangement: Arrangement, vertical_ratio: Array, directions: Choice, tension_kN: Array, contact_kN: Array
) -> Collapse:
    """Push by the weight in the chosen directions; problems ordered (corners, vertical factors, directions)."""
    corners = centres_m(arrangement)[: 2 if arrangement.tolerance_m > 0.0 else 1, None, directions]
    shape = (len(corners), len(vertical_ratio), len(directions))
    push_kN = np.zeros((len(directions), 3))
    push_kN[:, :2] = direction_ratio()[directions] * arrangement.weight_kN
    pushed_kN = wrench_kN(push_kN, corners, arrangement.restraint.reference_m)
    return _collapse(
        arrangement,
        _at_rest_kN(arrangement, vertical_ratio[:, None], corners).reshape(-1, 6),
        np.broadcast_to(pushed_kN, (*shape, 6)).reshape(-1, 6),
        np.broadcast_to(tension_kN, (*shape[:2], *tension_kN.shape)).reshape(-1, tension_kN.shape[-1]),
        np.broadcast_to(contact_kN, (*shape[:2], *contact_kN.shape)).reshape(-1, contact_kN.shape[-1]),
    )


def _collapse(
    arrangement: Arrangement, fixed_kN: Array, scaled_kN: Array, tension_kN: Array, contact_kN: Array
) -> Collapse:
    return collapse(
        arrangement.restraint,
        fixed_kN=fixed_kN,
        scaled_kN=scaled_kN,
        tension_limit_kN=tension_kN,
        contact_limit_kN=contact_kN,
        scale_kN=arrangement.weight_kN,
    )


def _at_rest_kN(arrangement: Arrangement, vertical_ratio: Array, centre_m: Array) -> Array:
    """Weight across the deck at each vertical factor, with the top-over lashings; (..., 6)."""
    restraint = arrangement.restraint
    weight_kN = np.array([0.0, 0.0, -arrangement.weight_kN])
    lashed_kN = arrangement.fixed_kN @ wrench_kN(restraint.pull_ratio, restraint.on_load_m, restraint.reference_m)
    return vertical_ratio[..., None] * wrench_kN(weight_kN, centre_m, restraint.reference_m) + lashed_kN
