"""Gates on the values themselves; each message word for word."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
import xarray as xr

from transport.weather import quality
from transport.weather.inputs import Weather
from transport.weather.neighbourhood import neighbourhood

Read = Callable[[xr.Dataset], xr.Dataset]
Judge = Callable[[xr.Dataset], list[str]]


@pytest.fixture
def judged(read: Read, weather: Weather, road: dict[str, Any]) -> Judge:
    def messages(content: xr.Dataset) -> list[str]:
        feed = read(content)
        near = neighbourhood(feed, road["longitude_deg"], road["latitude_deg"], weather.maximum_step_h)
        times = quality.asked(road["as_of"], road["needed_from"], road["needed_until"])
        return [f"{gate}: {text}" for gate, text in quality.judge(feed, near, weather, times, road["elevation_m"])]

    return messages


def test_one_missing_value_in_one_member(content: xr.Dataset, judged: Judge) -> None:
    content["fg10"][3, 10, 1, 1] = np.nan
    assert judged(content) == [
        (
            "missing values: forecast.nc: gust_mps is missing in 1 of 6 members around the road in the time "
            "asked for; nothing is "
            "filled in, fetch the file again"
        )
    ]


def test_missing_value_elsewhere_or_later_is_no_matter(content: xr.Dataset, judged: Judge) -> None:
    content["fg10"][3, 10, 3, 4] = np.nan
    content["fg10"][3, 25, 1, 1] = np.nan
    assert judged(content) == []


@pytest.mark.parametrize("name", ["u10", "t2", "d2", "ps", "tp", "vis"])
def test_missing_value_of_any_field_that_the_feed_carries(content: xr.Dataset, judged: Judge, name: str) -> None:
    content[name][2, 12, 1, 1] = np.nan
    assert [text.split(":")[0] for text in judged(content)] == ["missing values"]
    assert judged(content.drop_vars(name)) == [] if name != "u10" else True


@pytest.mark.parametrize(("value", "said"), [(80.0, "80"), (9.97e36, "9.97e+36"), (np.inf, "inf"), (-1.0, "-1")])
def test_gust_out_of_range(content: xr.Dataset, judged: Judge, value: float, said: str) -> None:
    content["fg10"][:, 9:14] = value
    texts = judged(content)
    assert any(f"implausible values: forecast.nc: gust_mps holds {said}, allowed is 0 to 75" in text for text in texts)


def test_temperature_in_celsius_labelled_kelvin(content: xr.Dataset, judged: Judge) -> None:
    content["t2"] = content["t2"].dims, content["t2"].to_numpy() - 273.15, content["t2"].attrs
    assert any(
        "air_temperature_K holds 7." in text and "allowed is 180 to 340; is the unit wrong?" in text
        for text in judged(content)
    )


def test_zeros_and_constants(content: xr.Dataset, judged: Judge) -> None:
    content["fg10"][:, 9:12] = 0.0
    assert any(
        "100 % of gust_mps in one step or member is exactly zero; a cut or empty file looks so" in text
        for text in judged(content)
    )
    content["fg10"][:] = 1e-38
    assert any("100 % of gust_mps in one step" in text for text in judged(content))
    content["fg10"][:] = 12.5
    assert any("gust_mps is 12.5 everywhere; a cut or empty file looks like this" in text for text in judged(content))


def test_gust_in_knots_labelled_metres_a_second(content: xr.Dataset, judged: Judge) -> None:
    content["fg10"] = content["fg10"].dims, content["fg10"].to_numpy() / 0.514444, content["fg10"].attrs
    assert judged(content) == [
        (
            "gust and mean: forecast.nc: gust over mean is 3.06 in the middle, believable is 1.05 to 2.5; "
            "is a unit wrong?"
        )
    ]


def test_mean_in_knots_labelled_metres_a_second(content: xr.Dataset, judged: Judge) -> None:
    for name in ("u10", "v10"):
        content[name] = content[name].dims, content[name].to_numpy() / 0.514444, content[name].attrs
    texts = judged(content)
    assert any("the gust lies below the mean wind in 100 % of the values; is a unit wrong?" in text for text in texts)


def test_truncated_ensemble_member_of_zeros(content: xr.Dataset, judged: Judge) -> None:
    for name in ("u10", "v10", "fg10"):
        content[name][5] = 0.0
    assert any("100 % of mean_wind_mps in one step or member is exactly zero" in text for text in judged(content))


def test_one_place_may_be_calm_or_say_the_same_for_hours(
    content: xr.Dataset, read: Read, weather: Weather, road: dict[str, Any]
) -> None:
    """A report of an aerodrome gives whole knots, and 00000KT when it is calm (WMO-No. 306 FM 15, from memory)."""
    still = content.assign({name: content[name] * np.float32(0.0) for name in ("u10", "v10", "fg10")})
    feed = read(still).isel(realization=[0], latitude=[1], longitude=[2]).assign_attrs(role="second_opinion")
    feed.attrs["valid_within_m"] = 50_000.0
    near = neighbourhood(feed, road["longitude_deg"], road["latitude_deg"], weather.maximum_step_h)
    times = quality.asked(road["as_of"], road["needed_from"], road["needed_until"])
    assert quality.judge(feed, near, weather, times, road["elevation_m"]) == ()
