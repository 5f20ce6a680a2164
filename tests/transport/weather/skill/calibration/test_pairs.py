"""Pairs: the interval rule, nothing filled in, every dropped case named, runs that overlap kept."""

import json
from collections.abc import Callable
from datetime import UTC
from typing import Any

import numpy as np
import pytest
import xarray as xr

from shared.errors import InputError
from transport.weather import assess
from transport.weather.feeds.inputs import Feed, Station
from transport.weather.inputs import Site, Weather
from transport.weather.skill.pairs import pairs_of

BEGIN = np.datetime64("2026-06-01T00:00", "ns")
DAY = np.timedelta64(24, "h")
Make = Callable[..., xr.Dataset]


def gusts(members: int = 5, steps: int = 8, seed: int = 1) -> np.ndarray:
    return np.random.default_rng(seed).uniform(4.0, 12.0, (members, steps))


def test_the_observed_gust_is_the_highest_of_every_interval_in_the_step(
    make_run: Make, make_mast: Make, site: Site, station: Station
) -> None:
    """Interval rule: maximum over (t - dt, t] (practice); 18 intervals of 10 min in a step of 3 h."""
    seen = np.random.default_rng(2).uniform(1.0, 9.0, 8 * 18)
    pairs = pairs_of([make_run(gusts())], make_mast(seen), site, station, 6.0)
    np.testing.assert_allclose(pairs["observed_gust_mps"], seen.reshape(8, 18).max(axis=1), rtol=1e-6)
    np.testing.assert_allclose(pairs["observed_mean_mps"], 0.7 * seen.reshape(8, 18).max(axis=1), rtol=1e-6)
    np.testing.assert_array_equal(pairs["lead_h"], 3.0 * np.arange(1, 9))
    np.testing.assert_array_equal(pairs["time"], BEGIN + np.arange(1, 9) * np.timedelta64(3, "h"))
    assert json.loads(pairs.attrs["dropped"]) == {}


def test_the_forecast_gust_is_what_the_tool_takes_there_without_relief(
    make_run: Make, make_mast: Make, site: Site, station: Station
) -> None:
    """Training and use are one quantity: `assess` on flat ground, a station at the mast, a load at its height."""
    run = make_run(gusts(), mean_ratio=0.75)
    pairs = pairs_of([run], make_mast(np.arange(144.0)), site, station, 6.0)
    weather = Weather(
        maximum_age_h=12.0,
        minimum_members=1,
        maximum_height_mismatch_m=300.0,
        direction_spread_deg=30.0,
        feed=(Feed(path="forecast.nc", role="forecast"),),
    )
    one = {
        name: np.array([value])
        for name, value in {
            "station_m": 0.0,
            "longitude_deg": -21.3,
            "latitude_deg": -38.5,
            "elevation_m": 2000.0,
            "heading_deg": 0.0,
            "speed_mps": 1.0,
        }.items()
    }
    clock = [np.datetime64(BEGIN + hours * np.timedelta64(1, "h"), "s").astype(object) for hours in (1, 2, 20)]
    asked = dict(
        zip(("as_of", "needed_from", "needed_until"), (moment.replace(tzinfo=UTC) for moment in clock), strict=True)
    )
    there = assess.assess(run, site, weather, **one, load_height_m=10.0, **asked)
    expected = there["gust_at_load_mps"].isel(station=0).transpose("time", "realization")
    np.testing.assert_array_equal(pairs["forecast_gust_mps"], expected.values.astype(float))
    assert (pairs["forecast_gust_mps"].values > gusts().T + 0.1).all(), "here the gust from the mean is the larger"


def test_a_hole_in_the_logger_drops_the_steps_that_it_touches(
    make_run: Make, make_mast: Make, site: Site, station: Station
) -> None:
    seen = np.random.default_rng(3).uniform(1.0, 9.0, 8 * 18)
    mast = make_mast(seen)
    gone = mast.isel(time=np.delete(np.arange(144), 40))
    unknown = mast.copy(deep=True)
    unknown["gust_mps"][0, 40] = np.nan
    for lacking in (gone, unknown):
        pairs = pairs_of([make_run(gusts())], lacking, site, station, 6.0)
        assert np.flatnonzero(np.isnan(pairs["observed_gust_mps"])).tolist() == [2]
        assert json.loads(pairs.attrs["dropped"]) == {"the mast has a gap in the step": 1}


def test_an_anemometer_that_stands_still_says_nothing(
    make_run: Make, make_mast: Make, site: Site, station: Station
) -> None:
    """Iced or stuck: the same gust in every interval of a step; zeros would teach that gusts never come."""
    seen = np.random.default_rng(3).uniform(1.0, 9.0, 8 * 18)
    seen[36:54], seen[90:108] = 0.0, 4.2
    pairs = pairs_of([make_run(gusts())], make_mast(seen), site, station, 6.0)
    assert np.flatnonzero(np.isnan(pairs["observed_gust_mps"])).tolist() == [2, 5]
    assert json.loads(pairs.attrs["dropped"]) == {"the anemometer stood still": 2}


