"""The whole way from feed to gust at the load: shape, chain by hand, mirror, speed, memory, repeatability."""

import json
import time
import tracemalloc
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import numpy as np
import pytest
import xarray as xr

from shared.calculation import lines_of
from shared.errors import InputError
from transport.weather.assess import assess
from transport.weather.inputs import Relief, Site, Weather

Read = Callable[[xr.Dataset], xr.Dataset]
START = datetime(2026, 3, 10, tzinfo=UTC)


def steady(content: xr.Dataset, mean_mps: float, from_deg: float, gust_mps: float) -> xr.Dataset:
    """The same wind everywhere and always, but for a breath that tells members apart."""
    breath = (
        1e-4 * np.arange(content.sizes["realization"], dtype="f4")[:, None, None, None] + 0 * content["u10"].to_numpy()
    )
    breath += 1e-5 * np.arange(content.sizes["time"])[None, :, None, None]
    angle = np.deg2rad(from_deg)
    parts = {"u10": -mean_mps * np.sin(angle), "v10": -mean_mps * np.cos(angle), "fg10": gust_mps}
    return content.assign(
        {
            name: (content[name].dims, (value + breath).astype("f4"), content[name].attrs)
            for name, value in parts.items()
        }
    )


def test_dimensions_coordinates_and_attributes(
    normal: xr.Dataset, site: Site, weather: Weather, road: dict[str, Any]
) -> None:
    found = assess(normal, site, weather, **road)
    for name in ("gust_at_load_mps", "gust_apparent_mps", "wind_from_deg"):
        assert found[name].dims == ("realization", "time", "station")
    for name in (
        "precipitation_mm_per_h",
        "visibility_m",
        "air_temperature_K",
        "dew_margin_K",
        "mean_wind_mps",
        "beaufort_number",
    ):
        assert found[name].dims == ("realization", "time")
    assert found.sizes == {"realization": 6, "time": 30, "station": 9}
    assert found["time"].to_numpy()[0] == np.datetime64("2026-03-10T01:00:00")
    assert (found["time"] - found["time_start"] == np.timedelta64(1, "h")).all()
    assert found.attrs["age_h"] == 3.0
    assert found.attrs["forecast_reference_time"] == "2026-03-10T00:00:00Z"
    assert json.loads(found.attrs["refusals"]) == []
    assert found.attrs["thunder_distance_m"] == pytest.approx(10300.0, abs=20.0)
    assert found.attrs["dust_lifting_wind_mps"] == pytest.approx(5.4, abs=0.1)


def test_chain_by_hand_on_flat_ground(
    content: xr.Dataset, read: Read, site: Site, weather: Weather, road: dict[str, Any]
) -> None:
    found = assess(read(steady(content, 8.0, 250.0, 9.0)), site, weather, **road)
    ratio = 1.0 + 3.5 / np.log(10.0 / 0.05)
    assert found["gust_at_load_mps"].to_numpy() == pytest.approx(8.0 * 1.00668 * ratio, rel=2e-4)
    strong = assess(read(steady(content, 8.0, 250.0, 19.0)), site, weather, **road)
    assert strong["gust_at_load_mps"].to_numpy() == pytest.approx(19.0, rel=2e-4)
    (mean, gust_line, gust, felt, *_) = lines_of(found)
    assert mean.result[1] == pytest.approx(mean.values[0][1] * mean.values[1][1] * mean.values[2][1], rel=1e-5)
    assert gust.result[1] == pytest.approx(gust_line.result[1] * mean.result[1], rel=1e-5)
    assert felt.result[1] >= gust.result[1]


def test_relief_multiplies_mean_and_gust_in_its_sector(
    content: xr.Dataset, read: Read, site: Site, weather: Weather, road: dict[str, Any]
) -> None:
    relief = Relief(
        name="shoulder",
        from_station_m=900.0,
        to_station_m=2100.0,
        wind_from_deg=(200.0, 320.0),
        factor_ratio=1.25,
        source="invented",
    )
    raised = site.model_copy(update={"relief": (relief,)})
    west = assess(read(steady(content, 8.0, 250.0, 19.0)), raised, weather, **road)["gust_at_load_mps"][0, 0].to_numpy()
    np.testing.assert_allclose(west[[0, 1, 5, 8]], 19.0, rtol=1e-4)
    np.testing.assert_allclose(west[[2, 3, 4]], 23.75, rtol=1e-4)
    near_edge = assess(read(steady(content, 8.0, 349.0, 19.0)), raised, weather, **road)["gust_at_load_mps"][
        0, 0
    ].to_numpy()
    np.testing.assert_allclose(near_edge[3], 23.75, rtol=1e-4)
    east = assess(read(steady(content, 8.0, 90.0, 19.0)), raised, weather, **road)["gust_at_load_mps"][0, 0].to_numpy()
    np.testing.assert_allclose(east, 19.0, rtol=1e-4)
    calm = assess(read(steady(content, 0.3, 90.0, 19.0)), raised, weather, **road)
    assert np.isnan(calm["wind_from_deg"]).all()
    np.testing.assert_allclose(calm["gust_at_load_mps"][0, 0, 3], 23.75, rtol=1e-4)


