"""Time steps: what holds over an interval is not interpolated, and no gap is bridged.

A step runs from one instant of the forecast to the next. A value that holds over (start, end] counts in every step
that it overlaps. A value at an instant counts in both steps that meet there, so that a step gets the worse of its ends.
"""

from typing import NamedTuple

import numpy as np

from shared.arrays import Array
from transport.weather.fields import Instants, Values

__all__ = ["Overlap", "around_instants", "gaps", "overlap", "rates_from_totals", "worst"]


class Overlap(NamedTuple):
    """For each step: first and last value that overlaps it, and whether they cover it without a hole."""

    first: np.ndarray
    last: np.ndarray
    covered: np.ndarray


def around_instants(time: Instants) -> tuple[Instants, Instants]:
    """Interval in which the value at each instant counts: from the instant before to the instant after.

    Source: house rule, an instant says nothing better about the time beside it (practice).
    """
    return np.concatenate([time[:1], time[:-1]]), np.concatenate([time[1:], time[-1:]])


def overlap(value_start: Instants, value_end: Instants, step_start: Instants, step_end: Instants) -> Overlap:
    """Which values hold in each step: those with end > step start and start < step end.

    Both ends of the values must rise.      Source: WMO statistical processing over a time range (memory).
    """
    first = np.minimum(np.searchsorted(value_end, step_start, side="right"), len(value_end) - 1)
    last = np.maximum(np.searchsorted(value_start, step_end, side="left") - 1, 0)
    joined = np.concatenate([[0], np.cumsum(value_start[1:] > value_end[:-1])])
    covered = (first <= last) & (value_start[first] <= step_start) & (value_end[last] >= step_end)
    return Overlap(first, last, covered & (joined[first] == joined[last]))


def worst(values: Values, found: Overlap, pick: np.ufunc) -> Values:
    """Highest (np.maximum) or lowest (np.minimum) value in each step; NaN where a step is not covered.

    values: (member, time, ...), result: (member, step, ...).      Source: house rule, no interpolation (practice).
    """
    result: Values = values[:, found.first]
    for offset in range(1, int(np.max(found.last - found.first, initial=0)) + 1):
        result = pick(result, values[:, np.minimum(found.first + offset, found.last)])
    result[:, ~found.covered] = np.nan
    return result


def rates_from_totals(totals: Values, hours: Array, jitter: float) -> Values:
    """Rate per hour in each step from totals since the start of the forecast; a falling total is NaN, not rain.

    r = (P2 - P1) / dt; a fall within the rounding of the file counts as none; totals (member, time, ...).
    Source: definition; rounding (practice).
    """
    growth = np.diff(totals, axis=1)
    growth = np.where(growth >= 0.0, growth, np.where(growth >= -jitter, 0.0, np.nan)).astype(totals.dtype)
    spans = np.diff(hours).astype(totals.dtype)
    result: Values = growth / spans.reshape(1, -1, *(1,) * (totals.ndim - 2))
    return result


def gaps(time: Instants, longest_h: float) -> np.ndarray:
    """True for each step that is too long, or longer than a later one: there the file has lost times.

    The steps of a forecast grow longer with lead time, never shorter.
    Source: practice of forecast centres (practice).
    """
    hours = np.diff(time) / np.timedelta64(1, "h")
    shortest_later = np.minimum.accumulate(hours[::-1])[::-1]
    return np.asarray((hours > longest_h) | (hours > shortest_later * (1.0 + 1e-9)))
