"""Dew, frost and the mirror: cooling, lapse, unknowns."""

import numpy as np

from transport.weather import dew


def test_mirror_is_never_warmer_than_the_air_has_been_since() -> None:
    air_K = np.array([[280.0, 276.0, 281.0, np.nan, 275.0]])
    cooled = dew.cooled_down_to_K(279.0, air_K, axis=1)
    np.testing.assert_array_equal(cooled, [[279.0, 276.0, 276.0, np.nan, np.nan]])


def test_air_on_a_higher_road_is_colder_and_on_a_lower_one_not_warmer() -> None:
    np.testing.assert_allclose(
        dew.lapse_corrected_K(np.asarray(280.0), np.array([1000.0, 0.0, -1000.0])), [273.5, 280.0, 280.0]
    )


def test_frost_point_counts_below_zero_only() -> None:
    points = dew.deposit_point_K(np.array([283.15, 273.15, 263.52, np.nan]))
    assert points[0] == 283.15
    assert abs(points[1] - 273.15) < 1e-9
    assert points[2] > 263.52 + 1.0
    assert np.isnan(points[3])
    assert np.isnan(dew.dew_margin_K(np.asarray(np.nan), np.asarray(280.0)))
