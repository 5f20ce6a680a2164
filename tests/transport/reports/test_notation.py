"""How numbers are written: the roundings must never flatter."""

import math
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from transport.reports import notation

NUMBERS = st.floats(-1e6, 1e6)


@given(NUMBERS)
def test_an_allowed_value_is_never_written_higher(value: float) -> None:
    assert float(notation.down(value)) <= value


@given(NUMBERS)
def test_a_demand_is_never_written_lower(value: float) -> None:
    assert float(notation.up(value)) >= value


@pytest.mark.parametrize(
    ("value", "words"),
    [(0.57, "0.57"), (0.1 + 0.2, "0.31"), (math.nan, "unknown"), (math.inf, "infinite"), (-0.0, "0.00")],
)
def test_up(value: float, words: str) -> None:
    assert notation.up(value) == words


@pytest.mark.parametrize(
    ("limit", "words"), [(9.99, "9.9 m/s"), (0.0, "closed"), (math.nan, "unknown"), (math.inf, "no wind limit")]
)
def test_gust(limit: float, words: str) -> None:
    assert notation.gust(limit) == words


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (2000.0, "2000"),
        (1.25, "1.25"),
        (0.133333, "0.1333"),
        (2.4e-6, "2.400e-06"),
        (12345.678, "12346"),
        (math.nan, "unknown"),
    ],
)
def test_plain(value: float, words: str) -> None:
    assert notation.plain(value) == words


@pytest.mark.parametrize(("grade", "words"), [(0.0711, "up 7.2 %"), (-0.0711, "down 7.2 %"), (0.0, "level 0.0 %")])
def test_slope_is_rounded_to_the_steeper_side(grade: float, words: str) -> None:
    assert notation.slope(grade) == words


def test_percent_is_not_spoilt_by_binary_fractions() -> None:
    assert notation.share(0.117) == "11.7 %"
    assert notation.margin(0.29) == "29.0 %"


def test_times_carry_zone_and_offset() -> None:
    moment, zone = datetime(2026, 3, 10, 7, 30, tzinfo=UTC), ZoneInfo("Etc/GMT+1")
    assert notation.stamp(moment, zone) == "Tue 10 Mar 06:30"
    assert notation.zone_name(zone, moment) == "Etc/GMT+1 (UTC-01:00)"
    assert notation.stamp(None, zone) == "unknown"


def test_moment_of_numpy_time() -> None:
    assert notation.moment(np.datetime64("2026-03-10T07:30", "ns")) == datetime(2026, 3, 10, 7, 30, tzinfo=UTC)
    assert notation.moment(np.datetime64("NaT", "ns")) is None


def test_letters_go_on_after_z() -> None:
    assert [notation.letter(order) for order in (0, 25, 26, 51, 52)] == ["A", "Z", "AA", "AZ", "BA"]


@pytest.mark.parametrize(
    ("name", "printed"),
    [
        ("m/s2", "m/s²"),
        ("m s-1", "m s⁻¹"),
        ("kg/m3", "kg/m³"),
        ("m2/s", "m²/s"),
        ("1", ""),
        ("kN", "kN"),
        ("s/m^0.2", "s/m^0.2"),
    ],
)
def test_unit(name: str, printed: str) -> None:
    assert notation.unit(name) == printed
