"""Resistance against a push in each direction of the deck, by every model, for each vertical factor.

A vertical factor is the force across the deck over the weight: 1 on a level deck at rest, less when an earthquake or
lift unloads the pads. Resistances are in kN, arrays (vertical factors, directions).
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
    without,
)
from transport.securing.equilibrium import Collapse, collapse, wrench_kN

__all__ = ["MODELS", "by_model_kN", "free_kN", "lost_kN", "moment_kNm"]

MODELS = ("EN 12195-1 sliding", "EN 12195-1 tipping", "elastic share", "equilibrium")
Choice = NDArray[np.intp]
SENSES: Array = np.array([[1.0, 0, 0], [-1, 0, 0], [0, 1, 0], [0, -1, 0], [0, 0, 1], [0, 0, -1]])


def by_model_kN(arrangement: Arrangement, vertical_ratio: Array) -> Array:
    """Resistance by each model of MODELS, (models, vertical factors, directions).

    Source: several models, each blind to something else; the least is used (practice).
    """
    everywhere = np.arange(len(DIRECTION_DEG))
    return np.stack([*_closed_forms_kN(arrangement, vertical_ratio), _held_kN(arrangement, vertical_ratio, everywhere)])


def lost_kN(arrangement: Arrangement, vertical_ratio: Array) -> Array:
    """Resistance by each model after each single chain is lost, (chains, models, vertical factors, directions).

    Never more than intact; equilibrium is solved anew only where the lost chain counted.
    Source: EN 1990:2002, 3.2, accidental design situation (memory).
    """
    intact_kN = by_model_kN(arrangement, vertical_ratio)
    result_kN = np.repeat(intact_kN[None], len(arrangement.capacity_kN), axis=0)
    for chain, model_kN in enumerate(result_kN):
        rest = without(arrangement, chain)
        counts = counted(arrangement)[:, chain] | (arrangement.fixed_kN[chain] > 0.0)
        model_kN[:3] = np.minimum(model_kN[:3], _closed_forms_kN(rest, vertical_ratio))
        model_kN[3][:, counts] = _held_kN(rest, vertical_ratio, np.flatnonzero(counts))
    return result_kN


def moment_kNm(arrangement: Arrangement, vertical_ratio: Array) -> Array:
    """Pure moment that the pads alone hold about x, y and z, the lesser of both senses; (vertical factors, 3).

    Source: limit analysis as in equilibrium.collapse, without direct chains and stops (read).
    """
    factors, senses = len(vertical_ratio), len(SENSES)
    scaled_kN = np.concatenate([np.zeros((senses, 3)), SENSES * arrangement.weight_kN], axis=1)
    found = _collapse(
        arrangement,
        np.repeat(_at_rest_kN(arrangement, vertical_ratio, arrangement.restraint.reference_m), senses, axis=0),
        np.tile(scaled_kN, (factors, 1)),
        np.zeros((factors * senses, len(arrangement.capacity_kN))),
        np.tile(arrangement.contact_limit_kN * arrangement.is_pad, (factors * senses, 1)),
    )
    both = found.multiplier_ratio.reshape(factors, len(SENSES) // 2, 2)
    return np.asarray(np.min(both, axis=-1) * arrangement.weight_kN, dtype=float)


def free_kN(arrangement: Arrangement, *, with_friction: bool) -> tuple[Array, Array]:
    """Equilibrium on a level deck with every chain free, and the virtual velocity at collapse.

    With friction an upper bound of the truth, without it a lower bound; results (directions,) and (directions, 6).
    Source: Drucker 1954, bounds for bodies with friction (memory).
    """
    if not with_friction:
        restraint = arrangement.restraint
        bare = replace(restraint, friction_ratio=np.zeros_like(restraint.friction_ratio))
        arrangement = replace(arrangement, restraint=bare)
    everywhere = np.arange(len(DIRECTION_DEG))
    free_kN = np.broadcast_to(arrangement.capacity_kN, (len(DIRECTION_DEG), len(arrangement.capacity_kN)))
    found = _pushed(arrangement, np.ones(1), everywhere, free_kN)
    corners_kN = found.multiplier_ratio.reshape(-1, len(DIRECTION_DEG)) * arrangement.weight_kN
    return np.asarray(np.min(corners_kN, axis=0), dtype=float), found.velocity_ratio[: len(DIRECTION_DEG)]


def _closed_forms_kN(arrangement: Arrangement, vertical_ratio: Array) -> Array:
    """Sliding, tipping and elastic share, (3, vertical factors, directions)."""
    full_kN = arrangement.capacity_kN * counted(arrangement) + arrangement.fixed_kN
    shared = shared_kN(arrangement) + arrangement.fixed_kN
    return np.stack(
        [
            _sliding_kN(arrangement, full_kN, vertical_ratio),
            _tipping_kN(arrangement, full_kN, vertical_ratio),
            _sliding_kN(arrangement, shared, vertical_ratio),
        ]
    )


def _sliding_kN(arrangement: Arrangement, tension_kN: Array, vertical_ratio: Array) -> Array:
    return sliding.resistance_kN(
        tension_kN,
        resisting(arrangement),
        -arrangement.restraint.pull_ratio[:, 2],
        float(np.min(arrangement.restraint.friction_ratio[arrangement.is_pad])),
        vertical_ratio[:, None] * arrangement.weight_kN,
        np.sum(stop_ratio(arrangement) * arrangement.contact_limit_kN, axis=-1),
    )


def _tipping_kN(arrangement: Arrangement, tension_kN: Array, vertical_ratio: Array) -> Array:
    restraint = arrangement.restraint
    edge_m, outward = tipping.outline_m(restraint.contact_m[arrangement.is_pad])
    arm_m = tipping.restoring_arm_m(restraint.pull_ratio, restraint.on_load_m, edge_m, outward)
    helpful_m = np.where(arrangement.fixed_kN > 0.0, arm_m, np.maximum(arm_m, 0.0))
    carried_kN, holding_kNm = vertical_ratio * arrangement.weight_kN, tension_kN @ helpful_m.T
    corners_kN = [
        tipping.resistance_kN(centre_m, direction_ratio(), edge_m, outward, carried_kN, holding_kNm)
        for centre_m in centres_m(arrangement)
    ]
    return np.asarray(np.min(corners_kN, axis=0), dtype=float)


def _held_kN(arrangement: Arrangement, vertical_ratio: Array, directions: Choice) -> Array:
    """Equilibrium with the chains that count, (vertical factors, chosen directions)."""
    tension_kN = (arrangement.capacity_kN * counted(arrangement))[directions]
    found = _pushed(arrangement, vertical_ratio, directions, tension_kN)
    corners = found.multiplier_ratio.reshape(-1, len(vertical_ratio), len(directions))
    return np.asarray(np.min(corners, axis=0) * arrangement.weight_kN, dtype=float)


def _pushed(arrangement: Arrangement, vertical_ratio: Array, directions: Choice, tension_kN: Array) -> Collapse:
    """Push by the weight in the chosen directions; problems ordered (corners, vertical factors, directions)."""
    corners = centres_m(arrangement)[: 2 if arrangement.tolerance_m > 0.0 else 1, None, directions]
    shape = (len(corners), len(vertical_ratio), len(directions))
    push_kN = np.zeros((len(directions), 3))
    push_kN[:, :2] = direction_ratio()[directions] * arrangement.weight_kN
    pushed_kN = wrench_kN(push_kN, corners, arrangement.restraint.reference_m)
    contact_kN = contact_limits_kN(arrangement)[directions]
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
