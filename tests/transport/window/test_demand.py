"""What a step asks of each check: limits of zero, unknown and none; rain, dew, view and ice."""

import numpy as np
import pytest
import xarray as xr

from shared.datasets import dataset
from transport.window.demand import NO_ERROR, NO_WIND, Wind, conditions, stage_limit, wind_field
from transport.window.inputs import Limits, Stage
from transport.window.overlap import Stay
from transport.window.schedule import Passage

DRIVE = Passage(
    Stage(name="Drive", kind="drive", contingency_ratio=0.0, daylight=False),
    np.arange(3),
    Stay(np.array([0.0, 10.0, 20.0]), np.array([10.0, 20.0, 30.0])),
)
LIFT = Passage(
    Stage(
        name="Lift",
        kind="stand",
        place="start",
        duration_h=1.0,
        contingency_h=0.0,
        cover="off",
        gust_limit_mps=8.0,
        daylight=False,
    ),
    np.array([0]),
    Stay(np.array([0.0]), np.array([10.0])),
)
WIND_FROM = np.arange(0.0, 360.0, 15.0)


def cells(limit: np.ndarray) -> xr.Dataset:
    names = np.where(np.arange(24) < 12, "east side", "west side")
    return dataset(
        {
            "gust_limit_mps": (("station", "wind_from"), np.broadcast_to(limit, (3, 24)).astype(float)),
            "governed_by": (("station", "wind_from"), np.broadcast_to(names, (3, 24))),
        },
        {"station": [5.0, 15.0, 25.0], "wind_from": WIND_FROM},
    )


def gusts(value: float = 9.0) -> np.ndarray:
    return np.full((1, 2, 3), value, dtype=np.float32)


@pytest.mark.parametrize(
    ("limit", "gust", "expected"),
    [(18.0, 9.0, 0.5), (0.0, 0.0, np.inf), (np.inf, 50.0, 0.0), (np.nan, 1.0, np.nan), (18.0, np.nan, np.nan)],
)
def test_utilisation_is_gust_over_limit(limit: float, gust: float, expected: float) -> None:
    wind = wind_field(cells(np.array(limit)), gusts(gust), gusts(90.0), spread_deg=30.0, factor=1.0)
    np.testing.assert_allclose(wind.demand(DRIVE).utilisation, expected, rtol=1e-6)


def test_the_factor_is_on_the_limit_and_the_words_say_it() -> None:
    wind = wind_field(cells(np.array(10.0)), gusts(), gusts(90.0), spread_deg=0.0, factor=0.8)
    demand = wind.demand(DRIVE)
    np.testing.assert_allclose(demand.utilisation, 9.0 / 8.0, rtol=1e-6)
    assert demand.told(1, 0, 0) == ("east side", "gust 9.0 m/s against 8.0 m/s, 0.8 of the limit")


def fitted(limit: float, error_mps: float, gust: float = 9.0) -> Wind:
    """A limit with what a fitted factor takes off it in the second of two steps; 0.5 m/s in the first."""
    error = np.array([[0.5] * 3, [error_mps] * 3])
    return wind_field(cells(np.array(limit)), gusts(gust), gusts(90.0), spread_deg=0.0, factor=1.0, error_mps=error)


def test_a_fitted_factor_is_another_one_at_each_step() -> None:
    """alpha = 1 - error / limit, at most 0.95: 15 m/s less 0.5 counts as 14.25, less 3.29 as 11.71 (memory)."""
    demand = fitted(15.0, 3.29).demand(DRIVE)
    np.testing.assert_allclose(demand.utilisation[0, :, 0], [9.0 / 14.25, 9.0 / 11.71], rtol=1e-6)
    assert demand.told(0, 0, 0).words == "gust 9.0 m/s against 14.2 m/s, 0.95 of the limit"
    assert demand.told(0, 1, 0).words == "gust 9.0 m/s against 11.7 m/s, 0.78 of the limit"


def test_an_error_that_is_not_known_is_said_and_never_met() -> None:
    wind = fitted(15.0, np.nan)
    demand, lift = wind.demand(DRIVE), stage_limit(LIFT, wind)
    assert np.isnan(demand.utilisation[:, 1]).all() and np.isnan(lift.utilisation[:, 1]).all()
    assert demand.told(0, 1, 0).words == NO_ERROR
    assert lift.told(0, 1, 0).words == NO_ERROR
    assert not np.isnan(demand.utilisation[:, 0]).any()


def test_an_error_as_large_as_the_limit_closes_the_step() -> None:
    wind = fitted(15.0, 15.0, 0.0)
    assert np.isinf(wind.demand(DRIVE).utilisation[:, 1]).all()
    assert np.isnan(fitted(np.inf, np.nan).demand(DRIVE).utilisation[:, 1]).all()
    assert (fitted(np.inf, 3.0).demand(DRIVE).utilisation == 0.0).all()


def test_the_own_limit_of_a_lift_is_lessened_too() -> None:
    lift = stage_limit(LIFT, fitted(15.0, 2.0))
    np.testing.assert_allclose(lift.utilisation[0, :, 0], [9.0 / 7.5, 9.0 / 6.0], rtol=1e-6)
    assert lift.told(0, 1, 0).words == "gust 9.0 m/s against 6.0 m/s, 0.75 of the limit"