def test_feed_that_resolves_the_relief(
    content: xr.Dataset, read: Read, site: Site, weather: Weather, road: dict[str, Any]
) -> None:
    relief = Relief(
        name="all",
        from_station_m=0.0,
        to_station_m=9999.0,
        wind_from_deg=(0.0, 360.0),
        factor_ratio=1.25,
        source="invented",
    )
    raised, feed = site.model_copy(update={"relief": (relief,)}), read(steady(content, 8.0, 250.0, 19.0))
    trusted = assess(feed.assign_attrs(resolves_relief=1), raised, weather, **road)
    np.testing.assert_allclose(trusted["gust_at_load_mps"], 19.0, rtol=1e-4)
    np.testing.assert_allclose(assess(feed, raised, weather, **road)["gust_at_load_mps"], 23.75, rtol=1e-4)


def test_without_a_gust_the_floor_counts(
    content: xr.Dataset, read: Read, site: Site, weather: Weather, road: dict[str, Any]
) -> None:
    light = steady(content, 2.0, 250.0, 4.0)
    bare = assess(read(light.drop_vars("fg10")), site, weather, **road)
    np.testing.assert_allclose(bare["gust_at_load_mps"], 2.0 * 1.00668 + 5.0, rtol=1e-3)
    (refused,) = json.loads(bare.attrs["refusals"])
    assert refused["message"] == (
        "forecast.nc: holds no gust; take a feed with cell_methods 'time: maximum', or set estimates_gust = true to "
        "bound the gust by the mean wind and its turbulence"
    )
    accepted = assess(read(light.drop_vars("fg10")).assign_attrs(estimates_gust=1), site, weather, **road)
    assert json.loads(accepted.attrs["refusals"]) == []
    with_gust = assess(read(light), site, weather, **road)
    np.testing.assert_allclose(with_gust["gust_at_load_mps"], 4.0, rtol=1e-3)


def test_apparent_gust_ahead_astern_and_within_the_spread(
    content: xr.Dataset, read: Read, site: Site, weather: Weather, road: dict[str, Any]
) -> None:
    north = road | {"heading_deg": np.zeros(9)}
    head = assess(read(steady(content, 8.0, 20.0, 19.0)), site, weather, **north)
    np.testing.assert_allclose(head["gust_apparent_mps"], 20.4, rtol=1e-4)
    astern = assess(read(steady(content, 8.0, 180.0, 19.0)), site, weather, **north)
    np.testing.assert_allclose(astern["gust_apparent_mps"], 19.0, rtol=1e-4)
    across = assess(read(steady(content, 8.0, 90.0, 19.0)), site, weather, **north)
    expected = np.hypot(19.0 + 1.4 * np.cos(np.deg2rad(40.0)), 1.4 * np.sin(np.deg2rad(40.0)))
    np.testing.assert_allclose(across["gust_apparent_mps"], expected, rtol=1e-4)


def test_mirror_that_is_colder_than_the_dew_point(
    content: xr.Dataset, read: Read, site: Site, weather: Weather, road: dict[str, Any]
) -> None:
    feed = read(content)
    assert np.isnan(assess(feed, site, weather, **road)["dew_margin_K"]).all()
    warm = assess(
        feed, site, weather, **road, mirror_temperature_c=15.0, mirror_temperature_at=START + timedelta(hours=2)
    )
    margin = warm["dew_margin_K"].to_numpy()
    assert np.isnan(margin[:, :2]).all()
    air = warm["air_temperature_K"].to_numpy()
    np.testing.assert_allclose(margin[:, 2:] + 277.5, np.minimum.accumulate(air[:, 2:], axis=1), atol=2.0)
    cold = assess(
        feed, site, weather, **road, mirror_temperature_c=2.0, mirror_temperature_at=START + timedelta(hours=2)
    )
    assert (cold["dew_margin_K"].to_numpy()[:, 2:] < 0.0).all()
    too_old = assess(
        feed, site, weather, **road, mirror_temperature_c=15.0, mirror_temperature_at=START - timedelta(hours=2)
    )
    assert np.isnan(too_old["dew_margin_K"]).all()
    with pytest.raises(InputError, match="mirror_temperature_at: 2026-03-10T09:00:00 UTC lies after now"):
        assess(feed, site, weather, **road, mirror_temperature_c=15.0, mirror_temperature_at=START + timedelta(hours=9))