def test_runs_that_overlap_are_kept_and_a_member_that_one_lacks_is_not_made_up(
    make_run: Make, make_mast: Make, site: Site, station: Station
) -> None:
    seen = np.random.default_rng(4).uniform(1.0, 9.0, 16 * 18)
    later = make_run(gusts(seed=5), BEGIN + DAY / 2).isel(realization=[0, 1, 3, 4])
    pairs = pairs_of([make_run(gusts()), later], make_mast(seen), site, station, 6.0)
    assert pairs.sizes == {"case": 16, "member": 5}
    assert np.isnan(pairs["forecast_gust_mps"].values[8:, 2]).all()
    assert not np.isnan(np.delete(pairs["forecast_gust_mps"].values, 2, axis=1)).any()
    assert json.loads(pairs.attrs["dropped"]) == {"a member of the forecast is not known": 8}
    both = pairs["time"].values[:8], pairs["time"].values[8:]
    common = np.intersect1d(*both)
    assert common.size == 4
    first, second = pairs["observed_gust_mps"].values[np.isin(pairs["time"].values, common)].reshape(2, 4)
    np.testing.assert_array_equal(first, second)


def test_order_of_the_runs_changes_nothing(make_run: Make, make_mast: Make, site: Site, station: Station) -> None:
    runs = [make_run(gusts(seed=n), BEGIN + n * DAY / 4) for n in range(3)]
    mast = make_mast(np.random.default_rng(4).uniform(1.0, 9.0, 16 * 18))
    ahead, back = (pairs_of(order, mast, site, station, 6.0) for order in (runs, runs[::-1]))
    assert {*map(tuple, _rows(ahead))} == {*map(tuple, _rows(back))}


def _rows(pairs: xr.Dataset) -> np.ndarray:
    columns: list[Any] = [
        pairs["lead_h"].values,
        pairs["observed_gust_mps"].values,
        *pairs["forecast_gust_mps"].values.T,
    ]
    return np.column_stack(columns)


def test_directions_come_from_vectors_and_calm_has_none(
    make_run: Make, make_mast: Make, site: Site, station: Station
) -> None:
    mast = make_mast(np.arange(144.0))
    assert pairs_of([make_run(gusts(), from_deg=215.0)], mast, site, station, 6.0)[
        "wind_from_deg"
    ].values == pytest.approx(215.0, abs=1e-3)
    calm = pairs_of([make_run(np.full((5, 8), 0.5))], mast, site, station, 6.0)
    assert np.isnan(calm["wind_from_deg"]).all()


def test_a_mast_outside_the_grid_gives_no_case(make_run: Make, make_mast: Make, site: Site, station: Station) -> None:
    far = station.model_copy(update={"longitude_deg": -20.0})
    pairs = pairs_of([make_run(gusts())], make_mast(np.arange(144.0)), site, far, 6.0)
    assert np.isnan(pairs["forecast_gust_mps"]).all()
    assert json.loads(pairs.attrs["dropped"]) == {"the mast lies outside the grid": 8}


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (
            {},
            "run_2026-06-01T00.nc: is the run of 2026-06-01T00:00:00Z once more, as run_2026-06-01T00.nc; take one out",
        ),
        (
            {"reference": BEGIN + DAY, "gust_kind": "instant"},
            (
                "run_2026-06-02T00.nc: gust_kind is instant here and maximum in run_2026-06-01T00.nc; the archive "
                "mixes forecasts of two kinds, take one out"
            ),
        ),
        (
            {"reference": BEGIN + DAY, "altitude_m": 1800.0},
            (
                "the archive gives the model's ground at the mast as 1800, 2000 m: two forecast models, or two "
                "versions of one; set weather.archive.earliest or latest to keep one"
            ),
        ),
    ],
)
def test_an_archive_of_two_kinds_is_refused(
    change: dict[str, Any], message: str, make_run: Make, make_mast: Make, site: Site, station: Station
) -> None:
    with pytest.raises(InputError) as caught:
        pairs_of([make_run(gusts()), make_run(gusts(), **change)], make_mast(np.arange(144.0)), site, station, 6.0)
    assert str(caught.value) == message


def test_an_empty_archive_is_refused(make_mast: Make, site: Site, station: Station) -> None:
    with pytest.raises(InputError) as caught:
        pairs_of([], make_mast(np.arange(144.0)), site, station, 6.0)
    assert str(caught.value) == "the archive holds no forecast; correct weather.archive.forecasts"
