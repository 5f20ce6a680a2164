"""TAF, the forecast for an aerodrome (WMO FM 51): the newest one of the station, read as its worst case.

What no reader can see: a digit of a speed or time that was changed into another believable one; three digits of a wind
from 100 kt on of which one is lost. A TAF states the most probable wind, not its bound.
"""

import re
from collections.abc import Sequence
from datetime import datetime, timedelta
from pathlib import Path
from typing import NamedTuple

import numpy as np
import xarray as xr

from shared.errors import Fault, InputError
from shared.tables import figure
from transport.weather.feeds.inputs import Feed
from transport.weather.feeds.stations.plain_text import lines_of
from transport.weather.feeds.stations.point import Series, point
from transport.weather.feeds.stations.report_time import UnreadableError, instant, rolled, within
from transport.weather.feeds.stations.reports import Report, cut
from transport.weather.feeds.stations.taf_check import confirm
from transport.weather.feeds.stations.taf_groups import Group, groups_of
from transport.weather.feeds.stations.taf_hours import hourly, stretches, thunder
from transport.weather.fields import Instants

__all__ = ["read"]

HOUR = timedelta(hours=1)


class Head(NamedTuple):
    """Issue and validity of a TAF; void: NIL or CNL."""

    report: Report
    issued: datetime
    start: datetime
    end: datetime
    void: str
    body: tuple[str, ...]


def read(path: Path, feed: Feed) -> xr.Dataset:
    """Read the newest TAF of the station in a text file into the normal form.

    Errors: InputError if its month cannot be proved, if a group is not understood, if it is cancelled or missing.
    Source: WMO-No. 306, FM 51 (read).
    """
    identifier = feed.station.identifier if feed.station else None
    reports = cut(lines_of(path), path.name)
    own = [report for report in reports if report.identifier == identifier and report.kind in ("TAF", "")]
    if not own:
        others = ", ".join(sorted({f"{report.kind} {report.identifier}".strip() for report in reports})) or "nothing"
        raise InputError(Fault(path.name, "", f"holds no TAF of {identifier}; it holds {others}"))
    head = _newest([_head(report, path.name) for report in own], path.name)
    try:
        groups = groups_of(head.body, head.start, head.end)
        confirm(head.report, groups)
    except UnreadableError as problem:
        raise _refused(path.name, head.report, str(problem)) from None
    remarks = _left_out(reports, own) + [_foreseen(span) for span in thunder(groups, head.end)]
    return point(path.name, feed, _series(head, groups, remarks), instant(head.issued))


def _refused(file: str, report: Report, message: str) -> InputError:
    return InputError(Fault(f"{file}:{report.line}", f"TAF {report.identifier}", f"{message}; the forecast is refused"))


def _head(report: Report, file: str) -> Head:
    try:
        return _read_head(report)
    except UnreadableError as problem:
        raise _refused(file, report, str(problem)) from None


def _read_head(report: Report) -> Head:
    issue, *words = report.groups or ("",)
    if re.fullmatch(r"[0-9]{6}Z", issue) is None:
        raise UnreadableError(f"'{issue}' stands where its time of issue is needed, such as 121100Z")
    if report.stamp is None:
        needed = "put the date it was fetched on a line above it, such as 2026-03-12T11:20Z"
        raise UnreadableError(f"gives a day but no month, and no date stands above it; {needed}")
    issued = rolled(issue[:6], report.stamp)
    if words == ["NIL"]:
        return Head(report, issued, issued, issued, "NIL", ())
    span = words.pop(0) if words else ""
    if re.fullmatch(r"[0-9]{4}/[0-9]{4}", span) is None:
        raise UnreadableError(f"'{span}' stands where its validity is needed, such as 1212/1318")
    longest = HOUR * figure("weather_taf_longest_h")
    start = within(span[:4], issued - longest, issued + longest / 2)
    end = within(span[5:], start, start + longest)
    if not end > issued or not end > start:
        raise UnreadableError(f"its validity {span} ends before it begins or before its issue")
    return Head(report, issued, start, end, "CNL" if words == ["CNL"] else "", tuple(words))


def _newest(heads: Sequence[Head], file: str) -> Head:
    rank = [(head.issued, "COR" in head.report.status, "AMD" in head.report.status) for head in heads]
    best = [head for head, place in zip(heads, rank, strict=True) if place == max(rank)]
    if len({head.report.text for head in best}) > 1:
        raise _refused(file, best[-1].report, "two different forecasts have the same time of issue")
    if best[-1].void:
        meaning = {"NIL": "NIL: no forecast was made", "CNL": "cancelled (CNL)"}[best[-1].void]
        raise _refused(file, best[-1].report, f"the newest, issued {_shown(best[-1].issued)}, is {meaning}")
    return best[-1]


def _left_out(reports: Sequence[Report], own: Sequence[Report]) -> list[str]:
    others = sorted({f"{report.kind} {report.identifier}".strip() for report in reports if report not in own})
    return [f"left out: {', '.join(others)}"] if others else []


def _foreseen(span: tuple[datetime, datetime]) -> str:
    return f"foresees thunderstorm or cumulonimbus from {_shown(span[0])} to {_shown(span[1])} UTC"


def _shown(moment: datetime) -> str:
    return f"{moment:%Y-%m-%d %H:%M}"


def _series(head: Head, groups: Sequence[Group], remarks: list[str]) -> Series:
    time, fields = hourly(stretches(groups, head.end), head.start, head.end)
    stamp = head.report.stamp.text if head.report.stamp else ""
    status = " ".join(sorted(head.report.status))
    named = f"TAF {status} {head.report.identifier}".replace("  ", " ")
    told = f"{named} issued {_shown(head.issued)} UTC, valid {_shown(head.start)} to {_shown(head.end)} UTC"
    if np.isnan(fields["gust_mps"]).any():
        remarks = [*remarks, "the wind is not stated, or only as above the end of the scale, for some hours: unknown"]
    read = [f"wind, gust and visibility from {told}", f"month and year from the date '{stamp}' above it"]
    start: Instants = np.concatenate([time[:1], time[:-1]])
    return Series("TAF", time, start, time, fields, read, _derived(groups), remarks)


def _derived(groups: Sequence[Group]) -> list[str]:
    worst = "each hour holds the strongest wind and gust and the least visibility of the base forecast and of every"
    told = [f"{worst} FM, BECMG, TEMPO and PROB group that touches it; through a BECMG old and new both count"]
    if any(group.wind is not None and not group.wind.gusty for group in groups):
        knots = figure("weather_unreported_gust_kt")
        told += [f"a wind without a gust may gust up to {knots:g} kt above its mean unreported: that is its gust"]
    return [*told, "a TAF states the most probable wind, not a bound of it"]
