"""Laws: stronger wind never lowers the gust, turning all turns all, unknown stays unknown, less never helps."""

import json
from datetime import timedelta
from typing import Any

import numpy as np
import pytest
import xarray as xr
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from transport.weather import dew, gust, orography, profile, vectors
from transport.weather.assess import assess
from transport.weather.inputs import Relief, Site, Weather

SAME = settings(
    max_examples=25, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
WIND = ("mean_wind_mps", "eastward_wind_mps", "northward_wind_mps", "gust_mps")


def hilly(site: Site, turn_deg: float = 0.0) -> Site:
    sector = ((200.0 + turn_deg) % 360.0, (320.0 + turn_deg) % 360.0)
    relief = Relief(
        name="a", from_station_m=900.0, to_station_m=3100.0, wind_from_deg=sector, factor_ratio=1.25, source="invented"
    )
    return site.model_copy(update={"relief": (relief,)})


@SAME
@given(stronger=st.floats(1.0, 3.0), kind=st.sampled_from(["maximum", "instant", "none"]))
def test_stronger_wind_never_lowers_the_gust(
    normal: xr.Dataset, site: Site, weather: Weather, road: dict[str, Any], stronger: float, kind: str
) -> None:
    feed = normal.assign_attrs(gust_kind=kind)
    low = assess(feed, hilly(site), weather, **road)
    high = assess(feed.assign({name: feed[name] * np.float32(stronger) for name in WIND}), hilly(site), weather, **road)
    for name in ("gust_at_load_mps", "gust_apparent_mps", "mean_wind_mps"):
        assert (high[name] >= low[name] * (1.0 - 1e-6)).all()


@SAME
@given(turn=st.sampled_from([90, 180, 270]))
def test_turning_wind_road_and_relief_turns_the_result(
    normal: xr.Dataset, site: Site, weather: Weather, road: dict[str, Any], turn: int
) -> None:
    angle = np.deg2rad(turn)
    east, north = normal["eastward_wind_mps"], normal["northward_wind_mps"]
    turned = normal.assign(
        eastward_wind_mps=(east * np.cos(angle) + north * np.sin(angle)).astype("f4"),
        northward_wind_mps=(north * np.cos(angle) - east * np.sin(angle)).astype("f4"),
    )
    before = assess(normal, hilly(site), weather, **road)
    after = assess(turned, hilly(site, turn), weather, **road | {"heading_deg": (road["heading_deg"] + turn) % 360.0})
    np.testing.assert_allclose(after["gust_at_load_mps"], before["gust_at_load_mps"], rtol=1e-5)
    np.testing.assert_allclose(after["gust_apparent_mps"], before["gust_apparent_mps"], rtol=1e-5)
    off = (after["wind_from_deg"] - before["wind_from_deg"] - turn + 180.0) % 360.0 - 180.0
    assert np.abs(off).max() < 1e-3


@SAME
@given(
    name=st.sampled_from([*WIND, "air_temperature_K", "precipitation_mm_per_h", "visibility_m", "surface_altitude_m"]),
    place=st.tuples(st.integers(0, 5), st.integers(7, 19), st.integers(0, 2), st.integers(1, 2)),
)
def test_one_unknown_number_is_never_passed_over(
    normal: xr.Dataset, site: Site, weather: Weather, road: dict[str, Any], name: str, place: tuple[int, ...]
) -> None:
    holed = normal.copy(deep=True)
    holed[name][place if name != "surface_altitude_m" else place[2:]] = np.nan
    found = assess(holed, site, weather, **road)
    refused = bool(json.loads(found.attrs["refusals"]))
    unknown_direction = name in ("eastward_wind_mps", "northward_wind_mps") and bool(
        np.isnan(found["wind_from_deg"]).any()
    )
    assert refused or unknown_direction


@SAME
@given(hours=st.integers(2, 30))
def test_a_shorter_forecast_never_helps(
    normal: xr.Dataset, site: Site, weather: Weather, road: dict[str, Any], hours: int
) -> None:
    full = assess(normal, site, weather, **road)
    cut = assess(normal.isel(time=slice(hours + 1)), site, weather, **road)
    common = full.isel(time=slice(hours))
    np.testing.assert_array_equal(cut["gust_at_load_mps"], common["gust_at_load_mps"])
    assert len(json.loads(cut.attrs["refusals"])) >= len(json.loads(full.attrs["refusals"]))
    assert (hours >= 20) == (json.loads(cut.attrs["refusals"]) == [])


@SAME
@given(hours=st.integers(0, 40))
def test_an_older_forecast_never_helps(
    normal: xr.Dataset, site: Site, weather: Weather, road: dict[str, Any], hours: int
) -> None:
    later = road | {"as_of": road["as_of"] + timedelta(hours=hours)}
    refusals = json.loads(assess(normal, site, weather, **later).attrs["refusals"])
    assert (3 + hours <= weather.maximum_age_h) == (refusals == [])


@SAME
@given(members=st.integers(1, 6))
def test_fewer_members_never_help(
    normal: xr.Dataset, site: Site, weather: Weather, road: dict[str, Any], members: int
) -> None:
    found = assess(normal.isel(realization=slice(members)), site, weather, **road)
    assert (members >= weather.minimum_members) == (json.loads(found.attrs["refusals"]) == [])


@SAME
@given(spread=st.floats(0.0, 180.0), speed=st.floats(0.0, 3.0))
def test_more_doubt_of_direction_or_more_speed_never_lowers_the_apparent_gust(
    normal: xr.Dataset, site: Site, weather: Weather, road: dict[str, Any], spread: float, speed: float
) -> None:
    sure = weather.model_copy(update={"direction_spread_deg": 0.0})
    doubtful = weather.model_copy(update={"direction_spread_deg": spread})
    moving = road | {"speed_mps": np.full(9, speed)}
    low, high = (assess(normal, hilly(site), model, **moving) for model in (sure, doubtful))
    assert (high["gust_apparent_mps"] >= low["gust_apparent_mps"] * (1 - 1e-6)).all()
    assert (high["gust_apparent_mps"] >= high["gust_at_load_mps"]).all()
    assert (high["gust_apparent_mps"] <= high["gust_at_load_mps"] + speed + 1e-4).all()


SPEEDS = st.floats(0.0, 60.0)
ANGLES = st.floats(0.0, 360.0)


@given(speed=st.floats(0.1, 60.0), angle=ANGLES)
def test_components_and_back(speed: float, angle: float) -> None:
    parts = vectors.components_mps(np.asarray(speed), np.asarray(angle))
    assert np.hypot(*parts) == pytest.approx(speed)
    off = (float(vectors.from_direction_deg(*parts)) - angle + 180.0) % 360.0 - 180.0
    assert off == pytest.approx(0.0, abs=1e-6)


def felt_mps(speed: float, angle: float, vehicle: float, heading: float) -> float:
    """Vector sum of the wind and the way of the vehicle, as complex numbers."""
    return float(abs(speed * np.exp(1j * np.deg2rad(angle)) + vehicle * np.exp(1j * np.deg2rad(heading))))


@given(speed=SPEEDS, angle=ANGLES, vehicle=st.floats(0.0, 3.0), heading=ANGLES)
def test_bound_of_the_apparent_wind_holds_for_every_direction_in_the_spread(
    speed: float, angle: float, vehicle: float, heading: float
) -> None:
    bound = vectors.highest_apparent_mps(*(np.asarray(part) for part in (speed, angle, vehicle, heading)), 30.0)
    for off in (-30.0, -10.0, 0.0, 20.0, 30.0):
        assert felt_mps(speed, angle + off, vehicle, heading) <= bound + 1e-9


@given(
    height=st.floats(0.0, 200.0), relief=st.floats(1.0, 3.0), category=st.sampled_from(["0", "I", "II", "III", "IV"])
)
def test_more_relief_never_lowers_the_gust_from_the_mean(height: float, relief: float, category: str) -> None:
    def total(factor: float) -> float:
        turbulence = profile.turbulence_ratio(np.asarray(height), category, factor)
        return factor * float(gust.gust_ratio(turbulence, np.asarray(3.5), np.asarray(1.6)))

    assert total(relief) >= total(1.0)


@given(a=st.floats(0.0, 3.0), x=st.floats(-3.0, 5.0))
def test_location_factor_lies_between_nothing_and_the_crest(a: float, x: float) -> None:
    for location in (
        orography.hill_location(np.asarray(x * 100.0), np.asarray(a), 100.0, 100.0),
        orography.cliff_location(np.asarray(x * 100.0), np.asarray(a), 100.0, 100.0),
    ):
        assert 0.0 <= float(location) <= 1.0124


@given(temperature=st.floats(250.0, 310.0), humidity=st.floats(0.05, 1.0))
def test_dew_point_is_never_above_the_air_and_frost_never_below_dew(temperature: float, humidity: float) -> None:
    point = dew.dew_point_K(np.asarray(temperature), np.asarray(humidity))
    assert point <= temperature + 1e-9
    assert dew.deposit_point_K(point) >= point


@given(steps=st.floats(600.0, 86400.0))
def test_a_longer_step_never_has_a_smaller_peak(steps: float) -> None:
    assert gust.peak_factor(np.asarray(10.0), np.asarray(steps)) <= gust.peak_factor(
        np.asarray(10.0), np.asarray(2 * steps)
    )


def test_inputs_are_not_changed(normal: xr.Dataset, site: Site, weather: Weather, road: dict[str, Any]) -> None:
    before = normal.copy(deep=True)
    columns = {name: np.array(value) for name, value in road.items() if isinstance(value, np.ndarray)}
    assess(normal, hilly(site), weather, **road)
    xr.testing.assert_identical(normal, before)
    for name, value in columns.items():
        np.testing.assert_array_equal(road[name], value)
