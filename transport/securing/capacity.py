"""Resistance against a push in each direction of a fan round the deck, by every model, for each vertical factor.

A vertical factor is the force across the deck divided by the weight: 1 on a level deck at rest, less when an earthquake
or lift unloads the pads. Resistances are in kN, arrays (vertical factors, directions). The centre of mass is taken where
its tolerance makes the push tip soonest: forward in the direction of the push, up, and to either side.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from shared.arrays import Array
from transport.securing import sharing, sliding, tipping
from transport.securing.chains import credited, resisting_ratio
from transport.securing.equilibrium import Collapse, Restraint, collapse, wrench_kN

__all__ = [
    "DIRECTION_DEG",
    "MODELS",
    "Arrangement",
    "by_model_kN",
    "direction_ratio",
    "free_kN",
    "moment_kNm",
    "without",
]

DIRECTION_DEG: Array = np.arange(0.0, 360.0, 15.0)
MODELS = ("EN 12195-1 sliding", "EN 12195-1 tipping", "elastic share", "equilibrium")
AXES: Array = np.array([[1.0, 0, 0], [-1, 0, 0], [0, 1, 0], [0, -1, 0], [0, 0, 1], [0, 0, -1]])


@dataclass(frozen=True)
class Arrangement:
    """A unit with what holds it, as arrays: chains (n) and contacts (p).

    capacity_kN is 0 for a top-over leg and fixed_kN 0 for a direct chain; friction in the restraint is f_mu mu.
    """

    restraint: Restraint
    capacity_kN: Array
    fixed_kN: Array
    length_m: Array
    stiffness_kN: Array
    contact_limit_kN: Array
    is_pad: NDArray[np.bool_]
    weight_kN: float
    tolerance_m: float
    movement_m: float
    least_ratio: float


def direction_ratio() -> Array:
    """Unit vectors of the fan in the deck plane, (24, 2); 0 is forward, 90 to the left.

    Source: geometry (read).
    """
    angle_rad = np.deg2rad(DIRECTION_DEG)
    return np.stack([np.cos(angle_rad), np.sin(angle_rad)], axis=-1)


def without(arrangement: Arrangement, chain: int) -> Arrangement:
    """The arrangement after one chain is lost.

    Source: accidental design situation, loss of one member, EN 1990:2002, 3.2 (memory).
    """
    kept = np.arange(len(arrangement.capacity_kN)) != chain
    return replace(
        arrangement, capacity_kN=arrangement.capacity_kN * kept, fixed_kN=arrangement.fixed_kN * kept
    )


def by_model_kN(arrangement: Arrangement, vertical_ratio: Array) -> Array:
    """Resistance by each model of MODELS, (models, vertical factors, directions).

    Source: least of several models, each blind to something else (practice).
    """
    tension_kN = arrangement.capacity_kN * _counted_chains(arrangement) + arrangement.fixed_kN
    return np.stack(
        [
            _sliding_kN(arrangement, tension_kN, vertical_ratio),
            _tipping_kN(arrangement, tension_kN, vertical_ratio),
            _sliding_kN(arrangement, _shared_kN(arrangement) + arrangement.fixed_kN, vertical_ratio),
            _equilibrium_kN(arrangement, vertical_ratio),
        ]
    )


def moment_kNm(arrangement: Arrangement, vertical_ratio: Array) -> Array:
    """Pure moment that the pads alone hold about x, y and z, the lesser of both senses; (vertical factors, 3).

    Source: limit analysis as in equilibrium.collapse, without chains and stops (read).
    """
    fixed = _at_rest_kN(arrangement, vertical_ratio, arrangement.restraint.reference_m)
    count = len(AXES)
    scaled = np.concatenate([np.zeros((count, 3)), AXES * arrangement.weight_kN], axis=1)
    found = _collapse(
        arrangement,
        np.repeat(fixed, count, axis=0),
        np.tile(scaled, (len(vertical_ratio), 1)),
        np.zeros((1, len(arrangement.capacity_kN))),
        (arrangement.contact_limit_kN * arrangement.is_pad)[None, :],
    )
    both = found.multiplier_ratio.reshape(len(vertical_ratio), 3, 2) * arrangement.weight_kN
    return np.asarray(np.min(both, axis=-1), dtype=float)


def free_kN(arrangement: Arrangement, *, with_friction: bool) -> tuple[Array, Array]:
    """Equilibrium with every chain free, at vertical factor 1, and the virtual velocity at collapse.

    With friction an upper bound of the truth; without friction a lower bound. Results (directions,), (directions, 6).
    Source: Drucker 1954, bounds for bodies with friction (memory).
    """
    restraint = arrangement.restraint
    if not with_friction:
        bare = replace(restraint, friction_ratio=np.zeros_like(restraint.friction_ratio))
        arrangement = replace(arrangement, restraint=bare)
    fixed, scaled = _pushes_kN(arrangement, np.ones(1), np.arange(len(DIRECTION_DEG)))
    found = _collapse(
        arrangement,
        fixed.reshape(-1, 6),
        scaled.reshape(-1, 6),
        arrangement.capacity_kN[None, :],
        _contact_limit_kN(arrangement).repeat(scaled.shape[2], axis=0),
    )
    shape = (len(DIRECTION_DEG), -1)
    least = np.min(found.multiplier_ratio.reshape(shape), axis=-1) * arrangement.weight_kN
    return least, found.velocity_ratio.reshape(*shape, 6)[:, 0]


def _resisting(arrangement: Arrangement) -> Array:
    return resisting_ratio(arrangement.restraint.pull_ratio, direction_ratio())


def _counted_chains(arrangement: Arrangement) -> NDArray[np.bool_]:
    return credited(_resisting(arrangement), arrangement.least_ratio)


def _stop_ratio(arrangement: Arrangement) -> Array:
    """Share of each contact's normal force that resists, 0 for pads and for stops not counted; (directions, p)."""
    share = resisting_ratio(arrangement.restraint.normal_ratio, direction_ratio())
    return share * (credited(share, arrangement.least_ratio) & ~arrangement.is_pad)


