"""Starts gathered by the hour of the site: a strip of marks, and the worst start of the hour."""

import math
from datetime import datetime, tzinfo
from itertools import groupby
from typing import NamedTuple

from transport.reports.starts import Start

__all__ = ["MARKS", "Hour", "hours", "runs"]

MARKS = {"go": "G", "no-go": "x", "undecided": "?"}


class Hour(NamedTuple):
    """The starts of one hour, or of several equal hours."""

    first: datetime
    last: datetime
    marks: str
    worst: Start


def hours(starts: tuple[Start, ...], zone: tzinfo) -> list[Hour]:
    """One row for every hour that has a start."""

    def hour(start: Start) -> datetime:
        return start.start.astimezone(zone).replace(minute=0, second=0, microsecond=0)

    return [_hour(first, tuple(group)) for first, group in groupby(starts, hour)]


def runs(rows: list[Hour]) -> list[Hour]:
    """Neighbouring hours of one day with the same marks, all not go and governed by the same check, as one row."""

    def same(row: Hour) -> tuple[object, ...]:
        closed = "G" not in row.marks and len(set(row.marks)) == 1
        return (row.first.date(), row.marks[:1], row.worst.governed_by) if closed else (row.first,)

    return [_joined(list(group)) for _, group in groupby(rows, same)]


def _hour(first: datetime, group: tuple[Start, ...]) -> Hour:
    marks = "".join(MARKS.get(start.verdict, "?") for start in group)
    return Hour(first, first, marks, max(group, key=_badness))


def _badness(start: Start) -> tuple[int, float]:
    rank = {"go": 0, "no-go": 1}.get(start.verdict, 2)
    use = start.utilisation_ratio
    return rank, math.inf if math.isnan(use) else use


def _joined(group: list[Hour]) -> Hour:
    marks = group[0].marks if len(group) == 1 else group[0].marks[:1]
    return Hour(group[0].first, group[-1].last, marks, max((row.worst for row in group), key=_badness))
