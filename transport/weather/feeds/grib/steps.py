"""Ranges of time brought onto the clock of the wind: a gust over (3, 6] h counts in all of it, whatever the step.

Each range is (start, end] in seconds from the run, in rising order. For each time of the clock the ranges are told that
make up its value, and the span that this value holds for; a time without any is missing, and its span is its step.
"""

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

import numpy as np

__all__ = ["Onto", "Range", "onto_clock", "since_start", "tangled"]

Range = tuple[int, int]


class Onto(NamedTuple):
    """For each time of the clock: numbers of the ranges that make up its value, and the span that it holds for."""

    rows: tuple[tuple[int, ...], ...]
    span_s: np.ndarray


def tangled(ranges: Sequence[Range]) -> tuple[Range, Range] | None:
    """Two ranges that end together or lie one within the other; None if there are none."""
    for first, second in pairwise(ranges):
        if first[1] == second[1] or second[0] < first[0]:
            return first, second
    return None


def since_start(ranges: Sequence[Range], clock_s: Sequence[int]) -> Onto | None:
    """Totals that all grow from one start, if there is one at each time of the clock; the total at the start is empty.

    Source: definition of a total; centres count from the start of the run, some beside other ranges (practice).
    """
    start = min(begin for begin, _ in ranges)
    rows = {end: (row,) for row, (begin, end) in enumerate(ranges) if begin == start}
    last = max(end for _, end in ranges)
    if clock_s[0] < start or any(time not in rows for time in clock_s if start < time <= last):
        return None
    return Onto(tuple(rows.get(time, ()) for time in clock_s), np.array([(start, time) for time in clock_s]))


def onto_clock(ranges: Sequence[Range], clock_s: Sequence[int]) -> Onto:
    """Ranges that end in each step, and the one that reaches over its end; a hole among them makes the value missing.

    Source: WMO statistical processing over a time range (read); house rule, nothing is bridged (practice).
    """
    picked, spans = [], []
    for begin, time in zip([clock_s[0], *clock_s[:-1]], clock_s, strict=True):
        rows = _in_step(ranges, begin, time)
        held = [ranges[row] for row in rows]
        whole = bool(held) and held[-1][1] >= time and _joined(held)
        picked.append(rows if whole else ())
        spans.append((held[0][0], held[-1][1]) if whole else (begin, time))
    return Onto(tuple(picked), np.array(spans, dtype=np.int64))


def _in_step(ranges: Sequence[Range], begin: int, time: int) -> tuple[int, ...]:
    """The last range makes those that begin with it or after it needless."""
    rows = [row for row, (_, end) in enumerate(ranges) if begin < end <= time or end == time]
    if not rows or ranges[rows[-1]][1] < time:
        rows += [row for row, (start, end) in enumerate(ranges) if start < time < end][:1]
    return tuple(row for row in rows if row == rows[-1] or ranges[row][0] < ranges[rows[-1]][0])


def _joined(held: Sequence[Range]) -> bool:
    return all(second[0] <= first[1] for first, second in pairwise(held))
