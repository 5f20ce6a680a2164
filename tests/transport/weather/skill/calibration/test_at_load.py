"""Through the whole chain of the weather: calibrated members, the allowance, refusals, lines of the sheet."""

import json
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import numpy as np
import pytest
import xarray as xr

from shared.calculation import lines_of
from transport.weather.assess import assess
from transport.weather.feeds.inputs import Feed
from transport.weather.inputs import Relief, Site, Weather
from transport.weather.skill.at_load import Learned
from transport.weather.skill.file import Calibration

BEGIN = np.datetime64("2026-08-11T00:00", "ns")
NOW = datetime(2026, 8, 11, 1, tzinfo=UTC)
Make = Callable[..., xr.Dataset]


def run_weather(feed: xr.Dataset, site: Site, learned: Learned | None, height_m: float = 3.0) -> xr.Dataset:
    weather = Weather(
        maximum_age_h=12.0,
        minimum_members=5,
        maximum_height_mismatch_m=300.0,
        direction_spread_deg=30.0,
        feed=(Feed(path="forecast.nc", role="forecast"),),
    )
    count = 4
    road: dict[str, Any] = {"station_m": np.linspace(0.0, 3000.0, count), "heading_deg": np.full(count, 20.0)}
    road |= {"longitude_deg": np.full(count, -21.3), "latitude_deg": np.linspace(-38.52, -38.48, count)}
    road |= {"elevation_m": np.full(count, 2000.0), "speed_mps": np.full(count, 1.4), "load_height_m": height_m}
    clock = {"as_of": NOW, "needed_from": NOW, "needed_until": NOW + timedelta(hours=20)}
    return assess(feed, site, weather, **road, **clock, learned=learned)


@pytest.fixture
def feed(make_run: Make) -> xr.Dataset:
    rng = np.random.default_rng(5)
    steps = 7.0 + np.arange(8) / 4.0
    return make_run(np.maximum(steps + rng.normal(0.0, 0.7, (7, 8)), 0.5), BEGIN, from_deg=200.0)


@pytest.fixture
def hill(site: Site) -> Site:
    relief = Relief(
        name="open shoulder",
        from_station_m=900.0,
        to_station_m=1100.0,
        wind_from_deg=(0.0, 360.0),
        factor_ratio=1.5,
        source="invented",
    )
    return site.model_copy(update={"relief": (relief,)})


def members(calibration: Calibration, **changes: Any) -> Learned:
    return Learned("calibration.json", calibration, True, None, None)._replace(**changes)


def told(data: xr.Dataset) -> list[str]:
    return [one["message"] for one in json.loads(data.attrs["refusals"])]


def test_without_a_calibration_nothing_changes(feed: xr.Dataset, hill: Site) -> None:
    data = run_weather(feed, hill, None)
    assert "calibration" not in data.attrs
    assert "forecast_error_mps" not in data


def test_members_are_calibrated_and_everything_downstream_follows(
    feed: xr.Dataset, hill: Site, learned: Calibration
) -> None:
    raw, data = run_weather(feed, hill, None), run_weather(feed, hill, members(learned))
    gust, before = data["gust_at_load_mps"], raw["gust_at_load_mps"]
    assert (gust.max("realization") > before.max("realization")).all()
    assert (data["gust_apparent_mps"] >= gust).all()
    flat = [0, 2, 3]
    order = before.isel(station=flat).argsort(axis=0)
    np.testing.assert_array_equal(gust.isel(station=flat).argsort(axis=0), order)
    shoulder = gust.isel(station=1) / gust.isel(station=0)
    np.testing.assert_allclose(shoulder, before.isel(station=1) / before.isel(station=0), rtol=1e-5)
    first, second = json.loads(data.attrs["calibration"])
    assert first == (
        "gusts at the load are calibrated members, by calibration.json: 60 runs against the mast 'Shelf mast', "
        "2026-06-01 to 2026-07-31"
    )
    assert second.startswith("100% of the places and steps lie in the trained range")
    assert {first, second} <= set(json.loads(data.attrs["remarks"]))
    assert data["mean_wind_mps"].equals(raw["mean_wind_mps"])


