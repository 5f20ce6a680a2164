"""Two sources of weather: a wrong unit shows, less reach is no fault, a copy is no second source."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
import xarray as xr

from transport.weather import quality
from transport.weather.agreement import Agreement, agreement, close
from transport.weather.inputs import Weather

Read = Callable[[xr.Dataset], xr.Dataset]
Agree = Callable[[xr.Dataset, xr.Dataset], Agreement]


@pytest.fixture
def agreed(weather: Weather, road: dict[str, Any]) -> Agree:
    times = quality.asked(road["as_of"], road["needed_from"], road["needed_until"])
    place = (road["longitude_deg"], road["latitude_deg"])
    return lambda first, second: agreement(first, second.assign_attrs(file="other.nc"), weather, times, *place)


@pytest.fixture
def other(make_content: Callable[..., xr.Dataset]) -> xr.Dataset:
    return make_content(seed=8)


def test_metres_a_second_labelled_knots_shows_beside_a_second_source(
    content: xr.Dataset, other: xr.Dataset, read: Read, agreed: Agree
) -> None:
    """0.514444 m/s a knot, ISO 80000-3 (from memory): all winds come out at about half."""
    right = read(other)
    for name in ("u10", "v10", "fg10"):
        content[name].attrs["units"] = "knots"
    found = agreed(read(content), right)
    (refusal,) = found.refusals
    assert refusal.message == (
        "mean wind 3.3 m/s here and 6.4 m/s in other.nc from 2026-03-10T06:00:00 to 2026-03-10T18:00:00 UTC; "
        "is a unit wrong?"
    )
    assert found.compared


def test_sources_of_one_weather_agree(content: xr.Dataset, other: xr.Dataset, read: Read, agreed: Agree) -> None:
    assert agreed(read(content), read(other)) == Agreement((), (), True)


def test_sources_are_compared_as_far_as_both_reach(
    content: xr.Dataset, other: xr.Dataset, read: Read, agreed: Agree
) -> None:
    short = read(other.isel(time=slice(10)))
    assert agreed(read(content), short).compared
    doubled = short.assign(mean_wind_mps=2.0 * short["mean_wind_mps"])
    assert "to 2026-03-10T09:00:00 UTC" in agreed(read(content), doubled).refusals[0].message
    late = read(other.isel(time=slice(12, None)))
    assert agreed(read(content), late).compared


def test_wind_before_a_source_begins_is_not_held_against_it(
    content: xr.Dataset, other: xr.Dataset, read: Read, agreed: Agree
) -> None:
    """A gale until noon that only the forecast reaches back to; the same weather after it."""
    first, late = read(content), read(other.isel(time=slice(12, None)))
    hours = xr.DataArray(np.where(np.arange(31) < 12, 4.0, 1.0), dims="time")
    assert agreed(first.assign(mean_wind_mps=first["mean_wind_mps"] * hours), late).refusals == ()


def test_a_wrong_unit_on_the_second_day_alone_is_seen(
    content: xr.Dataset, other: xr.Dataset, read: Read, agreed: Agree
) -> None:
    later = read(other)
    hours = xr.DataArray(np.where(np.arange(31) < 19, 1.0, 2.0), dims="time")
    (refusal,) = agreed(read(content), later.assign(mean_wind_mps=later["mean_wind_mps"] * hours)).refusals
    assert "from 2026-03-10T18:00:00" in refusal.message


@pytest.mark.parametrize("hours", [slice(6), slice(4)])
def test_a_source_that_ends_before_now_was_not_compared(
    content: xr.Dataset, other: xr.Dataset, read: Read, agreed: Agree, hours: slice
) -> None:
    assert agreed(read(content), read(other.isel(time=hours))) == Agreement((), (), False)


def test_a_source_that_says_no_wind_or_lies_elsewhere_was_not_compared(
    content: xr.Dataset, other: xr.Dataset, read: Read, agreed: Agree
) -> None:
    silent = read(other)
    silent = silent.assign(mean_wind_mps=silent["mean_wind_mps"] * np.float32(np.nan))
    assert agreed(read(content), silent) == Agreement((), (), False)
    away = read(other.assign_coords(lon=other["lon"] + 30.0))
    assert agreed(read(content), away) == Agreement((), (), False)


def test_one_unknown_member_does_not_hide_a_wrong_unit(
    content: xr.Dataset, other: xr.Dataset, read: Read, agreed: Agree
) -> None:
    holed = read(other)
    values = 2.0 * holed["mean_wind_mps"]
    values[0] = np.nan
    assert agreed(read(content), holed.assign(mean_wind_mps=values)).refusals


def test_a_copy_is_no_second_source(content: xr.Dataset, read: Read, agreed: Agree) -> None:
    found = agreed(read(content), read(content))
    assert found == Agreement((), ("other.nc holds the same winds as the forecast: a copy is no second source",), False)


@pytest.mark.parametrize(
    ("first", "second", "expected"),
    [(1.0, 3.0, True), (1.0, 3.1, False), (10.0, 15.0, True), (10.0, 15.1, False), (np.nan, 1.0, False)],
)
def test_close_from_either_side(first: float, second: float, expected: bool) -> None:
    assert close(first, second) is close(second, first) is expected
