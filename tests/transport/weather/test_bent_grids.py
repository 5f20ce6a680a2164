"""From a rotated or projected feed to the gust at the load: the same as from the same weather on a regular grid."""

import json
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
import xarray as xr

from transport.weather.agreement import agreement
from transport.weather.assess import assess
from transport.weather.inputs import Relief, Site, Weather
from transport.weather.placing import placed
from transport.weather.quality import asked

Read = Callable[[xr.Dataset], xr.Dataset]
Make = Callable[..., xr.Dataset]
KINDS = ("lambert", "polar", "transverse", "mercator", "rotated")


@pytest.fixture
def hilly(site: Site) -> Site:
    """Relief in a sector that the true wind misses, and that it would enter if it were not turned."""
    relief = Relief(
        name="a",
        from_station_m=0.0,
        to_station_m=4000.0,
        wind_from_deg=(180.0, 230.0),
        factor_ratio=1.5,
        source="invented",
    )
    return site.model_copy(update={"relief": (relief,)})


def regular_twin(make_content: Make, outside: Any) -> xr.Dataset:
    """The same invented wind on a fine regular grid of 0.02 degrees."""
    content = make_content(members=6, hours=30, rows=40, columns=45)
    axes = {"lat": -38.9 + 0.02 * np.arange(40), "lon": -21.8 + 0.02 * np.arange(45)}
    content = content.assign_coords({name: (name, values, content[name].attrs) for name, values in axes.items()})
    fields = outside.wind(*np.meshgrid(axes["lon"], axes["lat"]), 6, 30)
    for name, values in zip(("u10", "v10", "fg10"), fields, strict=True):
        content[name] = content[name].dims, values.astype("f4"), content[name].attrs
    return content


@pytest.mark.parametrize("kind", KINDS)
def test_same_gust_and_direction_as_on_a_regular_grid(
    make_bent: Make,
    make_content: Make,
    outside: Any,
    read: Read,
    site: Site,
    weather: Weather,
    road: dict[str, Any],
    kind: str,
) -> None:
    """Linear between nodes h apart, a field of curvature c is off by c h2 / 8 a direction: 2.0 m/s per rad2 x (2 or 3)2
    x (0.1 deg)2 / 8, times 1.5 for the gust."""
    bent, flat = (
        assess(read(content), site, weather, **road)
        for content in (make_bent(kind, columns=12, rows=12), regular_twin(make_content, outside))
    )
    assert json.loads(bent.attrs["refusals"]) == json.loads(flat.attrs["refusals"]) == []
    most = 1.5 * (1.5 * (2.0 * 0.11) ** 2 + 1.2 * (3.0 * 0.085) ** 2) / 8.0
    off = np.abs(bent["gust_at_load_mps"] - flat["gust_at_load_mps"])
    assert float(off.max()) < 1.5 * most
    turned = (bent["wind_from_deg"] - flat["wind_from_deg"] + 180.0) % 360.0 - 180.0
    assert float(np.abs(turned).max()) < 0.5
    assert not np.isnan(bent["wind_from_deg"]).any()


@pytest.mark.parametrize("kind", ["lambert", "polar", "rotated"])
def test_without_the_turn_the_wind_would_come_from_elsewhere(
    make_bent: Make, outside: Any, read: Read, site: Site, weather: Weather, road: dict[str, Any], kind: str
) -> None:
    content = make_bent(kind)
    right = assess(read(content), site, weather, **road)["wind_from_deg"]
    content["u10"].attrs["standard_name"], content["v10"].attrs["standard_name"] = "eastward_wind", "northward_wind"
    wrong = assess(read(content), site, weather, **road)["wind_from_deg"]
    turn = float(outside.north_deg(kind, np.array([-21.37]), np.array([-38.515]))[0])
    off = (right - wrong + 180.0) % 360.0 - 180.0
    np.testing.assert_allclose(off, turn, atol=0.4)


def test_relief_of_a_sector_is_met_by_the_true_wind(
    make_bent: Make, make_content: Make, outside: Any, read: Read, hilly: Site, weather: Weather, road: dict[str, Any]
) -> None:
    sure = weather.model_copy(update={"direction_spread_deg": 0.0})
    content = make_bent("rotated")
    flat = assess(read(regular_twin(make_content, outside)), hilly, sure, **road)["gust_at_load_mps"]
    bent = assess(read(content), hilly, sure, **road)["gust_at_load_mps"]
    np.testing.assert_allclose(bent, flat, rtol=0.03)
    content["u10"].attrs["standard_name"], content["v10"].attrs["standard_name"] = "eastward_wind", "northward_wind"
    wrong = assess(read(content), hilly, sure, **road)["gust_at_load_mps"]
    assert float((wrong / flat).max()) > 1.2


@pytest.mark.parametrize("kind", KINDS)
def test_road_that_leaves_the_grid_is_said(
    make_bent: Make, read: Read, site: Site, weather: Weather, road: dict[str, Any], kind: str
) -> None:
    far = road | {"longitude_deg": road["longitude_deg"] + np.linspace(0.0, 1.0, 9)}
    found = assess(read(make_bent(kind)), site, weather, **far)
    assert [gate for gate in json.loads(found.attrs["refusals"]) if gate["gate"] == "coverage in space"]
    assert np.isnan(found["gust_at_load_mps"][..., -1]).all()
    assert not np.isnan(found["gust_at_load_mps"][..., 0]).any()


def test_one_missing_node_reaches_every_station_beside_it(
    make_bent: Make, read: Read, site: Site, weather: Weather, road: dict[str, Any]
) -> None:
    feed = read(make_bent("rotated"))
    corners = placed(feed, road["longitude_deg"], road["latitude_deg"]).corners
    row, column = divmod(int(corners[0, 0]), feed.sizes["x"])
    feed["gust_mps"] = feed["gust_mps"].copy()
    feed["gust_mps"][:, :, row, column] = np.nan
    found = assess(feed, site, weather, **road)
    beside = (corners == corners[0, 0]).any(axis=1)
    assert beside.any()
    assert not beside.all()
    np.testing.assert_array_equal(np.isnan(found["gust_at_load_mps"]).all(dim=("realization", "time")), beside)
    np.testing.assert_array_equal(np.isnan(found["gust_at_load_mps"]).any(dim=("realization", "time")), beside)
    assert "missing values" in {refusal["gate"] for refusal in json.loads(found.attrs["refusals"])}


def test_second_opinion_on_another_grid(
    make_bent: Make, read: Read, site: Site, weather: Weather, road: dict[str, Any]
) -> None:
    first, second = read(make_bent("rotated")), read(make_bent("lambert")).assign_attrs(role="second_opinion")
    assert json.loads(assess(second, site, weather, **road).attrs["refusals"]) == []
    times = asked(road["as_of"], road["needed_from"], road["needed_until"])
    place = road["longitude_deg"], road["latitude_deg"]
    assert agreement(first, second, weather, times, *place).refusals == ()
    knots = second.assign({"mean_wind_mps": second["mean_wind_mps"] * 1.944})
    (refusal,) = agreement(first, knots, weather, times, *place).refusals
    assert refusal.gate == "two sources"
