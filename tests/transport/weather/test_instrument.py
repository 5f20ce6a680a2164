"""An instrument beside the forecast: it can only count against go. Each message word for word."""

import json
from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

import numpy as np
import pytest
import xarray as xr
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shared.datasets import dataset
from transport.weather import quality
from transport.weather.feeds.inputs import Feed, Station
from transport.weather.fields import DIMENSIONS
from transport.weather.inputs import Relief, Site, Weather
from transport.weather.instrument import observed

START = np.datetime64("2026-03-10T00:00:00", "s")
MINUTE = np.timedelta64(60, "s")
FIELDS = ("mean_wind_mps", "eastward_wind_mps", "northward_wind_mps", "gust_mps", "precipitation_mm_per_h")
AIR = ("air_temperature_K", "dew_point_K", "surface_pressure_Pa", "visibility_m")
SAME = settings(
    max_examples=40, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
See = Callable[..., xr.Dataset]


def mast(mean_mps: Any, gust_mps: Any, first_min: int = 10, last_min: int = 180, **attrs: Any) -> xr.Dataset:
    """Ten-minute means and gusts at one place, in the normal form of an observation."""
    time = START + np.arange(first_min, last_min + 1, 10) * MINUTE
    shape = (1, time.size, 1, 1)
    known = {"mean_wind_mps": mean_mps, "gust_mps": gust_mps}
    values = {
        name: np.array(np.broadcast_to(np.reshape(known.get(name, np.nan), (1, -1, 1, 1)), shape), dtype=np.float32)
        for name in (*FIELDS, *AIR)
    }
    spans = {
        f"{kind}_{end}": ("time", (time - before * MINUTE).astype("datetime64[ns]"))
        for kind in ("gust", "precipitation")
        for end, before in (("start", 10), ("end", 0))
    }
    facts = {"file": "mast.csv", "role": "observation", "source_kind": "mast logger", "gust_kind": "maximum"}
    facts |= {"observed_until": f"{time[-1]}Z", "valid_within_m": 20_000.0, "remarks": "[]", "resolves_relief": 0}
    return dataset(
        {name: (DIMENSIONS, value) for name, value in values.items()}
        | {"surface_altitude_m": (DIMENSIONS[2:], np.array([[2200.0]]))},
        {
            "realization": [0],
            "time": time.astype("datetime64[ns]"),
            "latitude": [-38.5],
            "longitude": [-21.35],
            **spans,
        },
        facts | {"estimates_gust": 0} | attrs,
    )


def feed(height_m: float = 10.0, **rest: Any) -> Feed:
    """The feed of the mast as the move describes it."""
    place = {"longitude_deg": -21.35, "latitude_deg": -38.5, "elevation_m": 2200.0, "valid_within_km": 20.0}
    station = Station(name="Ridge mast", height_m=height_m, **place)
    known = {"path": "mast.csv", "role": "observation", "station": station, "may_be_silent": None}
    return Feed.model_construct(**known | rest)


@pytest.fixture
def see(normal: xr.Dataset, site: Site, weather: Weather, road: dict[str, Any]) -> See:
    def seen(
        observation: xr.Dataset,
        facts: Feed | None = None,
        forecast: xr.Dataset = normal,
        at: Site = site,
        hour: int = 3,
    ) -> xr.Dataset:
        now = datetime(2026, 3, 10, hour, tzinfo=UTC)
        times = quality.asked(now, now, road["needed_until"])
        place = {name: road[name] for name in ("longitude_deg", "latitude_deg")}
        return observed(observation, forecast, facts or feed(), at, weather, times, load_height_m=3.0, **place)

    return seen


def refusals(found: xr.Dataset) -> list[str]:
    return [f"{one['gate']}: {one['message']}" for one in json.loads(found.attrs["refusals"])]


def remarks(found: xr.Dataset) -> list[str]:
    return json.loads(found.attrs["remarks"])


def test_an_instrument_that_sees_the_forecast_speaks_not_against_it(see: See) -> None:
    found = see(mast(6.5, 9.0))
    assert refusals(found) == []
    assert remarks(found) == []
    assert found.sizes == {"time": 18}
    assert found.attrs["compared"] == 1
    assert [found.attrs[name] for name in ("file", "role", "station", "source_kind")] == [
        "mast.csv",
        "observation",
        "Ridge mast",
        "mast logger",
    ]


def test_members_are_those_of_the_step_that_the_observation_overlaps(see: See, normal: xr.Dataset) -> None:
    """Reference: linear interpolation on a grid by xarray, over scipy."""
    found = see(mast(6.5, 9.0))
    by_hour = normal["gust_mps"].interp(latitude=-38.5, longitude=-21.35).to_numpy()
    np.testing.assert_allclose(found["forecast_high_mps"], np.repeat(by_hour[:, 1:4].max(axis=0), 6), rtol=1e-4)
    np.testing.assert_allclose(found["forecast_low_mps"], np.repeat(by_hour[:, 1:4].min(axis=0), 6), rtol=1e-4)
    np.testing.assert_allclose(
        found["forecast_median_mps"], np.repeat(np.median(by_hour[:, 1:4], axis=0), 6), rtol=1e-4
    )


def test_an_observation_over_two_steps_meets_the_higher_of_them(see: See) -> None:
    hourly = mast(6.5, 9.0).isel(time=[8, 14])
    wide = hourly.assign_coords(gust_start=("time", hourly["gust_start"].values - np.timedelta64(3600, "s")))
    narrow, wider = see(hourly), see(wide)
    assert (wider["forecast_high_mps"] >= narrow["forecast_high_mps"]).all()


def test_a_gust_that_no_member_has_is_missed(see: See) -> None:
    gust = np.full(18, 9.0)
    gust[12] = 15.0
    found = see(mast(6.5, gust))
    (said,) = refusals(found)
    assert said == (
        "forecast and instrument: mast.csv: gust 15.0 m/s observed at 2026-03-10T02:10:00 UTC, the highest member of "
        f"the forecast has {found['forecast_high_mps'].values[12]:.1f} m/s there and then: it misses what blows now"
    )


def test_a_mean_that_no_member_has_is_missed(see: See) -> None:
    mean = np.full(18, 6.5)
    mean[3] = 10.5
    (said,) = refusals(see(mast(mean, 12.0)))
    assert said.startswith("forecast and instrument: mast.csv: mean wind 10.5 m/s observed at 2026-03-10T00:40:00 UTC")


@pytest.mark.parametrize("factor", [1.0 / 0.514444, 0.514444])
def test_a_wrong_unit_shows_from_either_side(see: See, factor: float) -> None:
    """0.514444 m/s a knot, ISO 80000-3 (from memory)."""
    found = refusals(see(mast(6.5 * factor, 9.0 * factor)))
    assert any("is a unit wrong, or the instrument stuck?" in said for said in found)


def test_an_iced_instrument_that_stands_still_is_no_calm(see: See) -> None:
    """A cup anemometer that ice holds reads zero (common practice, no source)."""
    found = see(mast(0.0, 0.0))
    (said,) = refusals(found)
    assert said == (
        "forecast and instrument: mast.csv: mean wind 0.0 m/s observed and "
        f"{found.attrs['forecast_average_mps']:.1f} m/s in the forecast at the same times; is a unit wrong, or the "
        "instrument stuck?"
    )


def test_a_gust_in_knots_labelled_metres_beside_a_right_mean(see: See) -> None:
    """Gust and mean of one instrument cannot lie that far apart, whichever of them has the wrong unit."""
    assert any("the gust lies below the mean wind" in said for said in refusals(see(mast(7.0, 9.0 * 0.514444))))


@pytest.mark.parametrize(("mean", "gust"), [(-999.0, 9.0), (6.5, 99.0), (6.5, np.inf)])
def test_values_that_no_weather_has(see: See, mean: float, gust: float) -> None:
    assert any(said.startswith("implausible values: mast.csv: ") for said in refusals(see(mast(mean, gust))))


def test_an_observation_after_now_is_refused(see: See) -> None:
    assert refusals(see(mast(6.5, 9.0, last_min=190)))[0] == (
        "future observation: mast.csv: was observed until 2026-03-10T03:10:00 UTC, after now; check the clocks"
    )
    stated = mast(6.5, 9.0, observed_until="2026-03-10T04:00:00Z")
    assert refusals(see(stated))[0].startswith("future observation: mast.csv: was observed until 2026-03-10T04:00:00")


SILENT = {
    "nothing": (mast(np.nan, np.nan), "told no mean wind in the 6 h before now"),
    "gusts alone": (mast(np.nan, 9.0), "told no mean wind in the 6 h before now"),
    "long ago": (mast(6.5, 9.0, last_min=50), "last told the wind 2.2 h before now, allowed are 2 h"),
    "before the forecast": (
        mast(6.5, 9.0, first_min=-60, last_min=0),
        "told the wind until 2026-03-10T00:00:00 UTC, a time of which the forecast says nothing",
    ),
}


@pytest.mark.parametrize("name", SILENT)
def test_a_silent_instrument_leaves_undecided_unless_the_move_says_otherwise(see: See, name: str) -> None:
    observation, said = SILENT[name]
    hour = 1 if name == "before the forecast" else 3
    found = see(observation, hour=hour)
    remedy = "mend it or fetch it again, or set may_be_silent = true to decide without it"
    assert refusals(found) == [f"silent instrument: mast.csv: {said}; {remedy}"]
    assert found.attrs["compared"] == 0
    allowed = see(observation, feed(may_be_silent=True), hour=hour)
    assert refusals(allowed) == []
    assert f"mast.csv: {said}, so it was not compared" in remarks(allowed)
    assert allowed.attrs["compared"] == 0


def test_what_was_seen_before_it_fell_silent_still_counts(see: See) -> None:
    found = see(mast(6.5, 20.0, last_min=50), feed(may_be_silent=True))
    assert any("misses what blows now" in said for said in refusals(found))


def test_places(see: See) -> None:
    away = mast(6.5, 9.0).assign_coords(longitude=[-19.0])
    road, grid = (said.removeprefix("place of the instrument: mast.csv: ") for said in refusals(see(away)))
    assert road == "the whole road lies farther away than valid_within_km, so it says nothing about it"
    assert grid == "the instrument lies outside the grid of the forecast; fetch a wider forecast"
    assert see(away, feed(may_be_silent=True)).attrs["compared"] == 0
    assert len(refusals(see(away, feed(may_be_silent=True)))) == 2


def test_a_low_instrument_is_told(see: See) -> None:
    (said,) = remarks(see(mast(6.5, 9.0), feed(height_m=4.0)))
    assert said == (
        "mast.csv: stands 4 m above ground, lower than the 10 m of a forecast: it sees less wind, and nothing it says "
        "counts in favour"
    )
    assert remarks(see(mast(6.5, np.nan))) == ["mast.csv: no gust was compared, the mean wind alone"]


def test_relief_of_the_road_is_not_that_of_the_instrument(see: See, site: Site) -> None:
    relief = Relief(
        name="a", from_station_m=0.0, to_station_m=9e3, wind_from_deg=(0.0, 360.0), factor_ratio=2.0, source="invented"
    )
    hilly = site.model_copy(update={"relief": (relief,)})
    xr.testing.assert_equal(see(mast(6.5, 9.0)), see(mast(6.5, 9.0), at=hilly))


def test_a_forecast_without_gust_is_compared_by_its_estimate(see: See, normal: xr.Dataset, site: Site) -> None:
    bare = normal.assign(gust_mps=normal["gust_mps"] * np.float32(np.nan)).assign_attrs(gust_kind="none")
    mean = normal["mean_wind_mps"].interp(latitude=-38.5, longitude=-21.35).to_numpy()
    highest = np.maximum(mean[:, :3], mean[:, 1:4]).max(axis=0)
    ratio = 1.0 + 3.5 / np.log(10.0 / 0.05)
    expected = np.maximum(1.00668 * highest * ratio, 1.00668 * highest + site.convective_gust_mps)
    np.testing.assert_allclose(
        see(mast(6.5, 9.0), forecast=bare)["forecast_high_mps"], np.repeat(expected, 6), rtol=1e-3
    )


def test_one_unknown_member_hides_no_gust(see: See, normal: xr.Dataset) -> None:
    holed = normal.copy(deep=True)
    holed["gust_mps"][0] = np.nan
    assert any("misses what blows now" in said for said in refusals(see(mast(6.5, 20.0), forecast=holed)))


@SAME
@given(st.floats(1.0, 4.0), st.integers(0, 17))
def test_more_observed_wind_never_takes_a_reason_away(see: See, factor: float, case: int) -> None:
    """Law: beyond what the forecast has, more wind at the instrument is never better."""
    gust = np.full(18, 9.0)
    before = see(mast(6.5, gust))
    gust[case] *= factor
    after = refusals(see(mast(6.5, gust)))
    assert len(after) >= len(refusals(before))
    allowed = np.maximum(1.2 * before["forecast_high_mps"].values, before["forecast_high_mps"].values + 2.0)[case]
    assert (gust[case] > allowed) == any("misses what blows now" in said for said in after)
