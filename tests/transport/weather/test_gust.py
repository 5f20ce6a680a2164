"""Gust factors: floors, order of the methods, range."""

import numpy as np
import pytest

from shared.errors import OutOfRangeError
from transport.weather import gust


def test_pressure_equivalent_is_not_the_peak_that_an_anemometer_sees() -> None:
    peak = gust.gust_ratio(np.asarray(0.2282), np.asarray(3.5), np.asarray(1.0))
    assert gust.pressure_gust_ratio(np.asarray(0.2282)) < 0.91 * peak


def test_peak_factor_grows_beyond_that_of_the_code_only_in_long_steps() -> None:
    hours = np.array([0.25, 1.0, 6.0, 24.0])
    found = gust.peak_factor(np.asarray(10.0), 3600.0 * hours)
    np.testing.assert_array_equal(found[:3], 3.5)
    assert found[3] > 3.5


def test_largest_value_needs_enough_cycles() -> None:
    with pytest.raises(OutOfRangeError, match="the range of the largest-value formula"):
        gust.largest_value_factor(np.asarray(0.1), np.asarray(10.0))


def test_light_wind_still_foresees_a_gust() -> None:
    assert gust.convective_gust_mps(np.array([0.0, 2.0], "f4"), 5.0).tolist() == [5.0, 7.0]
    assert np.isnan(gust.convective_gust_mps(np.array([np.nan]), 5.0)).all()