def _contact_limit_kN(arrangement: Arrangement) -> Array:
    return arrangement.contact_limit_kN * (arrangement.is_pad | (_stop_ratio(arrangement) > 0.0))


def _friction_ratio(arrangement: Arrangement) -> float:
    return float(np.min(arrangement.restraint.friction_ratio[arrangement.is_pad]))


def _shared_kN(arrangement: Arrangement) -> Array:
    """Tension of each chain by elastic share, (directions, n)."""
    resisting = _resisting(arrangement) * _counted_chains(arrangement)
    rate = sharing.rate_kN_per_m(resisting, arrangement.stiffness_kN, arrangement.length_m)
    rate = rate * (arrangement.capacity_kN > 0.0)
    return sharing.share_kN(rate, sharing.movement_m(rate, arrangement.capacity_kN, arrangement.movement_m))


def _sliding_kN(arrangement: Arrangement, tension_kN: Array, vertical_ratio: Array) -> Array:
    blocked_kN = np.sum(_stop_ratio(arrangement) * arrangement.contact_limit_kN, axis=-1)
    return sliding.resistance_kN(
        tension_kN,
        _resisting(arrangement),
        -arrangement.restraint.pull_ratio[:, 2],
        _friction_ratio(arrangement),
        vertical_ratio[:, None] * arrangement.weight_kN,
        blocked_kN,
    )


def _tipping_kN(arrangement: Arrangement, tension_kN: Array, vertical_ratio: Array) -> Array:
    restraint = arrangement.restraint
    edge_m, outward = tipping.outline_m(restraint.contact_m[arrangement.is_pad])
    arm_m = tipping.restoring_arm_m(restraint.pull_ratio, restraint.on_load_m, edge_m, outward)
    direct = arrangement.capacity_kN > 0.0
    holding_kNm = tension_kN @ np.where(direct, np.maximum(arm_m, 0.0), arm_m).T
    force_kN = [
        tipping.resistance_kN(
            centre_m, direction_ratio(), edge_m, outward, vertical_ratio * arrangement.weight_kN, holding_kNm
        )
        for centre_m in _centres_m(arrangement)
    ]
    return np.asarray(np.min(force_kN, axis=0), dtype=float)


def _equilibrium_kN(arrangement: Arrangement, vertical_ratio: Array) -> Array:
    fixed, scaled = _pushes_kN(arrangement, vertical_ratio, np.arange(len(DIRECTION_DEG)))
    factors, directions, corners, _ = fixed.shape
    tension = arrangement.capacity_kN * _counted_chains(arrangement)
    contact = _contact_limit_kN(arrangement)
    found = _collapse(
        arrangement,
        fixed.reshape(-1, 6),
        scaled.reshape(-1, 6),
        np.tile(tension.repeat(corners, axis=0), (factors, 1)),
        np.tile(contact.repeat(corners, axis=0), (factors, 1)),
    )
    least = np.min(found.multiplier_ratio.reshape(factors, directions, corners), axis=-1)
    return np.asarray(least * arrangement.weight_kN, dtype=float)
