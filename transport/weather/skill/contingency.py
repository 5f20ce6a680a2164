"""Warned or not against passed or not: the table of a yes/no forecast and the scores made of it.

The event is a gust above the limit; the forecast is "yes" where the rule of the move would not go. A MISS, an event
without a warning, is the cell that breaks a mirror: it is counted first, and a share of right forecasts last.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from shared.arrays import Array

__all__ = [
    "Table",
    "accuracy_ratio",
    "critical_success_ratio",
    "detected_ratio",
    "false_alarm_ratio",
    "false_detection_ratio",
    "frequency_bias_ratio",
    "heidke_ratio",
    "table",
]

Flags = NDArray[np.bool_]


class Table(NamedTuple):
    """Counts, of any one shape: hits a, false alarms b, misses c, correct negatives d."""

    hits: Array
    false_alarms: Array
    misses: Array
    correct_negatives: Array


def table(warned: Flags, event: Flags) -> Table:
    """Count along the last axis.

    Shapes: (..., case) and (case,) to (...).
    """
    cells = (warned & event, warned & ~event, ~warned & event, ~warned & ~event)
    return Table(*(np.asarray(cell.sum(axis=-1), dtype=float) for cell in cells))


def detected_ratio(counts: Table) -> Array:
    """Share of the events that were warned of (POD, hit rate).

    POD = a / (a + c); NaN where nothing happened.      Source: Finley's table at cawcr.gov.au (read).
    """
    return _over(counts.hits, counts.hits + counts.misses)


def false_alarm_ratio(counts: Table) -> Array:
    """Share of the warnings after which nothing happened (FAR, false alarm ratio).

    FAR = b / (a + b); NaN where nobody warned.      Source: Finley's table at cawcr.gov.au (read).
    """
    return _over(counts.false_alarms, counts.hits + counts.false_alarms)


def false_detection_ratio(counts: Table) -> Array:
    """Share of the quiet cases that were warned of (POFD, false alarm rate).

    POFD = b / (b + d).      Source: definition (memory).
    """
    return _over(counts.false_alarms, counts.false_alarms + counts.correct_negatives)


def critical_success_ratio(counts: Table) -> Array:
    """Share of right warnings among all cases that were warned of or happened (CSI, threat score).

    CSI = a / (a + b + c).      Source: Finley's table at cawcr.gov.au (read).
    """
    return _over(counts.hits, counts.hits + counts.false_alarms + counts.misses)


def frequency_bias_ratio(counts: Table) -> Array:
    """Warnings over events.

    bias = (a + b) / (a + c).      Source: Finley's table at cawcr.gov.au (read).
    """
    return _over(counts.hits + counts.false_alarms, counts.hits + counts.misses)


def heidke_ratio(counts: Table) -> Array:
    """Share of right forecasts beyond those of chance (HSS).

    HSS = 2 (a d - b c) / [(a + c) (c + d) + (a + b) (b + d)].      Source: Heidke 1926 (memory).
    """
    a, b, c, d = counts
    return _over(2.0 * (a * d - b * c), (a + c) * (c + d) + (a + b) * (b + d))


def accuracy_ratio(counts: Table) -> Array:
    """Share of right forecasts: flatters whoever never warns of a rare event, hence printed last.

    (a + d) / n.      Source: Finley's table at cawcr.gov.au (read).
    """
    return _over(counts.hits + counts.correct_negatives, sum(counts, np.asarray(0.0)))


def _over(part: Array, whole: Array) -> Array:
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(whole > 0.0, part / whole, np.nan)
