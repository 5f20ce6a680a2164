"""What a forecast says: members and distributions in one form, unknowns never turned into a chance."""

import numpy as np
import pytest
from scipy.stats import truncnorm

from transport.weather.skill.issued import Rule, from_members, from_truncated

MEMBERS = np.array([[6.0, 7.0, 8.0, 10.0, 14.0], [1.0, 2.0, 3.0, 4.0, 5.0]])
OBSERVED = np.array([9.0, 9.0])


def test_the_chance_of_an_ensemble_is_the_share_above() -> None:
    one = from_members(MEMBERS, OBSERVED, Rule(0.2))
    assert one.chance(8.0).tolist() == [0.4, 0.0]
    assert one.warned(8.0).tolist() == [True, False]
    assert one.warned(10.0).tolist() == [False, False]
    assert one.high_mps.tolist() == [14.0, 5.0]
    assert one.crps_mps[0] == pytest.approx(0.88)
    assert one.crps_fair_mps[0] == pytest.approx(0.50)


def test_at_the_limit_is_not_above_it() -> None:
    assert from_members(MEMBERS, OBSERVED, Rule(0.0)).chance(14.0).tolist() == [0.0, 0.0]


def test_one_member_has_no_spread() -> None:
    one = from_members(MEMBERS[:, :1], OBSERVED, Rule(0.0))
    assert np.isnan(one.variance_mps2).all()
    assert one.crps_mps.tolist() == [3.0, 8.0]


def test_a_distribution_equals_scipy() -> None:
    location, scale = np.array([9.05, 1.0]), np.array([2.4495, 3.0])
    one = from_truncated(location, scale, OBSERVED, 0.05, 10)
    told = truncnorm(-location / scale, np.inf, loc=location, scale=scale)
    np.testing.assert_allclose(one.mean_mps, told.mean(), rtol=1e-9)
    np.testing.assert_allclose(one.variance_mps2, told.var(), rtol=1e-9)
    np.testing.assert_allclose(one.chance(12.0), told.sf(12.0), rtol=1e-9)
    np.testing.assert_allclose(one.high_mps, told.ppf(0.95), rtol=1e-9)
    assert one.high_mps[0] == pytest.approx(13.0792, abs=1e-3)
    np.testing.assert_array_equal(one.warned(13.0), told.sf(13.0) > 0.05)
    assert one.ranks(np.array([True, True])).sum() == 2.0


def test_the_worked_example_of_a_calibrated_forecast() -> None:
    """Location 9.05, scale sqrt(6): 0.11424 above 12, 0.00757 above 15, CRPS 0.57276 at 9: recomputed with scipy."""
    one = from_truncated(np.array([9.05]), np.array([np.sqrt(6.0)]), np.array([9.0]), 0.05, 10)
    told = truncnorm(-9.05 / 6.0**0.5, np.inf, loc=9.05, scale=6.0**0.5)
    for threshold, chance in ((12.0, 0.11424), (15.0, 0.00757)):
        assert (
            one.chance(threshold)[0] == pytest.approx(chance, abs=1e-5) == pytest.approx(told.sf(threshold), abs=1e-5)
        )
    assert one.high_mps[0] == pytest.approx(13.0792, abs=1e-4)
    assert one.crps_mps[0] == pytest.approx(0.57276, abs=1e-5)
