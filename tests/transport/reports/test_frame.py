"""Axes of the charts."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from transport.reports.drawing import Scale
from transport.reports.frame import time_axis


def written(begin: datetime, hours: float, zone: str) -> str:
    scale = Scale(begin.timestamp(), begin.timestamp() + hours * 3600.0, 76.0, 944.0)
    return "".join(time_axis(scale, 100.0, ZoneInfo(zone), "local time"))


def test_hours_of_the_site_with_the_date_at_midnight() -> None:
    axis = written(datetime(2026, 3, 10, 18, tzinfo=UTC), 12.0, "Etc/GMT+1")
    assert "17:00" in axis
    assert "Tue 10 Mar" in axis
    assert "Wed 11 Mar" in axis


def test_an_hour_that_the_clock_repeats_is_shown_twice() -> None:
    # European Union: clocks go back at 01:00 UTC on the last Sunday of October, Directive 2000/84/EC (from memory).
    axis = written(datetime(2026, 10, 24, 23, tzinfo=UTC), 5.0, "Europe/Berlin")
    assert axis.count(">02:00<") == 2