def test_the_band_shows_the_limit_that_counts() -> None:
    np.testing.assert_allclose(fitted(15.0, 3.0).limit_at(1), [[14.25], [12.0]])


def test_the_spread_reaches_the_worse_neighbour_and_names_it() -> None:
    limit = np.where(WIND_FROM == 180.0, 5.0, 20.0)
    wind = wind_field(cells(limit), gusts(), gusts(160.0), spread_deg=30.0, factor=1.0)
    np.testing.assert_allclose(wind.demand(DRIVE).utilisation, 9.0 / 5.0, rtol=1e-6)
    assert wind.demand(DRIVE).told(0, 0, 0).name == "west side"
    away = wind_field(cells(limit), gusts(), gusts(90.0), spread_deg=30.0, factor=1.0)
    np.testing.assert_allclose(away.demand(DRIVE).utilisation, 9.0 / 20.0, rtol=1e-6)


@pytest.mark.parametrize("north", [0.0, 360.0, 359.9])
def test_north_has_two_names_and_one_limit(north: float) -> None:
    limit = np.where(WIND_FROM == 0.0, 5.0, 20.0)
    wind = wind_field(cells(limit), gusts(), gusts(north), spread_deg=0.0, factor=1.0)
    np.testing.assert_allclose(wind.demand(DRIVE).utilisation, 9.0 / 5.0, rtol=1e-6)


def test_an_unknown_direction_takes_the_least_limit_of_all() -> None:
    limit = np.where(WIND_FROM == 270.0, 4.0, 20.0)
    wind = wind_field(cells(limit), gusts(), gusts(np.nan), spread_deg=0.0, factor=1.0)
    np.testing.assert_allclose(wind.demand(DRIVE).utilisation, 9.0 / 4.0, rtol=1e-6)
    assert wind.demand(DRIVE).told(0, 0, 0).name == "west side"


def test_a_lift_has_its_own_limit_and_unknown_is_said() -> None:
    wind = wind_field(cells(np.array(20.0)), gusts(), gusts(90.0), spread_deg=0.0, factor=1.0)
    demand = stage_limit(LIFT, wind)
    np.testing.assert_allclose(demand.utilisation, 9.0 / 8.0, rtol=1e-6)
    blind = wind_field(cells(np.array(20.0)), gusts(np.nan), gusts(90.0), spread_deg=0.0, factor=1.0)
    assert stage_limit(LIFT, blind).told(0, 0, 0).words == NO_WIND
    assert blind.demand(DRIVE).told(0, 0, 0) == ("wind", NO_WIND)


def weather(**given: float) -> xr.Dataset:
    plain = {"precipitation_mm_per_h": 0.0, "dew_margin_K": 6.0, "visibility_m": 9000.0, "air_temperature_K": 280.0}
    axes = ("realization", "time")
    return xr.Dataset({name: (axes, np.full((1, 2), value)) for name, value in (plain | given).items()})


ALL = Limits(precipitation_mm_per_h=0.2, dew_margin_K=3.0, visibility_m=300.0, lowest_air_temperature_c=2.0)


def used(passage: Passage, limits: Limits, *, wet: bool = False, **given: float) -> dict[str, float]:
    found = conditions(passage, weather(**given), limits, 0.0, wet_is_closed=wet)
    return {one.told(0, 0, 0).name: float(one.utilisation[0, 0, 0]) for one in found}


def test_each_condition_against_its_limit() -> None:
    assert used(DRIVE, ALL) == pytest.approx({"rain": 0.0, "dew margin": 0.5, "visibility": 1 / 30, "road ice": 0.0})
    worse = used(DRIVE, ALL, precipitation_mm_per_h=0.3, dew_margin_K=-0.5, visibility_m=200.0, air_temperature_K=274.0)
    assert worse == pytest.approx({"rain": 1.5, "dew margin": np.inf, "visibility": 1.5, "road ice": np.inf})


def test_the_road_matters_to_the_drive_alone() -> None:
    assert set(used(LIFT, ALL)) == {"rain", "dew margin"}


@pytest.mark.parametrize("name", ["precipitation_mm_per_h", "dew_margin_K", "visibility_m", "air_temperature_K"])
def test_unknown_weather_is_unknown(name: str) -> None:
    assert sum(np.isnan(value) for value in used(DRIVE, ALL, **{name: np.nan}).values()) == 1


def test_a_cover_that_ponds_takes_no_rain_at_all() -> None:
    none = Limits()
    assert used(DRIVE, none) == {}
    assert used(DRIVE, none, wet=True, precipitation_mm_per_h=0.01) == {"rain": np.inf}
    assert used(DRIVE, ALL, wet=True, precipitation_mm_per_h=0.01)["rain"] == np.inf
    assert used(LIFT, ALL, wet=True, precipitation_mm_per_h=0.01)["rain"] == pytest.approx(0.05)


def test_a_dew_limit_of_zero_still_refuses_a_wet_mirror() -> None:
    zero = Limits(dew_margin_K=0.0)
    assert used(DRIVE, zero, dew_margin_K=0.0)["dew margin"] == 0.0
    assert used(DRIVE, zero, dew_margin_K=-0.1)["dew margin"] == np.inf