def test_air_is_colder_where_the_road_lies_higher_than_the_model(
    content: xr.Dataset, read: Read, site: Site, weather: Weather, road: dict[str, Any]
) -> None:
    flat = content.assign(t2=(content["t2"].dims, np.full(content["t2"].shape, 280.0, "f4"), content["t2"].attrs))
    found = assess(read(flat), site, weather, **road)
    np.testing.assert_allclose(found["air_temperature_K"], 280.0 - 0.0065 * 150.0, atol=1e-3)


def test_air_denser_than_the_limits_were_worked_out_for(
    content: xr.Dataset, read: Read, site: Site, weather: Weather, road: dict[str, Any]
) -> None:
    thin = site.model_copy(update={"air_density_kg_per_m3": 0.9})
    for data in (content, content.drop_vars("ps")):
        (refusal,) = json.loads(assess(read(data), thin, weather, **road).attrs["refusals"])
        assert refusal["gate"] == "air density"
        assert "the limits of the wind were worked out for 0.9; raise site.air_density_kg_per_m3" in refusal["message"]


def test_thin_air_that_no_temperature_confirms(
    content: xr.Dataset, read: Read, site: Site, weather: Weather, road: dict[str, Any]
) -> None:
    """1.25 kg/m3 is what EN 1991-1-4 recommends where nothing is known (from memory)."""
    bare = content.drop_vars([name for name in content if name in ("t2", "d2", "td2", "rh2")])
    assert "air_temperature" in str(read(bare).attrs["remarks"])
    for stated, gates in ((1.2, ["air density"]), (1.25, [])):
        thin = site.model_copy(update={"air_density_kg_per_m3": stated})
        refused = json.loads(assess(read(bare), thin, weather, **road).attrs["refusals"])
        assert [refusal["gate"] for refusal in refused] == gates


def test_road_outside_the_grid_is_unknown(
    content: xr.Dataset, read: Read, site: Site, weather: Weather, road: dict[str, Any]
) -> None:
    away = road | {"longitude_deg": road["longitude_deg"] + 0.225}
    found = assess(read(content), site, weather, **away)
    outside = np.asarray(away["longitude_deg"]) > -21.15
    assert np.isnan(found["gust_at_load_mps"].to_numpy()[..., outside]).all()
    assert not np.isnan(found["gust_at_load_mps"].to_numpy()[..., ~outside]).any()
    assert np.isnan(found["precipitation_mm_per_h"]).all()
    assert np.isnan(found["air_temperature_K"]).all()
    assert "coverage in space" in found.attrs["refusals"]


def test_roles_and_shapes(normal: xr.Dataset, site: Site, weather: Weather, road: dict[str, Any]) -> None:
    with pytest.raises(InputError, match=r"mast.csv is no forecast but an observation; it says nothing"):
        assess(normal.assign_attrs(role="observation", file="mast.csv"), site, weather, **road)
    with pytest.raises(InputError, match="the road needs one value a station in each of its columns"):
        assess(normal, site, weather, **road | {"speed_mps": np.ones(3)})


def test_a_second_opinion_gives_the_same_dataset_and_names_itself(
    normal: xr.Dataset, site: Site, weather: Weather, road: dict[str, Any]
) -> None:
    first = assess(normal, site, weather, **road)
    second = assess(
        normal.assign_attrs(role="second_opinion", file="other.nc", source_kind="GRIB2"), site, weather, **road
    )
    xr.testing.assert_equal(first, second)
    assert [first.attrs[name] for name in ("file", "role", "lacks")] == ["forecast.nc", "forecast", "[]"]
    assert [second.attrs[name] for name in ("file", "role", "source_kind")] == ["other.nc", "second_opinion", "GRIB2"]
    assert second.attrs["refusals"] == "[]"


def test_a_second_opinion_may_be_one_member_and_lack_all_but_the_wind(
    content: xr.Dataset, read: Read, site: Site, weather: Weather, road: dict[str, Any]
) -> None:
    bare = read(content.isel(realization=[0]).drop_vars(["fg10", "t2", "d2", "ps", "tp", "vis"]))
    found = assess(bare.assign_attrs(role="second_opinion", file="other.nc"), site, weather, **road)
    assert json.loads(found.attrs["refusals"]) == []
    lacks = ["precipitation_mm_per_h", "visibility_m", "air_temperature_K", "dew_margin_K"]
    assert json.loads(found.attrs["lacks"]) == lacks
    remarks = json.loads(found.attrs["remarks"])
    assert "forecast.nc: no precipitation" in remarks
    assert remarks[-1] == (
        "other.nc: bounds no gust by itself, so its gust is at least the larger of mean times gust factor and mean "
        "plus 5 m/s"
    )
    mean = found["mean_wind_mps"].to_numpy()[:, :, None]
    assert (found["gust_at_load_mps"].to_numpy() >= np.minimum(1.6 * mean, mean + 5.0) * 0.99).all()


