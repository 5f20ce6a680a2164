"""The part of a forecast around the road."""

import numpy as np
import xarray as xr

from transport.weather.neighbourhood import neighbourhood


def test_only_nodes_that_touch_the_road(normal: xr.Dataset) -> None:
    near = neighbourhood(normal, np.array([-21.40, -21.38]), np.array([-38.60, -38.58]), 6.0)
    assert near.high["mean_wind_mps"].shape == (6, 30, 4)
    assert near.shape == (6, 30)
    assert near.corners.tolist() == [[0, 1, 2, 3], [0, 1, 2, 3]]
    first, second = (normal["mean_wind_mps"].to_numpy()[:, part, 0, 1] for part in (slice(None, -1), slice(1, None)))
    np.testing.assert_array_equal(near.high["mean_wind_mps"][:, :, 0], np.maximum(first, second))
    np.testing.assert_array_equal(near.high["gust_mps"][:, :, 0], normal["gust_mps"].to_numpy()[:, 1:, 0, 1])
    np.testing.assert_array_equal(near.mean_at_end[:, :, 0], second)


def test_stations_outside_are_marked_and_stand_in_at_the_edge(normal: xr.Dataset) -> None:
    near = neighbourhood(normal, np.array([-21.40, -10.0, np.nan]), np.array([-38.60, -38.60, -38.60]), 6.0)
    assert near.outside.tolist() == [False, True, True]
    np.testing.assert_allclose(near.matrix.sum(axis=1), 1.0)


def test_steps_across_a_gap_are_unknown(normal: xr.Dataset) -> None:
    lost = normal.isel(time=[hour for hour in range(31) if hour not in (10, 11)])
    near = neighbourhood(lost, np.array([-21.40]), np.array([-38.60]), 6.0)
    assert near.gap.sum() == 1
    for values in (*near.high.values(), *near.low.values()):
        assert np.isnan(values[:, near.gap]).all()
    assert not np.isnan(near.high["gust_mps"][:, ~near.gap]).any()
