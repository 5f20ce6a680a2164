"""Go, no-go or undecided for each start: all limits met together at every step, forecast error allowed for once."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from shared.arrays import Array
from transport.window.chance import chance_bound_ratio, members_allowed
from transport.window.clocks import Clock
from transport.window.demand import Demand
from transport.window.inputs import Decision
from transport.window.overlap import Steps, largest

__all__ = ["Outcome", "Worst", "decide", "opine", "worst_of"]

Values = NDArray[np.float32]


@dataclass(frozen=True)
class Worst:
    """The worst of all checks for each start and member.

    Shapes: known (start, member), the largest utilisation that is known, at least 0; which (start, member), the check
    that gives it; unknown (start, member), -1 or the first check that is not known. Checks are numbered: demands
    first, then clocks.
    """

    known: Values
    which: NDArray[np.int32]
    unknown: NDArray[np.int32]


@dataclass(frozen=True)
class Outcome:
    """The decision of each start, and the member and check that settle it (-1 when none does).

    Shapes: all (start). utilisation and chance are NaN where they are not known.
    """

    verdict: NDArray[np.str_]
    utilisation: Array
    chance: Array
    member: NDArray[np.intp]
    check: NDArray[np.intp]


def worst_of(demands: Sequence[Demand], clocks: Sequence[Clock], steps: Steps, start_s: Array, members: int) -> Worst:
    """Take the worst check of each start and member; what is not known is remembered, never dropped."""
    known = np.zeros((start_s.size, members), dtype=np.float32)
    which = np.zeros(known.shape, dtype=np.int32)
    unknown = np.full(known.shape, -1, dtype=np.int32)
    for number, demand in enumerate(demands):
        _take(number, largest(demand.utilisation, demand.stay, steps, start_s), known, which, unknown)
    for number, clock in enumerate(clocks, start=len(demands)):
        value = np.broadcast_to(clock.utilisation.astype(np.float32)[:, None], known.shape)
        _take(number, value, known, which, unknown)
    return Worst(known, which, unknown)


def decide(worst: Worst, decision: Decision, *, expected_members: int) -> Outcome:
    """Decide each start by the rule of the move; a member that is unknown or missing counts as over the limit.

    go: utilisation <= 1 with every unknown counted against it; no-go: over the limit by what is known alone;
    undecided: neither. Source: members counted fail-safe, Clopper-Pearson bound (memory); operational factor on the
    limit as in marine operations (memory).
    """
    members = max(worst.known.shape[1], expected_members)
    missing = members - worst.known.shape[1]
    allowed = 0
    if decision.rule == "ensemble":
        assert decision.acceptable_chance_ratio is not None and decision.confidence_ratio is not None  # noqa: S101
        allowed = members_allowed(members, decision.acceptable_chance_ratio, decision.confidence_ratio)
    over = worst.known > 1.0
    doubtful = (worst.unknown >= 0) & ~over
    certain, possible = over.sum(axis=1), over.sum(axis=1) + doubtful.sum(axis=1) + missing
    verdict = np.where(certain > max(allowed, 0), "no-go", np.where(possible <= allowed, "go", "undecided"))
    chance = np.full(certain.size, np.nan)
    if decision.rule == "ensemble":
        assert decision.confidence_ratio is not None  # noqa: S101  held by the model
        chance = chance_bound_ratio(possible, members, decision.confidence_ratio)
    return _settled(worst, verdict, chance, max(allowed - missing, 0))


def opine(worst: Worst, decision: Decision) -> Outcome:
    """What a second opinion says of each start by its own members under the same rule; it proves no chance.

    The utilisation is that of the member next after those that may exceed by its own count of members. An opinion that
    is too small to prove the acceptable chance alone counts with its worst member, and so does any under the factor.
    no-go: over 1; undecided: not known; else go. Source: members counted fail-safe, Clopper-Pearson bound (memory).
    """
    allowed = 0
    if decision.rule == "ensemble":
        assert decision.acceptable_chance_ratio is not None and decision.confidence_ratio is not None  # noqa: S101
        members = worst.known.shape[1]
        allowed = members_allowed(members, decision.acceptable_chance_ratio, decision.confidence_ratio)
    starts = worst.known.shape[0]
    found = _settled(worst, np.full(starts, ""), np.full(starts, np.nan), max(allowed, 0))
    within = np.where(found.utilisation <= 1.0, "go", "undecided")
    return replace(found, verdict=np.where(found.utilisation > 1.0, "no-go", within))


def _settled(worst: Worst, verdict: NDArray[np.str_], chance: Array, rank: int) -> Outcome:
    """The utilisation that settles a start is that of the member next after those that may exceed."""
    just_over = np.nextafter(np.float32(1), np.float32(2))
    counted = np.where((worst.unknown >= 0) & (worst.known <= 1.0), just_over, worst.known)
    order = np.argsort(-counted, axis=1, kind="stable")
    member = order[:, min(rank, order.shape[1] - 1)]
    line = np.arange(member.size)
    unsettled = (worst.unknown[line, member] >= 0) & (worst.known[line, member] <= 1.0)
    utilisation = np.where(unsettled, np.nan, worst.known[line, member].astype(float))
    check = np.where(unsettled, worst.unknown[line, member], worst.which[line, member])
    return Outcome(verdict, utilisation, chance, member, check.astype(np.intp))


def _take(number: int, value: Values, known: Values, which: NDArray[np.int32], unknown: NDArray[np.int32]) -> None:
    lost = np.isnan(value)
    if lost.any():
        unknown[lost & (unknown < 0)] = number
    better = value > known
    np.copyto(known, value, where=better)
    which[better] = number
