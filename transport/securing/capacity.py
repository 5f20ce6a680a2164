"""Resistance against a push in each direction of the deck, by every model, for each vertical factor.

A vertical factor is the force across the deck over the weight, 1 on a level deck at rest. Resistances are in kN.

Sliding, elastic share and equilibrium are found in two ways: by stops, friction and top-over lashings without direct
chains, or by direct chains, friction and top-over lashings without stops. A keyed stop is met at 0 mm, a chain is
full only after a slide, so that their capacities never add: EN 12195-1 sums blocking with friction (5.3, 5.4), not with
direct lashing (5.5). In each direction the way whose least model holds more counts, with all its models; between two
directions a straight line takes a part of each way, which together is one whole. Tipping is not held by stops.
"""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from shared.arrays import Array
from transport.securing import sliding, tipping
from transport.securing.arrangement import (
    DIRECTION_DEG,
    Arrangement,
    centres_m,
    contact_limits_kN,
    counted,
    direction_ratio,
    resisting,
    shared_kN,
    stop_ratio,
    turned,
    without,
)
from transport.securing.equilibrium import Collapse, collapse, wrench_kN

__all__ = ["MODELS", "WAYS", "by_model_kN", "closed_forms_kN", "free_kN", "lost_kN", "moment_kNm", "stopped_kN"]

MODELS = ("EN 12195-1 sliding", "EN 12195-1 tipping", "elastic share", "equilibrium")
WAYS = ("stops", "chains")
Choice = NDArray[np.intp]
BETWEEN_DEG = tuple(np.linspace(-7.5, 7.5, 31).tolist())
SENSES: Array = np.array([[1.0, 0, 0], [-1, 0, 0], [0, 1, 0], [0, -1, 0], [0, 0, 1], [0, 0, -1]])


def by_model_kN(arrangement: Arrangement, vertical_ratio: Array, *, by_stops_kN: Array | None = None) -> Array:
    """Resistance by each model of MODELS in the better of the two ways, (models, vertical factors, directions).

    by_stops_kN: stopped_kN where it is known already.
    Source: several models, each blind to something else; the least is used (practice).
    """
    return _better_kN(_ways_kN(arrangement, vertical_ratio, by_stops_kN), _tipping_kN(arrangement, vertical_ratio))


def lost_kN(arrangement: Arrangement, vertical_ratio: Array, *, by_stops_kN: Array | None = None) -> Array:
    """Resistance by each model after each single chain is lost, (chains, models, vertical factors, directions).

    In either way never more than intact; equilibrium is solved anew only where the lost chain counted, and by the stops
    only where it was a top-over leg.
    Source: EN 1990:2002, 3.2, accidental design situation (memory).
    """
    ways_kN, tipping_kN = _ways_kN(arrangement, vertical_ratio, by_stops_kN), _tipping_kN(arrangement, vertical_ratio)
    result_kN = []
    for chain, over in enumerate(arrangement.fixed_kN > 0.0):
        rest, left_kN = without(arrangement, chain), ways_kN.copy()
        chosen = np.flatnonzero(counted(arrangement)[:, chain] | over)
        left_kN[:, :2] = np.minimum(left_kN[:, :2], closed_forms_kN(rest, vertical_ratio))
        left_kN[1, 2][:, chosen] = _chained_kN(rest, vertical_ratio, chosen)
        if over:
            left_kN[0, 2][:, chosen] = _stopped_kN(rest, vertical_ratio, chosen)
        result_kN.append(_better_kN(left_kN, np.minimum(tipping_kN, _tipping_kN(rest, vertical_ratio))))
    return np.stack(result_kN)


def stopped_kN(arrangement: Arrangement, vertical_ratio: Array) -> Array:
    """Equilibrium by the stops, without direct chains and so whatever their capacity, (vertical factors, directions).

    Minus infinite where no stop counts.
    Source: limit analysis, equilibrium.collapse (read).
    """
    return _stopped_kN(arrangement, vertical_ratio, np.arange(len(DIRECTION_DEG)))


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


def _ways_kN(arrangement: Arrangement, vertical_ratio: Array, by_stops_kN: Array | None) -> Array:
    """Sliding, elastic share and equilibrium by stops and by chains, (2, 3, vertical factors, directions)."""
    known_kN = stopped_kN(arrangement, vertical_ratio) if by_stops_kN is None else by_stops_kN
    held_kN = [known_kN, _chained_kN(arrangement, vertical_ratio, np.arange(len(DIRECTION_DEG)))]
    return np.concatenate([closed_forms_kN(arrangement, vertical_ratio), np.stack(held_kN)[:, None]], axis=1)


