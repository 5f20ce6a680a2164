"""METAR and SPECI, what an aerodrome observed (WMO FM 15 and FM 16): each speaks for the 10 minutes before it.

The mean is that of 10 minutes (in the United States of 2 minutes), the gust is the highest 3 s of those 10 minutes. An
hourly report is therefore silent about the other 50 minutes: there the observation is unknown, and so is a gust that is
not stated.
"""

from collections.abc import Iterator, Sequence
from datetime import timedelta
from itertools import groupby
from pathlib import Path

import numpy as np
import xarray as xr

from shared.arrays import Array
from shared.errors import Fault, InputError
from shared.tables import figure
from transport.weather.feeds.inputs import Feed
from transport.weather.feeds.stations.metar_report import Observed, doubtful, observed
from transport.weather.feeds.stations.plain_text import lines_of
from transport.weather.feeds.stations.point import Series, point
from transport.weather.feeds.stations.report_time import UnreadableError, instant
from transport.weather.feeds.stations.reports import Report, cut
from transport.weather.fields import Instants

__all__ = ["read"]

SHOWN = 5


def read(path: Path, feed: Feed) -> xr.Dataset:
    """Read the reports of the station in a text file into the normal form; a broken one is named, its wind alone kept.

    Errors: InputError if no month can be proved, or if no report of the station is left.
    Source: WMO-No. 306, FM 15 and FM 16 (read).
    """
    identifier = feed.station.identifier if feed.station else None
    reports = cut(lines_of(path), path.name)
    own = [report for report in reports if report.identifier == identifier and report.kind in ("METAR", "SPECI", "")]
    if not own:
        others = ", ".join(sorted({f"{report.kind} {report.identifier}".strip() for report in reports})) or "nothing"
        raise InputError(Fault(path.name, "", f"holds no METAR of {identifier}; it holds {others}"))
    if feed.month is None and any(report.stamp is None for report in own):
        line = next(report.line for report in own if report.stamp is None)
        needed = "put the date it was fetched on a line above it, or state month in [[weather.feed]]"
        raise InputError(Fault(f"{path.name}:{line}", "", f"gives a day but no month; {needed}"))
    found, kept, refused = _understood(own, feed.month)
    if not found:
        raise InputError(Fault(path.name, "", f"no report can be used; {'; '.join(refused[:SHOWN])}"))
    return point(path.name, feed, _series(_merged([*found, *kept]), feed, _remarks(reports, own, refused)))


def _understood(reports: Sequence[Report], month: str | None) -> tuple[list[Observed], list[Observed], list[str]]:
    """What is understood; of what is refused the wind alone; and why it is refused."""
    found: list[Observed] = []
    kept: list[Observed] = []
    refused: list[str] = []
    for report in reports:
        try:
            found += list(observed(report, month))
        except UnreadableError as problem:
            refused.append(f"line {report.line}: {problem}")
            kept += doubtful(report, month)
    return found, kept, refused


def _merged(found: Sequence[Observed]) -> list[Observed]:
    """One row a time: a correction replaces; of two different reports the stronger wind counts."""
    ordered = sorted(found, key=lambda row: (row.time, not row.corrected))
    at_once = (list(rows) for _, rows in groupby(ordered, key=lambda row: row.time))
    return [_strongest([row for row in rows if row.corrected == rows[0].corrected]) for rows in at_once]


def _strongest(rows: Sequence[Observed]) -> Observed:
    mean = max((row.mean_wind_mps for row in rows), key=_known_first)
    gust = max((row.gust_mps for row in rows), key=_known_first)
    return max(rows, key=lambda row: _known_first(row.mean_wind_mps))._replace(mean_wind_mps=mean, gust_mps=gust)


def _known_first(value: float) -> float:
    return value if value == value else -1.0


def _remarks(reports: Sequence[Report], own: Sequence[Report], refused: Sequence[str]) -> list[str]:
    others = sorted({f"{report.kind} {report.identifier}".strip() for report in reports if report not in own})
    remarks = [f"left out: {', '.join(others)}"] if others else []
    if refused:
        more = f"; and {len(refused) - SHOWN} more" if len(refused) > SHOWN else ""
        remarks.append(f"{len(refused)} of {len(own)} reports refused: {'; '.join(refused[:SHOWN])}{more}")
    return remarks


def _series(rows: Sequence[Observed], feed: Feed, remarks: list[str]) -> Series:
    period = timedelta(minutes=figure("weather_report_period_min"))
    time: Instants = np.array([instant(row.time) for row in rows])
    start: Instants = np.array([instant(row.time - period) for row in rows])
    fields = {name: _column(rows, name) for name in Observed._fields if name not in ("time", "corrected", "remarks")}
    told = [text for row in rows for text in row.remarks]
    kept = told[:SHOWN] + ([f"{len(told) - SHOWN} more such words"] if len(told) > SHOWN else [])
    dated = f"the month {feed.month} stated in the move" if feed.month else "the dates in the file"
    read = [
        f"wind, gust, visibility, air temperature and dew point from {len(rows)} METAR and SPECI times",
        f"month and year from {dated}",
    ]
    return Series("METAR", time, start, time, fields, read, list(_derived(fields)), [*remarks, *kept])


def _column(rows: Sequence[Observed], name: str) -> Array:
    return np.array([getattr(row, name) for row in rows], dtype=np.float64)


def _derived(fields: dict[str, Array]) -> Iterator[str]:
    minutes, seconds = figure("weather_report_period_min"), figure("weather_report_gust_s")
    yield f"each report speaks for the {minutes:g} minutes before it; the time between reports is unknown"
    yield f"mean over {minutes:g} min (United States: 2 min), gust over {seconds:g} s"
    silent = int(np.isnan(fields["gust_mps"]).sum())
    if silent:
        knots = figure("weather_unreported_gust_kt")
        yield (
            f"{silent} of {len(fields['gust_mps'])} times state no gust, so it is unknown; a gust need not be reported "
            f"up to {knots:g} kt above the mean"
        )
