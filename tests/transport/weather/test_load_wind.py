"""The gust at the load on small arrays."""

import numpy as np
import pytest
import xarray as xr

from transport.weather.load_wind import station_direction_deg, times_ratio
from transport.weather.neighbourhood import neighbourhood
from transport.weather.space import interpolated


def test_ratio_by_direction_and_the_short_way_agree() -> None:
    values = np.array([[10.0, 20.0], [30.0, 40.0]], "f4")
    table = np.ones((2, 361))
    table[0] = 1.5
    table[1, 90], table[1, 360] = 2.0, 3.0
    column = np.array([[0, 90], [90, 360]])
    np.testing.assert_array_equal(times_ratio(values, table, column), [[15.0, 30.0], [60.0, 120.0]])


def direction(feed: xr.Dataset) -> np.ndarray:
    near = neighbourhood(feed, np.array([-21.40]), np.array([-38.60]), 6.0)
    return station_direction_deg(near, interpolated(near.matrix, near.high["mean_wind_mps"])).reshape(near.shape)


@pytest.fixture
def steady(normal: xr.Dataset) -> xr.Dataset:
    """The forecast with one direction everywhere."""
    mean = normal["mean_wind_mps"]
    return normal.assign(eastward_wind_mps=mean * np.float32(0.8), northward_wind_mps=mean * np.float32(0.6))


def test_a_front_between_two_corners_makes_any_direction(steady: xr.Dataset) -> None:
    normal = steady
    assert not np.isnan(direction(normal)).any()
    front = normal.copy(deep=True)
    front["eastward_wind_mps"][:, 12, 0, 1] *= -1.0
    found = direction(front)
    assert np.isnan(found[:, 11:13]).all()
    assert not np.isnan(np.delete(found, [11, 12], axis=1)).any()


def test_a_turn_within_a_step_makes_any_direction(steady: xr.Dataset) -> None:
    turn = steady.copy(deep=True)
    turn["eastward_wind_mps"][:, 12:] *= -1.0
    found = direction(turn)
    assert np.isnan(found[:, 11]).all()
    assert not np.isnan(found[:, 12:]).any()


def test_calm_has_no_direction(normal: xr.Dataset) -> None:
    calm = normal.assign(mean_wind_mps=normal["mean_wind_mps"] * np.float32(0.01))
    assert np.isnan(direction(calm)).all()
