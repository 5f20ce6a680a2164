"""The truncated normal: scipy, worked values, laws."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import truncnorm

from transport.weather.skill.truncated import exceedance_ratio, quantile_mps

PLACES = [(9.05, 2.4495), (2.0, 4.0), (-5.0, 3.0)]


@pytest.mark.parametrize(("location", "scale"), PLACES)
def test_equals_scipy(location: float, scale: float) -> None:
    told = truncnorm(-location / scale, np.inf, loc=location, scale=scale)
    speeds = np.array([0.0, 0.5, 3.0, 9.0, 12.0, 15.0])
    np.testing.assert_allclose(
        exceedance_ratio(np.array(location), np.array(scale), speeds), told.sf(speeds), rtol=1e-9
    )
    chances = np.array([0.01, 0.5, 0.95, 0.999])
    np.testing.assert_allclose(quantile_mps(np.array(location), np.array(scale), chances), told.ppf(chances), rtol=1e-9)


@given(st.floats(-10.0, 30.0), st.floats(0.5, 8.0), st.floats(0.001, 0.999))
@settings(max_examples=60, deadline=None)
def test_the_quantile_undoes_the_chance(location: float, scale: float, chance: float) -> None:
    speed = quantile_mps(np.array(location), np.array(scale), np.array(chance))
    assert speed >= 0.0
    assert exceedance_ratio(np.array(location), np.array(scale), speed) == pytest.approx(1.0 - chance, rel=1e-6)


def test_nothing_is_below_zero_and_unknown_stays_unknown() -> None:
    assert exceedance_ratio(np.array(1.0), np.array(3.0), np.array(-2.0)) == 1.0
    assert np.isnan(exceedance_ratio(np.array(np.nan), np.array(3.0), np.array(5.0)))
    assert np.isnan(quantile_mps(np.array(np.nan), np.array(3.0), np.array(0.5)))


def test_the_worked_example_of_a_calibrated_forecast() -> None:
    """Location 9.05, scale sqrt(6): 0.11424 above 12, 0.00757 above 15, 13.0792 at 95 %, each as scipy has it."""
    place = np.array(9.05), np.sqrt(np.array(6.0))
    told = truncnorm(-9.05 / 6.0**0.5, np.inf, loc=9.05, scale=6.0**0.5)
    for threshold, chance in ((12.0, 0.11424), (15.0, 0.00757)):
        assert told.sf(threshold) == pytest.approx(chance, abs=1e-5)
        assert exceedance_ratio(*place, np.array(threshold)) == pytest.approx(chance, abs=1e-5)
    assert told.ppf(0.95) == pytest.approx(13.0792, abs=1e-4)
    assert quantile_mps(*place, np.array(0.95)) == pytest.approx(13.0792, abs=1e-4)