def test_the_lines_of_the_sheet_lead_to_the_gust_that_counts(
    feed: xr.Dataset, hill: Site, learned: Calibration
) -> None:
    data = run_weather(feed, hill, members(learned))
    found = {line.title: line for line in lines_of(data) if line.check == "calibrated gust"}
    assert len(found) == 4
    *_, last = found.values()
    assert last.result[1] == pytest.approx(float(data["gust_at_load_mps"].max()), rel=1e-6)
    numbers = {name: value for name, value, _, _ in last.values}
    assert numbers["x_q"] * numbers["f_g"] == pytest.approx(last.result[1], rel=1e-6)
    location, scale, quantile = (list(found.values())[number] for number in range(3))
    (a, b, m) = (value for _, value, _, _ in location.values)
    assert a + b * m == pytest.approx(location.result[1])
    (mu, sigma, u) = (value for _, value, _, _ in quantile.values)
    assert (mu, sigma) == pytest.approx((location.result[1], scale.result[1]))
    assert mu - sigma * u == pytest.approx(quantile.result[1])
    raw = [line for line in lines_of(data) if line.check != "calibrated gust"]
    assert raw == list(lines_of(run_weather(feed, hill, None)))


def test_a_mast_in_shelter_or_below_the_load_lowers_nothing(feed: xr.Dataset, site: Site, learned: Calibration) -> None:
    raw = run_weather(feed, site, None, 12.0)["gust_at_load_mps"]
    low = learned.leads[0].together
    assert low is not None
    fit = low.model_copy(update={"b_ratio": 0.4, "a_mps": 0.0, "c_m2_per_s2": 0.01, "d_ratio": 0.0})
    leads = tuple(lead.model_copy(update={"together": fit, "sectors": ()}) for lead in learned.leads)
    milder = learned.model_copy(update={"leads": leads})
    below = run_weather(feed, site, members(milder), 12.0)["gust_at_load_mps"]
    shelter = run_weather(feed, site, members(milder, mast_in_the_open=False))["gust_at_load_mps"]
    assert (below >= raw).all()
    assert (shelter >= run_weather(feed, site, None)["gust_at_load_mps"]).all()
    assert (
        run_weather(feed, site, members(milder))["gust_at_load_mps"] < run_weather(feed, site, None)["gust_at_load_mps"]
    ).all()


@pytest.mark.parametrize(
    ("change", "expected"),
    [
        ({"leads": ()}, "calibration.json: none of its fits may be used: "),
        ({"schema_name": "calibration/1", "as_of": NOW + timedelta(hours=1)}, "calibration.json: it was made at "),
    ],
)
def test_a_calibration_that_does_not_fit_decides_nothing_and_changes_nothing(
    change: dict[str, Any], expected: str, feed: xr.Dataset, site: Site, learned: Calibration
) -> None:
    other = learned.model_copy(update=change)
    data = run_weather(feed, site, members(other))
    assert [one for one in told(data) if one.startswith(expected)]
    assert data["gust_at_load_mps"].equals(run_weather(feed, site, None)["gust_at_load_mps"])


def test_another_model_is_seen_by_its_ground(feed: xr.Dataset, site: Site, learned: Calibration) -> None:
    higher = feed.assign(surface_altitude_m=feed["surface_altitude_m"] + 30.0)
    expected = (
        "calibration.json: the model's ground at the mast is 2030 m, it was 2000 m: another model, or another grid"
    )
    assert expected in told(run_weather(higher, site, members(learned)))


def test_the_allowance_of_the_control_is_sped_up_like_the_gust(
    feed: xr.Dataset, hill: Site, learned: Calibration
) -> None:
    fitted = members(learned, chance_ratio=0.1, control_realization=0)
    data = run_weather(feed, hill, fitted)
    assert data["forecast_error_mps"].dims == ("time", "station")
    assert data["gust_at_load_mps"].equals(run_weather(feed, hill, None)["gust_at_load_mps"])
    error, gust = data["forecast_error_mps"], data["gust_at_load_mps"].sel(realization=0)
    assert (error > 0.0).all()
    np.testing.assert_allclose(error[:, 1] / error[:, 0], gust[:, 1] / gust[:, 0], rtol=1e-5)
    assert json.loads(data.attrs["calibration"])[0].startswith(
        "the factor on the limits is fitted, by calibration.json"
    )


@pytest.mark.parametrize(
    ("change", "height_m", "expected"),
    [
        ({"control_realization": 3}, 3.0, "it holds the error of member 0, the rule takes member 3"),
        (
            {"mast_in_the_open": False},
            3.0,
            "a factor is fitted only to a mast in the open (weather.calibration.mast_in_the_open)",
        ),
        ({}, 12.0, "the mast is 10 m high, the load's centre 12 m"),
    ],
)
def test_no_factor_where_the_mast_says_too_little(
    change: dict[str, Any], height_m: float, expected: str, feed: xr.Dataset, site: Site, learned: Calibration
) -> None:
    fitted = members(learned, chance_ratio=0.1, control_realization=0)._replace(**change)
    data = run_weather(feed, site, fitted, height_m)
    assert f"calibration.json: {expected}" in told(data)
    assert np.isnan(data["forecast_error_mps"]).all()
