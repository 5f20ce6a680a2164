"""A value of a forecast step holds for the whole step: the largest over every step that a stay touches.

A stay is a row of places, each with its earliest and latest second after the start; both never decrease along the row.
So the places that can be met during one step stand side by side, and the largest over them is two look-ups in a table
of blocks of a power of two.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from shared.arrays import Array

__all__ = ["Stay", "Steps", "largest", "largest_at"]

Index = NDArray[np.intp]
Values = NDArray[np.float32]


class Steps(NamedTuple):
    """Forecast steps (begin, end] in seconds since the epoch, one after the other."""

    begin_s: Array
    end_s: Array


class Stay(NamedTuple):
    """Earliest and latest second after the start at each place of a row; neither ever decreases along it."""

    early_s: Array
    late_s: Array


def largest(values: Values, stay: Stay, steps: Steps, start_s: Array) -> Values:
    """Largest value that each start can meet: over all places and steps with end > early and begin < late.

    Shapes: values (place, step, member), result (start, member). NaN in anything touched gives NaN, and so does a
    start whose stay is not wholly inside the steps.
    Source: a maximum stamped at the end of its interval holds for the whole interval, CF conventions 7.3 (read).
    """
    result = np.zeros((start_s.size, values.shape[2]), dtype=values.dtype)
    start, step, first, last = _meetings(stay, steps, start_s)
    block, width, size = values, 1, last - first + 1
    while start.size:
        here = size < 2 * width
        found = np.maximum(block[first[here], step[here]], block[last[here] - width + 1, step[here]])
        _raise_to(result, start[here], found)
        start, step, first, last, size = (side[~here] for side in (start, step, first, last, size))
        if start.size:
            block = np.maximum(block[:-width], block[width:])
            width *= 2
    result[~_inside(stay, steps, start_s)] = np.nan
    return result


def largest_at(values: Values, stay: Stay, steps: Steps, start_s: float) -> tuple[int, int] | None:
    """Place and step of the largest value that one start can meet; an unknown one comes first; None outside the steps.

    Shapes: values (place, step).
    """
    if not _inside(stay, steps, np.array([start_s]))[0]:
        return None
    touched = (steps.end_s > start_s + stay.early_s[:, None]) & (steps.begin_s < start_s + stay.late_s[:, None])
    rated = np.where(touched, np.where(np.isnan(values), np.inf, values), -1.0)
    place, step = np.unravel_index(int(np.argmax(rated)), rated.shape)
    return int(place), int(step)


def _inside(stay: Stay, steps: Steps, start_s: Array) -> NDArray[np.bool_]:
    early, late = stay.early_s[0], stay.late_s[-1]
    inside = (start_s + early >= steps.begin_s[0]) & (start_s + late <= steps.end_s[-1])
    return np.asarray(inside, dtype=bool)


def _meetings(stay: Stay, steps: Steps, start_s: Array) -> tuple[Index, Index, Index, Index]:
    """Every start and step that meet, with the first and last place that they meet at."""
    begin = np.searchsorted(steps.end_s, start_s + stay.early_s[0], side="right")
    end = np.searchsorted(steps.begin_s, start_s + stay.late_s[-1], side="left")
    count = np.maximum(end - begin, 0)
    start = np.repeat(np.arange(start_s.size), count)
    step = np.arange(start.size) - np.repeat(np.cumsum(count) - count, count) + np.repeat(begin, count)
    first = np.searchsorted(stay.late_s, steps.begin_s[step] - start_s[start], side="right")
    last = np.searchsorted(stay.early_s, steps.end_s[step] - start_s[start], side="left") - 1
    met = first <= last
    return start[met], step[met], first[met], last[met]


def _raise_to(result: Values, start: Index, found: Values) -> None:
    """Raise the result of each start to the largest found for it; starts stand in order."""
    if start.size:
        begins = np.flatnonzero(np.diff(start, prepend=-1))
        rows = start[begins]
        result[rows] = np.maximum(result[rows], np.maximum.reduceat(found, begins, axis=0))