def _better_kN(ways_kN: Array, tipping_kN: Array) -> Array:
    """The models of the way whose least holds more, with tipping second; (4, vertical factors, directions)."""
    best = np.argmax(np.min(ways_kN, axis=1), axis=0)[None, None]
    slides_kN, shared, held_kN = np.take_along_axis(ways_kN, best, axis=0)[0]
    return np.stack([slides_kN, tipping_kN, shared, held_kN])


def closed_forms_kN(arrangement: Arrangement, vertical_ratio: Array) -> Array:
    """Sliding and elastic share in each of WAYS, (2, 2, vertical factors, directions).

    By stops BC + mu N; by chains sum(F (h + mu v)) + mu N, the elastic share the least within half a step around.
    Source: EN 12195-1:2010, 5.3 blocking beside friction, 5.5 direct lashing, no sum of the two (memory).
    """
    full_kN, blocked_kN = arrangement.capacity_kN * counted(arrangement), _blocked_kN(arrangement)
    by_stops_kN = _sliding_kN(arrangement, np.zeros_like(full_kN), blocked_kN, vertical_ratio)
    unblocked_kN = np.zeros_like(blocked_kN)
    slides_kN = _sliding_kN(arrangement, full_kN, unblocked_kN, vertical_ratio)
    between = (turned(arrangement, angle_deg) for angle_deg in BETWEEN_DEG)
    shared = [_sliding_kN(one, shared_kN(one), unblocked_kN, vertical_ratio) for one in between]
    return np.stack([[by_stops_kN, by_stops_kN], [slides_kN, np.min(shared, axis=0)]])


def _blocked_kN(arrangement: Arrangement) -> Array:
    return np.asarray(stop_ratio(arrangement) @ arrangement.contact_limit_kN, dtype=float)


def _sliding_kN(arrangement: Arrangement, direct_kN: Array, blocked_kN: Array, vertical_ratio: Array) -> Array:
    return sliding.resistance_kN(
        direct_kN + arrangement.fixed_kN,
        resisting(arrangement),
        -arrangement.restraint.pull_ratio[:, 2],
        arrangement.pad_friction_ratio,
        vertical_ratio[:, None] * arrangement.weight_kN,
        blocked_kN,
    )


def _tipping_kN(arrangement: Arrangement, vertical_ratio: Array) -> Array:
    restraint = arrangement.restraint
    tension_kN = arrangement.capacity_kN * counted(arrangement) + arrangement.fixed_kN
    edge_m, outward = tipping.outline_m(restraint.contact_m[arrangement.is_pad])
    arm_m = tipping.restoring_arm_m(restraint.pull_ratio, restraint.on_load_m, edge_m, outward)
    helpful_m = np.where(arrangement.fixed_kN > 0.0, arm_m, np.maximum(arm_m, 0.0))
    carried_kN, holding_kNm = vertical_ratio * arrangement.weight_kN, tension_kN @ helpful_m.T
    corners_kN = [
        tipping.resistance_kN(centre_m, direction_ratio(), edge_m, outward, carried_kN, holding_kNm)
        for centre_m in centres_m(arrangement)
    ]
    return np.asarray(np.min(corners_kN, axis=0), dtype=float)


def _chained_kN(arrangement: Arrangement, vertical_ratio: Array, directions: Choice) -> Array:
    """Equilibrium with the direct chains that count and without stops."""
    tension_kN = (arrangement.capacity_kN * counted(arrangement))[directions]
    pads_kN = np.tile(arrangement.contact_limit_kN * arrangement.is_pad, (len(directions), 1))
    return _least_kN(arrangement, vertical_ratio, directions, tension_kN, pads_kN)


def _stopped_kN(arrangement: Arrangement, vertical_ratio: Array, directions: Choice) -> Array:
    """Equilibrium with the stops that count and without direct chains; minus infinity where no stop counts."""
    held_kN = np.full((len(vertical_ratio), len(directions)), -np.inf)
    met = (stop_ratio(arrangement)[directions] > 0.0).any(axis=-1)
    if met.any():
        ways = directions[met]
        slack_kN = np.zeros((len(ways), len(arrangement.capacity_kN)))
        contact_kN = contact_limits_kN(arrangement)[ways]
        held_kN[:, met] = _least_kN(arrangement, vertical_ratio, ways, slack_kN, contact_kN)
    return held_kN


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
