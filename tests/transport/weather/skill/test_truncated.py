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
