"""For a scheme that does not hold: the least change of each kind that closes it, found by search, with its numbers.

The search estimates many changes against the pushes that are known to be the worst and assesses the best few in full.
Only what the full assessment confirms is offered; it stays to be confirmed by the one who signs.
"""

from collections.abc import Callable, Collection, Iterable
from dataclasses import replace
from itertools import combinations

import numpy as np
import xarray as xr

from shared.arrays import Array
from shared.units import kmh_from_mps
from transport.load_cases import statutory
from transport.window.inputs import Move
from transport.window.proposal_chains import ADDED, LARGER, Candidate, Pair, joined, larger_chains, pairs
from transport.window.proposal_found import HELD_WIND, Proposal, Search, held_wind, unknown_where
from transport.window.proposal_screen import use_ratio
from transport.window.proposal_speed import SPEED, slower_pushes, speeds_mps
from transport.window.proposal_stops import NEEDED, READY, needed_stops, ready_stops, stronger

__all__ = ["KINDS", "proposals"]

JOINED_COUNT = 10
ROUNDS_COUNT = 5
KINDS = (ADDED, LARGER, NEEDED, READY, SPEED, HELD_WIND)


def proposals(
    move: Move,
    road: xr.Dataset,
    checks: dict[str, xr.Dataset],
    *,
    exposure_h: float,
    wanted_gust_mps: float | None = None,
    kinds: Collection[str] = KINDS,
) -> tuple[Proposal, ...]:
    """The least change of each kind that closes LC1 to LC4 and, if wanted, holds a gust; none if all is met.

    Least: fewest pieces, then least total LC, then least use. A kind in which nothing is found gives its nearest miss,
    not confirmed. The result does not depend on the order of the gear.
    Source: every one of them verified by load_cases.assess (practice).
    """
    search = Search(move, road, checks, exposure_h, wanted_gust_mps)
    if search.met(checks["securing"]):
        return ()
    if (words := unknown_where(checks["securing"])) is not None:
        return (search.nothing("not known", words),)
    search.learn(checks["securing"], search.present)
    found = (of_kind(search) for kind, of_kind in _OF_KIND.items() if kind in kinds)
    return tuple(one for one in found if one is not None)


def _added(search: Search) -> Proposal:
    ready = search.move.available
    if not ((ready.anchor or search.move.anchor) and ready.attachment):
        lists = "[[anchor]] or [[available.anchor]], [[available.attachment]] and [[available.chain]]"
        return search.nothing(ADDED, f"not tried: no free points are listed; {lists} would give more")
    found = pairs(search.move, [one for one in search.known if one.fails])
    if not found:
        return search.nothing(ADDED, "no free anchor and rated point make a pair that resists what is not held")
    singles = _given(joined(search.move, [one]) for one in found)
    single = search.least(ADDED, singles, missing=False)
    if single.confirmed:
        return single
    best = sorted(found, key=lambda one: (_guess(search, one), one.runs, one.chain.lc_kN, one.chain.size_mm))[
        :JOINED_COUNT
    ]
    doubles = _given(joined(search.move, two) for two in combinations(best, 2))
    double = search.least(ADDED, doubles or singles)
    closer = single if single.worst_ratio < double.worst_ratio else double
    return replace(closer, screened_count=len(singles) + len(doubles))


def _larger(search: Search) -> Proposal:
    found = list(larger_chains(search.move, [one for one in search.known if one.fails]))
    if not found:
        return search.nothing(LARGER, "no larger chain lies ready in the number needed")
    return search.least(LARGER, found)


def _needed(search: Search) -> Proposal:
    """The number first estimated, then raised until the estimate by all models holds, then assessed."""
    raised = [_raised(search, one) for one in needed_stops(search.move, search.known)]
    if not raised:
        return search.nothing(NEEDED, "no capacity of a stop on the side pushed worst, or on both sides, closes it")
    return search.least(NEEDED, raised)


def _ready(search: Search) -> Proposal | None:
    found = list(ready_stops(search.move))
    return search.least(READY, found) if found else None


def _slower(search: Search) -> Proposal:
    if any(one.fails and one.state == statutory.NAME for one in search.known):
        return search.nothing(SPEED, "no speed closes it: the statutory case does not know the speed")
    tried = speeds_mps(search.road)
    if not tried.size:
        return search.nothing(SPEED, "the road is driven at 1 km/h or less already")

    def closes(speed_mps: float) -> bool:
        slower = slower_pushes(search.first, search.move, search.road, search.checks, speed_mps)
        return all(use_ratio(one, search.move, search.present, whole=True) <= 1.0 for one in slower)

    first = _first(closes, tried)
    chosen = dict.fromkeys([first, (first + tried.size - 1) // 2, tried.size - 1])
    return search.least(SPEED, [_at_speed(search, float(tried[row])) for row in chosen], screen=False)


def _at_speed(search: Search, speed_mps: float) -> Candidate:
    change = f"drive nowhere faster than {kmh_from_mps(speed_mps):.1f} km/h"
    return Candidate(SPEED, change, 0, 0.0, search.present, speed_mps)


def _first(holds: Callable[[float], bool], falling: Array) -> int:
    """The first of falling values that holds, by halving; the last if none does."""
    low, high = -1, len(falling) - 1
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if holds(float(falling[middle])) else (middle, high)
    return high


def _raised(search: Search, found: Candidate) -> Candidate:
    for _ in range(ROUNDS_COUNT):
        if search.guess(found, whole=True) <= 1.0:
            break
        found = stronger(search.move, found)
    return found


def _guess(search: Search, pair: Pair) -> float:
    one = joined(search.move, [pair])
    guess = search.guess(one, whole=False) if one else np.nan
    return guess if np.isfinite(guess) else np.inf


def _given(candidates: Iterable[Candidate | None]) -> list[Candidate]:
    return [one for one in candidates if one is not None]


_OF_KIND: dict[str, Callable[[Search], Proposal | None]] = {
    ADDED: _added,
    LARGER: _larger,
    NEEDED: _needed,
    READY: _ready,
    SPEED: _slower,
    HELD_WIND: held_wind,
}
