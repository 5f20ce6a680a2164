"""One step after the other: a unit on elastic chains is set down, tightened and pushed, many problems side by side."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from shared.arrays import Array
from transport.securing.spring_body import (
    Body,
    Rest,
    Springs,
    chain_forces_kN,
    chain_lengths_m,
    contact_forces_kN,
    rest,
    unmoved,
)

__all__ = ["KNOWN", "UNKNOWN", "March", "Push", "advance", "settled"]

Choice = NDArray[np.intp]
KNOWN = ("chain full", "contact full", "allowed movement", "followed no further")
UNKNOWN = ("not in equilibrium", "over capacity at rest", "not solved")
GROWTH_COUNT = 2
FINER_COUNT = 16
FULL_RATIO = 1e-6
SHORTEST_RATIO = 1e-4
STICKING_RATIO = 1e6


@dataclass(frozen=True)
class Push:
    """Problems (b): springs, bodies, what is controlled (b, 4), capacities (n + p,), longest step, allowed movement."""

    springs: Springs
    body: Body
    control: Array
    limit_kN: Array
    step_m: Array
    steps_count: int
    allowed_m: float


@dataclass(frozen=True)
class March:
    """Every problem on its way: place of rest, movement, use of each member, largest push, first point too far."""

    at: Rest
    movement_m: Array
    used_ratio: Array
    largest_ratio: Array
    over_m: Array
    over_ratio: Array
    shorter_ratio: Array
    reason: NDArray[np.str_]


def _used_ratio(push: Push, body: Body, at: Rest) -> Array:
    """Force over capacity of each chain and contact, (b, n + p)."""
    force_kN = np.concatenate([chain_forces_kN(push.springs, body, at), contact_forces_kN(push.springs, at)], axis=-1)
    return np.asarray(force_kN / push.limit_kN, dtype=float)


def settled(push: Push) -> tuple[Push, March]:
    """Every problem at rest before the push: the unit stands on its pads, and then its chains are tightened.

    Source: spring_body.rest, first without chains, then with them at the lengths found (practice).
    """
    count = len(push.control)
    weight_only = np.broadcast_to([0.0, 0.0, 0.0, 1.0], (count, 4))
    loose = replace(
        push.springs,
        rate_kN_per_m=np.zeros_like(push.springs.rate_kN_per_m),
        pretension_kN=np.zeros_like(push.springs.pretension_kN),
        friction_ratio=np.full_like(push.springs.friction_ratio, STICKING_RATIO),
    )
    at, found = rest(loose, push.body, unmoved(loose, push.body), weight_only, np.zeros(count))
    at = at._replace(friction_kN=np.zeros_like(at.friction_kN))
    push = replace(push, body=push.body._replace(length_m=chain_lengths_m(push.springs, push.body, at)))
    at, tightened = rest(push.springs, push.body, at, weight_only, np.zeros(count))
    found &= tightened
    used_ratio = _used_ratio(push, push.body, at)
    fits = np.max(used_ratio, axis=-1) <= 1.0
    reason = np.where(found, np.where(fits, "", UNKNOWN[1]), UNKNOWN[0]).astype("<U24")
    none, without = np.zeros(count), np.full(count, np.inf)
    march = March(at, none.copy(), used_ratio, none.copy(), without.copy(), without.copy(), none + 1.0, reason)
    return push, march


def advance(push: Push, march: March, running: Choice) -> None:
    """One step of every running problem: taken, or found too far or not found, and then shortened.

    Source: spring_body.rest with the movement given, bisected to the first full member (practice).
    """
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


def _ended(push: Push, march: March, lost: Choice, taken: Choice) -> None:
    """Write the reason where a problem is over."""
    march.reason[lost[march.shorter_ratio[lost] < SHORTEST_RATIO]] = UNKNOWN[2]
    march.reason[taken[march.movement_m[taken] >= push.allowed_m * (1.0 - FULL_RATIO)]] = KNOWN[2]
    filled = taken[np.max(march.used_ratio[taken], axis=-1) >= 1.0 - FULL_RATIO]
    is_chain = np.argmax(march.used_ratio[filled], axis=-1) < len(push.springs.on_load_m)
    march.reason[filled] = np.where(is_chain, KNOWN[0], KNOWN[1])


def _next_step_m(push: Push, march: March) -> Array:
    """Short steps first, then longer ones; once a point too far is known, straight to where a member is full."""
    most = np.max(march.used_ratio, axis=-1)
    graded_m = np.clip(march.movement_m * GROWTH_COUNT / push.steps_count, push.step_m / FINER_COUNT, push.step_m)
    usual_m = np.minimum(graded_m, push.allowed_m - march.movement_m)
    bracketed = np.isfinite(march.over_m)
    with np.errstate(invalid="ignore"):
        share = (1.0 - most) / (march.over_ratio - most)
        full_m = (march.over_m - march.movement_m) * share
    return np.asarray(np.where(bracketed, full_m, usual_m) * march.shorter_ratio, dtype=float)
