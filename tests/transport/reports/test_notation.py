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
    ("limit", "words"),
    [
        *((9.99, "9.9 m/s"), (79.99, "79.9 m/s"), (80.0, "above 80 m/s"), (136.8, "above 80 m/s")),
        *((0.0, "closed"), (-1.0, "closed"), (math.nan, "unknown"), (math.inf, "no wind limit")),
    ],
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


@pytest.mark.parametrize(("ratio", "words"), [(-math.inf, "closed"), (math.nan, "unknown"), (-0.4951, "-49.6 %")])
def test_a_margin_without_bound_is_a_closed_road(ratio: float, words: str) -> None:
    assert notation.margin(ratio) == words


@pytest.mark.parametrize(("ratio", "words"), [(math.inf, "closed"), (math.nan, "unknown"), (0.571, "0.58")])
def test_a_utilisation_without_bound_is_a_closed_road(ratio: float, words: str) -> None:
    assert notation.use(ratio) == words


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("dew margin: -0.404 K against 3 K", "dew margin: -0.41 K against 3 K"),
        ("4.159 K against 3 K", "4.15 K against 3 K"),
        ("utilisation 1.03412 against 1", "utilisation 1.04 against 1"),
        ("0.12345 kN\nand 4.15 K", "0.12345 kN and 4.15 K"),
    ],
)
def test_sentences_hold_no_more_than_two_decimals_rounded_to_caution(text: str, words: str) -> None:
    assert notation.worded(text) == words


def test_what_is_cut_shows_it() -> None:
    assert notation.cut("securing one part lost (LC4)", 22) == "securing one part los…"
    assert notation.cut("cover hem", 22) == "cover hem"


def test_times_carry_zone_and_offset() -> None:
    moment, zone = datetime(2026, 3, 10, 7, 30, tzinfo=UTC), ZoneInfo("Etc/GMT+1")
    assert notation.stamp(moment, zone) == "Tue 10 Mar 06:30"
    assert notation.offset_name(zone, moment) == "UTC-01:00"
    assert notation.zone_name(zone, moment) == "UTC-01:00 (Etc/GMT+1)"
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
