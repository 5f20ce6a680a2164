"""Day and hour become a date only where a date in the file proves it."""

from datetime import UTC, datetime, timedelta, timezone

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.errors import InputError
from transport.weather.feeds.stations.report_time import (
    Stamp,
    UnreadableError,
    instant,
    rolled,
    stamp_of,
    within,
    within_month,
)


def moment(*parts: int) -> datetime:
    return datetime(*parts, tzinfo=UTC)  # type: ignore[misc,arg-type]


def stamp(text: str) -> Stamp:
    found, _ = stamp_of(text, "s.txt:1")
    assert found is not None
    return found


@pytest.mark.parametrize(
    "text",
    [
        *("2026-03-12T05:20Z", "2026-03-12 05:20", "2026-03-12T05:20:10.5Z", "2026/03/12 05:20", "202603120520"),
        *("2026-03-12 05:20 UTC", "2026-03-12T05:20Z;", "  2026-03-12T05:20Z  "),
    ],
)
def test_forms_of_a_date(text: str) -> None:
    assert stamp(text).first == stamp(text).last == moment(2026, 3, 12, 5, 20)


def test_a_date_without_an_hour_is_a_day() -> None:
    found, rest = stamp_of("2026-03-12 METAR YUDO 120500Z", "s.txt:1")
    assert found == (moment(2026, 3, 12), moment(2026, 3, 13), "2026-03-12")
    assert rest == "METAR YUDO 120500Z"


@pytest.mark.parametrize(
    "text", ["TAF YUDO 121100Z", "1212/1318", "9999 SCT020", "20260312", "2026-03-12T05:20+02:00", ""]
)
def test_what_is_no_date(text: str) -> None:
    assert stamp_of(text, "s.txt:1") == (None, text)


def test_a_date_that_does_not_exist() -> None:
    with pytest.raises(InputError) as caught:
        stamp_of("2026-02-30T05:20Z", "s.txt:4")
    assert str(caught.value) == "s.txt:4: '2026-02-30T05:20Z' is no date of the calendar; correct it"


@pytest.mark.parametrize(
    ("text", "above", "date"),
    [
        ("121100", "2026-03-12T11:20Z", moment(2026, 3, 12, 11)),
        ("312300", "2026-04-01T00:10Z", moment(2026, 3, 31, 23)),
        ("010000", "2026-03-31T23:50Z", moment(2026, 4, 1)),
        ("291200", "2028-03-01T00:00Z", moment(2028, 2, 29, 12)),
        ("312330", "2027-01-01", moment(2026, 12, 31, 23, 30)),
    ],
)
def test_rolling_over_ends_of_month(text: str, above: str, date: datetime) -> None:
    assert rolled(text, stamp(above)) == date


def test_last_months_report_is_not_this_months() -> None:
    """Fetched on 28 March, the text is that of 12 February or 12 March: neither lies in the hours before."""
    with pytest.raises(UnreadableError) as caught:
        rolled("121100", stamp("2026-03-28T11:20Z"))
    assert str(caught.value) == (
        "day 12 at 11:00 does not fit the date '2026-03-28T11:20Z' that stands above it; "
        "is it the report of another month?"
    )


@given(st.datetimes(datetime(2020, 1, 1), datetime(2035, 1, 1)), st.integers(-2000, 4000))  # noqa: DTZ001 - made aware below
def test_a_rolled_time_lies_in_the_hours_around_the_date(above: datetime, minutes: int) -> None:
    """Whatever is rolled is the true time of a report written at most 36 h before and 1 h after the date."""
    above = above.replace(second=0, microsecond=0, tzinfo=UTC)
    true = above - timedelta(minutes=minutes)
    near = -60 <= minutes <= 36 * 60
    try:
        assert rolled(f"{true:%d%H%M}", Stamp(above, above, "")) == true
    except UnreadableError:
        assert not near
    else:
        assert near


def test_hour_24_ends_the_day() -> None:
    assert within("3024", moment(2026, 4, 30, 6), moment(2026, 5, 1, 6)) == moment(2026, 5, 1)
    with pytest.raises(UnreadableError, match=r"day 3 at 06:00 lies outside 30 Apr 06:00 to 01 May 06:00 UTC"):
        within("0306", moment(2026, 4, 30, 6), moment(2026, 5, 1, 6))


@pytest.mark.parametrize("text", ["001200", "321200", "122430", "122500", "121260"])
def test_no_such_time(text: str) -> None:
    with pytest.raises(UnreadableError, match=f"'{text}' is no day and hour"):
        within_month(text, "2026-03")


def test_declared_month() -> None:
    assert within_month("310550", "2026-03") == moment(2026, 3, 31, 5, 50)
    with pytest.raises(UnreadableError, match="2026-02 has no day 30"):
        within_month("300550", "2026-02")


def test_instant_is_utc() -> None:
    local = datetime(2026, 3, 12, 6, tzinfo=timezone(timedelta(hours=1)))
    assert instant(local) == np.datetime64("2026-03-12T05:00:00", "s")
