"""When each stage begins at the earliest and ends at the latest, for the starts that the windows name."""

import math
from datetime import datetime, timedelta, tzinfo

import numpy as np

from shared.assessment import Assessment
from transport.reports.listings import Listing
from transport.reports.masthead import local_zone
from transport.reports.notation import UNKNOWN, clock, one_line, short_stamp
from transport.reports.starts import first_shown, starts

__all__ = ["timetable_listing"]

NAMES = ("stage", "stage_begin_s", "stage_end_s")
MOST_COLUMNS = 4


def timetable_listing(result: Assessment) -> Listing:
    """A row a stage and a column a start, or a row for each of both where the starts are many."""
    zone, shown = local_zone(result), _shown(result)
    spans = _spans(result)
    which = "by start, first and last of each window" if result.openings else f"of the start shown, {result.verdict}"
    title = f"Timetable {which}: earliest beginning to latest end, local time"
    if len(shown) <= MOST_COLUMNS:
        columns = ("stage", *(short_stamp(start, zone) for start in shown))
        wide = tuple((name, *(_cell(start, begin_s, end_s, zone) for start in shown)) for name, begin_s, end_s in spans)
        return Listing(title, columns, wide if shown else (), frozenset(range(1, len(columns))))
    long = tuple(
        (short_stamp(start, zone), name, _cell(start, begin_s, end_s, zone))
        for start in shown
        for name, begin_s, end_s in spans
    )
    return Listing(title, ("start", "stage", "earliest beginning to latest end"), long, frozenset((0, 2)))


def _shown(result: Assessment) -> list[datetime]:
    """First and last start of each window; without a window the start shown first."""
    if result.openings:
        return list(dict.fromkeys(time for one in result.openings for time in (one.opens, one.latest_start)))
    return [row.start for row in starts(result)[first_shown(result) :][:1]]


def _spans(result: Assessment) -> list[tuple[str, float, float]]:
    if any(name not in result.window for name in NAMES):
        return []
    columns = (np.atleast_1d(result.window[name].values) for name in NAMES)
    return [(one_line(name), float(begin), float(end)) for name, begin, end in zip(*columns, strict=True)]


def _cell(start: datetime, begin_s: float, end_s: float, zone: tzinfo) -> str:
    return f"{_time(start, begin_s, zone)}-{_time(start, end_s, zone)}"


def _time(start: datetime, after_s: float, zone: tzinfo) -> str:
    """Hours and minutes, with the weekday when it is another day than that of the start."""
    if not math.isfinite(after_s):
        return UNKNOWN
    time = start + timedelta(seconds=after_s)
    same = time.astimezone(zone).date() == start.astimezone(zone).date()
    return clock(time, zone) if same else f"{time.astimezone(zone):%a} {clock(time, zone)}"
