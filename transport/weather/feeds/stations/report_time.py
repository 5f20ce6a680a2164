"""The full date of a report that gives day and hour only: proved by a date in the file, or refused.

A report of the tenth looks the same in every month. The file must therefore carry a date: on a line above the report,
or before it on the same line, as it was fetched or stored. The report must lie in the hours around that date. What no
reader can see: a fresh date written over the text of last month's same day and hour.
"""

import re
from datetime import UTC, datetime, timedelta
from typing import NamedTuple

import numpy as np

from shared.errors import Fault, InputError
from shared.tables import figure

__all__ = ["Stamp", "UnreadableError", "instant", "rolled", "stamp_of", "within", "within_month"]

DATE = re.compile(
    r"(?P<year>[0-9]{4})(?P<mark>[-/]?)(?P<month>[0-9]{2})(?P=mark)(?P<day>[0-9]{2})"
    r"(?:[T ]?(?P<hour>[0-9]{2}):?(?P<minute>[0-9]{2})(?::?[0-9]{2}(?:\.[0-9]+)?)?)? ?(?:Z|UTC)?(?=[ \t,;]|$)[ \t,;]*"
)


class UnreadableError(Exception):
    """A report that is not understood, and why."""


class Stamp(NamedTuple):
    """A date in the file: the span it stands for (one day if it has no hour), and its text."""

    first: datetime
    last: datetime
    text: str


def stamp_of(line: str, where: str) -> tuple[Stamp | None, str]:
    """Date at the beginning of a line, if there is one, and the rest of the line.

    Forms: 2026-03-12T05:20Z, 2026-03-12 05:20, 2026-03-12, 2026/03/12 05:20, 202603120520; UTC.
    Errors: InputError for a date that no calendar has.      Source: ISO 8601 (memory).
    """
    text = line.strip()
    if (match := DATE.match(text)) is None or not (match["mark"] or match["hour"]):
        return None, text
    try:
        parts = [int(match[name] or 0) for name in ("year", "month", "day", "hour", "minute")]
        first = datetime(*parts, tzinfo=UTC)  # type: ignore[misc,arg-type]
    except ValueError:
        raise InputError(Fault(where, "", f"'{match[0].strip()}' is no date of the calendar; correct it")) from None
    last = first if match["hour"] else first + timedelta(days=1)
    return Stamp(first, last, match[0].strip(" \t,;")), text[match.end() :]


def _clock(text: str) -> tuple[int, int, int]:
    day, hour, minute = (int(text[start : start + 2] or 0) for start in (0, 2, 4))
    if not (1 <= day <= 31 and (hour < 24 or (hour == 24 and minute == 0)) and minute < 60):
        raise UnreadableError(f"'{text}' is no day and hour")
    return day, hour, minute


def _on(year: int, month: int, clock: tuple[int, int, int]) -> datetime | None:
    try:
        date = datetime(year, month, clock[0], tzinfo=UTC)
    except ValueError:
        return None
    return date + timedelta(hours=clock[1], minutes=clock[2])


def rolled(text: str, stamp: Stamp) -> datetime:
    """Full date of `DDHHMM` from the date that stands above it; the hours around that date hold it, or it is refused.

    Errors: UnreadableError.      Source: house rule, the month is proved and never guessed (practice).
    """
    clock = _clock(text)
    low = stamp.first - timedelta(hours=figure("weather_report_before_stamp_h"))
    high = stamp.last + timedelta(hours=figure("weather_report_after_stamp_h"))
    for turn in (low, high):
        found = _on(turn.year, turn.month, clock)
        if found is not None and low <= found <= high:
            return found
    what = f"day {clock[0]} at {clock[1]:02d}:{clock[2]:02d} does not fit the date '{stamp.text}' that stands above it"
    raise UnreadableError(f"{what}; is it the report of another month?")


def within_month(text: str, month: str) -> datetime:
    """Full date of `DDHHMM` in a declared month such as 2026-03.

    Errors: UnreadableError if the month lacks the day.      Source: declared by the user.
    """
    clock = _clock(text)
    found = _on(int(month[:4]), int(month[5:]), clock)
    if found is None:
        raise UnreadableError(f"{month} has no day {clock[0]}")
    return found


def within(text: str, low: datetime, high: datetime) -> datetime:
    """Full date of `DDHH` or `DDHHMM` between two instants less than a month apart; hour 24 ends the day.

    Errors: UnreadableError if it lies outside.      Source: WMO-No. 306, FM 51 (read).
    """
    clock = _clock(text)
    for turn in (low, high):
        found = _on(turn.year, turn.month, clock)
        if found is not None and low <= found <= high:
            return found
    shown = f"{low:%d %b %H:%M} to {high:%d %b %H:%M} UTC"
    raise UnreadableError(f"day {clock[0]} at {clock[1]:02d}:{clock[2]:02d} lies outside {shown}")


def instant(moment: datetime) -> np.datetime64:
    """The same instant for numpy, to the second, in UTC.

    Source: house rule on time (practice).
    """
    return np.datetime64(moment.astimezone(UTC).replace(tzinfo=None), "s")
