"""Gates on freshness, coverage, members, ground and two sources; each message word for word."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import numpy as np
import pytest
import xarray as xr

from shared.errors import InputError
from transport.weather import quality
from transport.weather.inputs import Weather
from transport.weather.neighbourhood import neighbourhood

Read = Callable[[xr.Dataset], xr.Dataset]
START = datetime(2026, 3, 10, tzinfo=UTC)


def judged(feed: xr.Dataset, weather: Weather, road: dict[str, Any]) -> list[str]:
    near = neighbourhood(feed, road["longitude_deg"], road["latitude_deg"], weather.maximum_step_h)
    times = quality.asked(road["as_of"], road["needed_from"], road["needed_until"])
    return [f"{gate}: {message}" for gate, message in quality.judge(feed, near, weather, times, road["elevation_m"])]


def test_a_good_forecast_passes(normal: xr.Dataset, weather: Weather, road: dict[str, Any]) -> None:
    assert judged(normal, weather, road) == []


def test_age_and_future(normal: xr.Dataset, weather: Weather, road: dict[str, Any]) -> None:
    assert judged(normal, weather, road | {"as_of": START + timedelta(hours=12)}) == []
    assert judged(normal, weather, road | {"as_of": START + timedelta(hours=20)}) == [
        "age: forecast.nc: the forecast is 20.0 h old, allowed are 12 h; fetch a newer one"
    ]
    assert judged(normal, weather, road | {"as_of": START - timedelta(hours=1)}) == [
        (
            "future reference: forecast.nc: the forecast starts at 2026-03-10T00:00:00 UTC, 1.0 h after "
            "now; check the clocks"
        )
    ]


def test_coverage_in_time(normal: xr.Dataset, weather: Weather, road: dict[str, Any]) -> None:
    assert judged(normal, weather, road | {"needed_until": START + timedelta(hours=30)}) == []
    assert judged(normal, weather, road | {"needed_until": START + timedelta(hours=31)}) == [
        (
            "coverage in time: forecast.nc: ends at 2026-03-11T06:00:00 UTC, weather is needed until "
            "2026-03-11T07:00:00 UTC; "
            "fetch a longer forecast"
        )
    ]
    early = road | {"needed_from": START - timedelta(hours=1), "as_of": START}
    assert judged(normal, weather, early) == [
        (
            "coverage in time: forecast.nc: begins at 2026-03-10T00:00:00 UTC, weather is needed from "
            "2026-03-09T23:00:00 UTC"
        )
    ]


def test_coverage_in_space(normal: xr.Dataset, weather: Weather, road: dict[str, Any]) -> None:
    away = road | {"longitude_deg": road["longitude_deg"] + 0.225}
    assert judged(normal, weather, away)[0] == (
        "coverage in space: forecast.nc: 5 of 9 stations lie outside the grid; fetch a wider one"
    )


def test_a_lost_hour(content: xr.Dataset, read: Read, weather: Weather, road: dict[str, Any]) -> None:
    hours = [hour for hour in range(31) if hour != 9]
    assert judged(read(content.isel(time=hours)), weather, road)[0] == (
        "gap in time: forecast.nc: nothing between 2026-03-10T08:00:00 and 2026-03-10T10:00:00 UTC; a "
        "gap is not bridged, "
        "fetch the file again"
    )
    late = [hour for hour in range(31) if hour != 25]
    assert judged(read(content.isel(time=late)), weather, road) == []


def test_members(content: xr.Dataset, read: Read, weather: Weather, road: dict[str, Any]) -> None:
    assert judged(read(content.isel(realization=slice(4))), weather, road) == [
        "members: forecast.nc: holds 4 members, allowed from 5; fetch the whole ensemble"
    ]
    assert judged(read(content.isel(realization=[0, 1, 2, 3, 4, 4])), weather, road) == [
        "members: forecast.nc: a member stands twice; fetch the file again",
        "members: forecast.nc: only 5 of 6 members differ, the others are copies; fetch the file again",
    ]


def test_height_of_a_station(content: xr.Dataset, read: Read, weather: Weather, road: dict[str, Any]) -> None:
    """A report from the valley has no model and no slope; its remedy is another place."""
    place = read(content).assign_attrs(valid_within_m=100_000.0).isel(latitude=slice(1), longitude=slice(1))
    said = judged(place, weather, road | {"elevation_m": road["elevation_m"] + 900.0})
    assert [one for one in said if one.startswith("height")] == [
        (
            "height of the ground: forecast.nc: the road lies up to 1050 m off the ground of its station, allowed are "
            "300 m; it says little about a road so far above or below, take another"
        )
    ]


def test_height_of_the_ground(content: xr.Dataset, read: Read, weather: Weather, road: dict[str, Any]) -> None:
    assert judged(read(content), weather, road | {"elevation_m": road["elevation_m"] + 400.0}) == [
        (
            "height of the ground: forecast.nc: the road lies up to 550 m off the model's ground, allowed "
            "are 300 m; a smoothed "
            "slope says little about a ridge, use a finer model"
        )
    ]
    assert judged(read(content.drop_vars("orog")), weather, road) == [
        (
            "height of the ground: forecast.nc: the height of the model's ground is not known; add "
            "surface_altitude to the file, "
            "or surface_altitude_m to [[weather.feed]]"
        )
    ]
    unknown = road | {"elevation_m": np.full(9, np.nan)}
    assert judged(read(content), weather, unknown)[0].startswith("height of the ground")


def second(feed: xr.Dataset) -> xr.Dataset:
    return feed.assign_attrs(role="second_opinion", file="other.nc")


def test_a_second_opinion_may_be_small_short_and_without_gust(
    content: xr.Dataset, read: Read, weather: Weather, road: dict[str, Any]
) -> None:
    few = read(content.isel(realization=[0], time=slice(8)).drop_vars("fg10"))
    assert len(judged(few, weather, road)) == 3
    assert judged(second(few), weather, road) == []
    content["u10"][2, 10, 1, 1] = np.nan
    assert judged(second(read(content)), weather, road) == []


def test_a_second_opinion_must_be_fresh_whole_and_believable(
    content: xr.Dataset, read: Read, weather: Weather, road: dict[str, Any]
) -> None:
    feed = second(read(content))
    assert judged(feed, weather, road | {"as_of": START + timedelta(hours=20)}) == [
        "age: other.nc: the forecast is 20.0 h old, allowed are 12 h; fetch a newer one"
    ]
    assert judged(feed.isel(realization=[0, 1, 1]), weather, road)[0] == (
        "members: other.nc: a member stands twice; fetch the file again"
    )
    assert judged(feed, weather, road | {"longitude_deg": road["longitude_deg"] + 0.225})[0] == (
        "coverage in space: other.nc: does not cover the road, 5 of 9 stations lie outside its reach, so it is no "
        "second opinion; take another"
    )
    silent = feed.assign(mean_wind_mps=feed["mean_wind_mps"] * np.float32(np.nan))
    assert judged(silent, weather, road)[0] == (
        "no wind: other.nc: holds no mean wind around the road, so it is no second opinion; take another"
    )
    windy = feed.assign(gust_mps=feed["gust_mps"] * np.float32(9.0))
    assert judged(windy, weather, road)[0].startswith("implausible values: other.nc: gust_mps holds")
    high = road | {"elevation_m": road["elevation_m"] + 400.0}
    assert judged(feed, weather, high) == [], "it can only close starts: assess remarks upon the ground"


def test_times_need_a_zone_and_an_order() -> None:
    with pytest.raises(
        InputError, match=r"as_of: 2026-03-10T00:00:00 has no time zone; add an offset such as Z or -01:00"
    ):
        quality.utc(datetime(2026, 3, 10), "as_of")  # noqa: DTZ001 - the missing zone is the point
    with pytest.raises(InputError, match="the end must come later"):
        quality.asked(START, START, START)
