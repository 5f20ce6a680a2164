"""Elastic chains that only pull, on a unit pushed until the first of them is full (model C).

The unit stands under its weight, its chains are then tightened, and it is pushed sideways step by step, and slides,
lifts and turns as it will. What it holds is the largest push on the way to the first chain or contact at its capacity.
No chain gets more than the movement stretches it, so that the trap of friction in a free limit analysis does not arise.
"""

from dataclasses import dataclass, fields
from typing import Self

import numpy as np
from numpy.typing import NDArray

from shared.arrays import Array
from shared.ranges import require
from shared.tables import figure
from transport.securing import sharing
from transport.securing.arrangement import Arrangement, centres_m, direction_ratio, resisting
from transport.securing.elastic_march import KNOWN, UNKNOWN, March, Push, advance, settled
from transport.securing.spring_body import Body, Springs, chain_forces_kN, contact_forces_kN

__all__ = ["EVERY_WAY", "FOUR_WAYS", "Pushed", "first_chain_full"]

Choice = NDArray[np.intp]
Truth = NDArray[np.bool_]
FOUR_WAYS: Choice = np.array([0, 12, 6, 18])
EVERY_WAY: Choice = np.arange(24)
STEPS_COUNT = 8
ROUNDS_COUNT = 10


@dataclass(frozen=True)
class Pushed:
    """Push over weight when the first chain or contact is full, and how things stand there; NaN where not known.

    Arrays (vertical factors, directions), for chains and contacts with one more axis; full is the place of the fullest
    member among chains, then contacts. A chain is slack and a contact lifted when it carries nothing.
    """

    multiplier_ratio: Array
    movement_m: Array
    tension_kN: Array
    contact_kN: Array
    is_slack: Truth
    is_lifted: Truth
    full: Choice
    reason: NDArray[np.str_]

    def least(self, other: Self) -> Self:
        """Of two pushes the one that holds less, or is not known, in each place."""
        takes = ~(self.multiplier_ratio <= other.multiplier_ratio) & ~np.isnan(self.multiplier_ratio)
        pairs = ((getattr(self, part.name), getattr(other, part.name)) for part in fields(self))
        chosen = (np.where(takes[..., None] if a.ndim > takes.ndim else takes, b, a) for a, b in pairs)
        return type(self)(*chosen)


def first_chain_full(
    arrangement: Arrangement,
    vertical_ratio: Array,
    directions: Choice = FOUR_WAYS,
    *,
    pretension_kN: Array | float = 0.0,
    steps_count: int = STEPS_COUNT,
) -> Pushed:
    """Largest push on the way to the first full chain or contact, in chosen directions of the fan.

    T = max(0, T0 + (EA/L) (l - l0)), N = max(0, -k_n u_n), |f| <= mu N by return mapping, lambda W e at the centre.
    Vertical factors (v,), directions (d,), pretension of direct chains (n,) from 0; a lost chain carries nothing and a
    top-over leg keeps its force. The worst place of the centre of mass within its tolerance counts. What cannot be
    followed further keeps the largest push at which it stood. What is not in equilibrium, too full at rest, or not
    solved at all is NaN with its reason.
    Valid for friction as it is: on a lopsided unit more friction may turn it so that another member fills earlier.
    Errors: OutOfRangeError for a pretension below 0 or unknown.
    Source: elastic chains without compression, EA/L as in Kaps, Securing cargo in road transport, 3.2 to 3.4 (read).
    """
    push, march = settled(_push(arrangement, vertical_ratio, directions, pretension_kN, steps_count))
    for _ in range(ROUNDS_COUNT * steps_count):
        running = np.flatnonzero(march.reason == "")
        if not running.size:
            break
        advance(push, march, running)
    march.reason[march.reason == ""] = UNKNOWN[2]
    march.reason[(march.reason == UNKNOWN[2]) & (march.movement_m > 0.0)] = KNOWN[3]
    return _worst(push, march, (-1, len(vertical_ratio), len(directions)))


