"""Elastic chains that only pull, on a unit pushed until the first of them is full (model C).

The unit stands under its weight and the pretension, is then pushed sideways step by step, and slides, lifts and turns
as it will. What it holds is the largest push on the way to the first chain or contact at its capacity. No chain gets
more than the movement stretches it, so that the trap of friction in a free limit analysis does not arise.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from shared.arrays import Array
from shared.ranges import require
from shared.tables import figure
from transport.securing import sharing
from transport.securing.arrangement import Arrangement, centres_m, direction_ratio, resisting
from transport.securing.spring_body import Body, Rest, Springs, chain_forces_kN, contact_forces_kN, rest, unmoved

__all__ = ["FOUR_WAYS", "Pushed", "first_chain_full"]

Choice = NDArray[np.intp]
Truth = NDArray[np.bool_]
KNOWN = ("chain full", "contact full", "allowed movement")
UNKNOWN = ("not in equilibrium", "over capacity at rest", "not solved")
FOUR_WAYS: Choice = np.array([0, 12, 6, 18])
STEPS_COUNT = 24
ROUNDS_COUNT = 10
GROWTH_COUNT = 2
FINER_COUNT = 16
FULL_RATIO = 1e-6
SHORTEST_RATIO = 1e-4


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


@dataclass(frozen=True)
class _Push:
    """Problems (b): springs, bodies, what is controlled (b, 4), capacities (n + p,), longest step, allowed movement."""

    springs: Springs
    body: Body
    control: Array
    limit_kN: Array
    step_m: Array
    steps_count: int
    allowed_m: float


@dataclass(frozen=True)
class _March:
    """Every problem on its way: place of rest, movement, use of each member, largest push, first point too far."""

    at: Rest
    movement_m: Array
    used_ratio: Array
    largest_ratio: Array
    over_m: Array
    over_ratio: Array
    shorter_ratio: Array
    reason: NDArray[np.str_]


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
    top-over leg keeps its force. The worst place of the centre of mass within its tolerance counts. What is not in
    equilibrium, too full at rest, or not solved is NaN with its reason.
    Valid for friction as it is: on a lopsided unit more friction may turn it so that another member fills earlier.
    Errors: OutOfRangeError for a pretension below 0 or unknown.
    Source: elastic chains without compression, EA/L as in Kaps, Securing cargo in road transport, 3.2 to 3.4 (read).
    """
    push = _push(arrangement, vertical_ratio, directions, pretension_kN, steps_count)
    march = _settled(push)
    for _ in range(ROUNDS_COUNT * steps_count):
        running = np.flatnonzero(march.reason == "")
        if not running.size:
            break
        _advance(push, march, running)
    march.reason[march.reason == ""] = UNKNOWN[2]
    return _worst(push, march, (-1, len(vertical_ratio), len(directions)))


def _push(
    arrangement: Arrangement, vertical_ratio: Array, directions: Choice, pretension_kN: Array | float, steps_count: int
) -> _Push:
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
    return _Push(
        springs=springs,
        body=Body(centre_m, weight_kN, arrangement.weight_kN * ahead),
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
        length_m=arrangement.length_m,
        rate_kN_per_m=sharing.rate_kN_per_m(direct.astype(float), arrangement.stiffness_kN, arrangement.length_m),
        pretension_kN=np.where(direct, pretension_kN, arrangement.fixed_kN),
        contact_m=restraint.contact_m,
        normal_ratio=restraint.normal_ratio,
        friction_ratio=restraint.friction_ratio,
        stiffness_kN_per_m=(press_kN_per_m, figure("securing_contact_shear_ratio") * press_kN_per_m),
    )


def _used_ratio(push: _Push, body: Body, at: Rest) -> Array:
    """Force over capacity of each chain and contact, (b, n + p)."""
    force_kN = np.concatenate([chain_forces_kN(push.springs, body, at), contact_forces_kN(push.springs, at)], axis=-1)
    return np.asarray(force_kN / push.limit_kN, dtype=float)


def _settled(push: _Push) -> _March:
    """Every problem at rest under its weight and pretension, before the push."""
    count = len(push.control)
    weight_only = np.broadcast_to([0.0, 0.0, 0.0, 1.0], (count, 4))
    at, found = rest(push.springs, push.body, unmoved(push.springs, push.body), weight_only, np.zeros(count))
    used_ratio = _used_ratio(push, push.body, at)
    fits = np.max(used_ratio, axis=-1) <= 1.0
    reason = np.where(found, np.where(fits, "", UNKNOWN[1]), UNKNOWN[0]).astype("<U24")
    none, without = np.zeros(count), np.full(count, np.inf)
    return _March(at, none.copy(), used_ratio, none.copy(), without.copy(), without.copy(), none + 1.0, reason)


def _advance(push: _Push, march: _March, running: Choice) -> None:
    """One step of every running problem: taken, or found too far or not found, and then shortened."""
    body, at = Body(*(value[running] for value in push.body)), Rest(*(value[running] for value in march.at))
    step_m, control = _next_step_m(push, march)[running], push.control[running]
    after, found = rest(push.springs, body, at, control, step_m)
    used_ratio = _used_ratio(push, body, after)
    most = np.max(used_ratio, axis=-1)
    good, over = found & (most <= 1.0 + FULL_RATIO), found & (most > 1.0 + FULL_RATIO)
    taken, far, lost = running[good], running[over], running[~found]
    for value, new in zip(march.at, after, strict=True):
        value[taken] = new[good]
    march.used_ratio[taken] = used_ratio[good]
    march.movement_m[taken] += step_m[good]
    march.largest_ratio[taken] = np.maximum(march.largest_ratio[taken], after.multiplier_ratio[good])
    march.over_m[far], march.over_ratio[far] = march.movement_m[far] + step_m[over], most[over]
    march.shorter_ratio[taken] = np.minimum(2.0 * march.shorter_ratio[taken], 1.0)
    march.shorter_ratio[lost] *= 0.5
    _ended(push, march, lost, taken)


def _ended(push: _Push, march: _March, lost: Choice, taken: Choice) -> None:
    """Write the reason where a problem is over."""
    march.reason[lost[march.shorter_ratio[lost] < SHORTEST_RATIO]] = UNKNOWN[2]
    march.reason[taken[march.movement_m[taken] >= push.allowed_m * (1.0 - FULL_RATIO)]] = KNOWN[2]
    filled = taken[np.max(march.used_ratio[taken], axis=-1) >= 1.0 - FULL_RATIO]
    is_chain = np.argmax(march.used_ratio[filled], axis=-1) < len(push.springs.on_load_m)
    march.reason[filled] = np.where(is_chain, KNOWN[0], KNOWN[1])


def _next_step_m(push: _Push, march: _March) -> Array:
    """Short steps first, then longer ones; once a point too far is known, straight to where a member is full."""
    most = np.max(march.used_ratio, axis=-1)
    graded_m = np.clip(march.movement_m * GROWTH_COUNT / push.steps_count, push.step_m / FINER_COUNT, push.step_m)
    usual_m = np.minimum(graded_m, push.allowed_m - march.movement_m)
    bracketed = np.isfinite(march.over_m)
    with np.errstate(invalid="ignore"):
        share = (1.0 - most) / (march.over_ratio - most)
        full_m = (march.over_m - march.movement_m) * share
    return np.asarray(np.where(bracketed, full_m, usual_m) * march.shorter_ratio, dtype=float)


def _worst(push: _Push, march: _March, shape: tuple[int, int, int]) -> Pushed:
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