def test_what_a_second_opinion_carries_partly_is_not_lacking(
    content: xr.Dataset, read: Read, site: Site, weather: Weather, road: dict[str, Any]
) -> None:
    """Rain that is unknown all the time beside the road, and known elsewhere: unknown, not left out."""
    content["tp"][:, :, :3, :] = np.nan
    second = read(content).assign_attrs(role="second_opinion", file="other.nc")
    found = assess(second, site, weather, **road)
    assert np.isnan(found["precipitation_mm_per_h"]).all()
    assert found.attrs["lacks"] == "[]"


def test_no_wind_known_no_lines(normal: xr.Dataset, site: Site, weather: Weather, road: dict[str, Any]) -> None:
    away = road | {"longitude_deg": road["longitude_deg"] + 10.0}
    assert lines_of(assess(normal, site, weather, **away)) == ()


@pytest.fixture(scope="module")
def large() -> dict[str, Any]:
    rng = np.random.default_rng(3)
    shape, instants = (51, 241, 6, 6), np.datetime64("2026-03-10T00:00:00") + np.arange(241) * np.timedelta64(3600, "s")
    mean = (7.0 + rng.normal(0, 1.0, shape)).astype("f4")
    turn = np.deg2rad(250.0 + rng.normal(0, 10.0, shape)).astype("f4")
    dims, plain = ("realization", "time", "latitude", "longitude"), np.full(shape, 280.0, "f4")
    around = {
        f"{name}_{side}": ("time", instants - np.timedelta64(3600 * lag, "s"))
        for name in ("gust", "precipitation")
        for side, lag in (("start", 1), ("end", 0))
    }
    fields = {
        "mean_wind_mps": mean,
        "eastward_wind_mps": -mean * np.sin(turn),
        "northward_wind_mps": -mean * np.cos(turn),
        "gust_mps": 1.5 * mean + 1.0,
        "precipitation_mm_per_h": 0 * plain,
        "air_temperature_K": plain,
        "dew_point_K": plain - 5.0,
        "surface_pressure_Pa": 300.0 * plain,
        "visibility_m": 100.0 * plain,
    }
    feed = xr.Dataset(
        {name: (dims, values) for name, values in fields.items()}
        | {"surface_altitude_m": (dims[2:], np.full((6, 6), 2100.0))},
        coords={
            "realization": np.arange(51),
            "time": instants,
            "latitude": -38.65 + 0.1 * np.arange(6),
            "longitude": -21.55 + 0.1 * np.arange(6),
            **around,
        },
        attrs={
            "file": "large.nc",
            "role": "forecast",
            "forecast_reference_time": "2026-03-10T00:00:00Z",
            "gust_kind": "maximum",
            "resolves_relief": 0,
            "estimates_gust": 0,
            "remarks": "[]",
        },
    )
    part = np.linspace(0.0, 1.0, 250)
    return {
        "feed": feed,
        "station_m": 6000 * part,
        "longitude_deg": -21.40 + 0.06 * part,
        "latitude_deg": -38.56 + 0.09 * part,
        "elevation_m": 2000.0 + 250.0 * part,
        "heading_deg": 40.0 + 20.0 * part,
        "speed_mps": np.full(250, 1.4),
        "load_height_m": 2.4,
        "as_of": START,
        "needed_from": START,
        "needed_until": START + timedelta(hours=200),
    }


def test_ten_days_of_51_members_on_250_stations_are_quick_and_small(
    large: dict[str, Any], site: Site, weather: Weather
) -> None:
    sector = Relief(
        name="a", from_station_m=0.0, to_station_m=3000.0, wind_from_deg=(200.0, 320.0), factor_ratio=1.25, source="x"
    )
    site = site.model_copy(update={"relief": (sector,)})
    took_s = []
    for _ in range(3):
        begin = time.perf_counter()
        found = assess(site=site, weather=weather, **large)
        took_s.append(time.perf_counter() - begin)
    tracemalloc.start()
    again = assess(site=site, weather=weather, **large)
    peak_bytes = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert found["gust_at_load_mps"].shape == (51, 240, 250)
    assert found["gust_at_load_mps"].dtype == np.float32
    assert peak_bytes < 300e6
    assert min(took_s) < 1.0
    for name in found.data_vars:
        np.testing.assert_array_equal(found[name], again[name])