def _push(
    arrangement: Arrangement, vertical_ratio: Array, directions: Choice, pretension_kN: Array | float, steps_count: int
) -> Push:
    """Problems ordered (corners, vertical factors, directions)."""
    springs, direct = _springs(arrangement, pretension_kN), arrangement.capacity_kN > 0.0
    limit_kN = np.concatenate([np.where(direct, arrangement.capacity_kN, np.inf), arrangement.contact_limit_kN])
    corners_m = centres_m(arrangement)[: 2 if arrangement.tolerance_m > 0.0 else 1, None, directions]
    shape = (len(corners_m), len(vertical_ratio), len(directions), 3)
    ahead = np.zeros((len(directions), 3))
    ahead[:, :2] = direction_ratio()[directions]
    weight_kN = -arrangement.weight_kN * vertical_ratio[:, None, None] * np.array([0.0, 0.0, 1.0])
    centre_m, weight_kN, ahead = (np.broadcast_to(v, shape).reshape(-1, 3) for v in (corners_m, weight_kN, ahead))
    rate_kN_per_m = springs.rate_kN_per_m * resisting(arrangement)[directions]
    step_m = sharing.movement_m(rate_kN_per_m, arrangement.capacity_kN, arrangement.movement_m) / steps_count
    return Push(
        springs=springs,
        body=Body(
            centre_m,
            weight_kN,
            arrangement.weight_kN * ahead,
            np.tile(arrangement.length_m, (len(centre_m), 1)),
        ),
        control=np.concatenate([ahead, np.zeros((len(ahead), 1))], axis=-1),
        limit_kN=limit_kN,
        step_m=np.broadcast_to(step_m, shape[:3]).ravel(),
        steps_count=steps_count,
        allowed_m=arrangement.movement_m,
    )


def _springs(arrangement: Arrangement, pretension_kN: Array | float) -> Springs:
    restraint, direct = arrangement.restraint, arrangement.capacity_kN > 0.0
    require(pretension_kN, 0.0, np.finfo(float).max, name="pretension_kN", what="a chain does not push")
    press_kN_per_m = figure("securing_contact_stiffness_kN_per_m")
    return Springs(
        on_load_m=restraint.on_load_m,
        on_deck_m=restraint.on_load_m + arrangement.length_m[:, None] * restraint.pull_ratio,
        rate_kN_per_m=sharing.rate_kN_per_m(direct.astype(float), arrangement.stiffness_kN, arrangement.length_m),
        pretension_kN=np.where(direct, pretension_kN, arrangement.fixed_kN),
        contact_m=restraint.contact_m,
        normal_ratio=restraint.normal_ratio,
        friction_ratio=restraint.friction_ratio,
        stiffness_kN_per_m=(press_kN_per_m, figure("securing_contact_shear_ratio") * press_kN_per_m),
    )


def _worst(push: Push, march: March, shape: tuple[int, int, int]) -> Pushed:
    """The corner with the least push, or with an unknown one; shape (corners, vertical factors, directions)."""
    known = np.isin(march.reason, KNOWN)
    multiplier = np.where(known, march.largest_ratio, np.nan)
    corner = np.argmin(multiplier.reshape(shape), axis=0).ravel()
    place = corner * len(corner) + np.arange(len(corner))
    tension_kN = np.where(known[:, None], chain_forces_kN(push.springs, push.body, march.at), np.nan)[place]
    contact_kN = np.where(known[:, None], contact_forces_kN(push.springs, march.at), np.nan)[place]
    present = push.springs.rate_kN_per_m + push.springs.pretension_kN > 0.0
    size = shape[1:]
    return Pushed(
        multiplier_ratio=multiplier[place].reshape(size),
        movement_m=np.where(known, march.movement_m, np.nan)[place].reshape(size),
        tension_kN=tension_kN.reshape(*size, -1),
        contact_kN=contact_kN.reshape(*size, -1),
        is_slack=((tension_kN <= 0.0) & present).reshape(*size, -1),
        is_lifted=(contact_kN <= 0.0).reshape(*size, -1),
        full=np.argmax(march.used_ratio, axis=-1)[place].reshape(size),
        reason=march.reason[place].reshape(size),
    )
