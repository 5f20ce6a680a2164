"""CRPS: worked values, scoringrules and xskillscore, the integral itself, and its laws."""

from itertools import pairwise

import numpy as np
import pytest
import scoringrules
import xarray as xr
import xskillscore
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.stats import norm, truncnorm

from shared.errors import OutOfRangeError
from transport.weather.skill.crps import crps_energy_mps, crps_fair_mps, crps_normal_mps, crps_truncated_mps

RNG = np.random.default_rng(20260310)
MEMBERS_MPS = RNG.gamma(6.0, 1.5, (40, 31))
OBSERVED_MPS = RNG.gamma(6.0, 1.7, 40)
FIVE = np.array([6.0, 7.0, 8.0, 10.0, 14.0])
SPEEDS = st.lists(st.floats(0.0, 60.0), min_size=2, max_size=20)


def test_five_members_by_hand() -> None:
    """Mean distance (3 + 2 + 1 + 1 + 5) / 5 = 2.4; the ten pairs differ by 38 in sum: 2.4 - 38/25, 2.4 - 38/20."""
    assert crps_energy_mps(FIVE, np.array(9.0)) == pytest.approx(2.4 - 38.0 / 25.0)
    assert crps_fair_mps(FIVE, np.array(9.0)) == pytest.approx(2.4 - 38.0 / 20.0)


@pytest.mark.parametrize(("estimator", "ours"), [("nrg", crps_energy_mps), ("fair", crps_fair_mps)])
def test_estimators_equal_scoringrules(estimator: str, ours: object) -> None:
    theirs = scoringrules.crps_ensemble(OBSERVED_MPS, MEMBERS_MPS, estimator=estimator)
    np.testing.assert_allclose(ours(MEMBERS_MPS, OBSERVED_MPS), theirs, rtol=1e-12)  # type: ignore[operator]


def test_the_energy_estimator_equals_xskillscore() -> None:
    observed, members = xr.DataArray(OBSERVED_MPS, dims="case"), xr.DataArray(MEMBERS_MPS, dims=("case", "member"))
    theirs = xskillscore.crps_ensemble(observed, members, dim=[])
    np.testing.assert_allclose(crps_energy_mps(MEMBERS_MPS, OBSERVED_MPS), theirs.values, rtol=1e-12)


def test_the_normal_equals_scoringrules() -> None:
    location_mps, scale_mps = MEMBERS_MPS.mean(axis=1), MEMBERS_MPS.std(axis=1)
    theirs = scoringrules.crps_normal(OBSERVED_MPS, location_mps, scale_mps)
    np.testing.assert_allclose(crps_normal_mps(location_mps, scale_mps, OBSERVED_MPS), theirs, rtol=1e-12)


def test_the_normal_at_its_location() -> None:
    """(sqrt(2) - 1) / sqrt(pi) for N(0, 1) at 0: the formula by hand."""
    assert crps_normal_mps(np.array(0.0), np.array(1.0), np.array(0.0)) == pytest.approx((2**0.5 - 1) / np.pi**0.5)


@pytest.mark.parametrize(("location_mps", "scale_mps"), [(8.0, 2.0), (2.0, 2.0), (-1.0, 3.0)])
def test_the_truncated_normal_equals_scoringrules(location_mps: float, scale_mps: float) -> None:
    theirs = scoringrules.crps_tnormal(OBSERVED_MPS, location_mps, scale_mps, 0.0, np.inf)
    ours = crps_truncated_mps(np.array(location_mps), np.array(scale_mps), OBSERVED_MPS)
    np.testing.assert_allclose(ours, theirs, rtol=1e-9)


@pytest.mark.parametrize(
    ("location_mps", "scale_mps", "observed_mps"),
    [(9.05, 2.4495, 9.0), (3.0, 4.0, 0.0), (-6.0, 3.0, 2.0), (-30.0, 3.0, 0.4), (25.0, 0.5, 31.0)],
)
def test_the_truncated_normal_is_the_integral(location_mps: float, scale_mps: float, observed_mps: float) -> None:
    """Quadrature of (F(x) - 1[x >= y])^2 with scipy's truncated normal, also far in the tail."""
    told = truncnorm(-location_mps / scale_mps, np.inf, loc=location_mps, scale=scale_mps)
    top = max(observed_mps, location_mps, 0.0) + 40.0 * scale_mps
    parts = np.unique([0.0, observed_mps, max(location_mps, 0.0), observed_mps + scale_mps, top])
    area = sum(
        quad(lambda x: (told.cdf(x) - (x >= observed_mps)) ** 2, *span, epsabs=1e-10)[0] for span in pairwise(parts)
    )
    ours = crps_truncated_mps(np.array(location_mps), np.array(scale_mps), np.array(observed_mps))
    assert ours == pytest.approx(area, rel=1e-6, abs=1e-8)


def test_far_from_zero_the_truncation_does_not_matter() -> None:
    ours = crps_truncated_mps(np.array(30.0), np.array(2.0), OBSERVED_MPS)
    np.testing.assert_allclose(ours, crps_normal_mps(np.array(30.0), np.array(2.0), OBSERVED_MPS), rtol=1e-12)


@given(SPEEDS, st.floats(0.0, 60.0), st.randoms())
@settings(max_examples=60, deadline=None)
def test_laws_of_the_ensemble_score(speeds: list[float], observed: float, random: object) -> None:
    members, seen = np.array(speeds), np.array(observed)
    energy, fair = crps_energy_mps(members, seen), crps_fair_mps(members, seen)
    shuffled = np.array(sorted(speeds, key=lambda _: random.random()))  # type: ignore[attr-defined]
    assert energy == pytest.approx(crps_energy_mps(shuffled, seen), abs=1e-12)
    assert energy >= -1e-12
    assert fair <= energy + 1e-12
    assert crps_energy_mps(members + 7.0, seen + 7.0) == pytest.approx(energy, abs=1e-9)


@given(st.floats(0.0, 60.0), st.floats(0.0, 60.0))
@settings(max_examples=40, deadline=None)
def test_one_member_scores_its_absolute_error(member: float, observed: float) -> None:
    assert crps_energy_mps(np.array([member]), np.array(observed)) == abs(member - observed)
    assert np.isnan(crps_fair_mps(np.array([member]), np.array(observed)))


def test_a_perfect_ensemble_scores_nothing() -> None:
    same = np.repeat(OBSERVED_MPS[:, None], 7, axis=1)
    np.testing.assert_allclose(crps_energy_mps(same, OBSERVED_MPS), 0.0, atol=1e-12)
    np.testing.assert_allclose(crps_fair_mps(same, OBSERVED_MPS), 0.0, atol=1e-12)


def test_unknown_stays_unknown() -> None:
    """Also where the sorted middle member has no weight: a NaN is never counted as nothing."""
    for place in range(5):
        holed = np.where(np.arange(5) == place, np.nan, FIVE)
        assert np.isnan(crps_energy_mps(holed, np.array(9.0)))
        assert np.isnan(crps_fair_mps(holed, np.array(9.0)))
    assert np.isnan(crps_energy_mps(FIVE, np.array(np.nan)))
    with_gaps = np.array([9.05, np.nan]), np.array([2.4, 2.4]), np.array([9.0, 9.0])
    assert np.isnan(crps_truncated_mps(*with_gaps)).tolist() == [False, True]
    assert np.isnan(crps_normal_mps(*with_gaps)).tolist() == [False, True]


def test_outside_the_range_is_an_error_that_names_it() -> None:
    with pytest.raises(OutOfRangeError, match="scale_mps = 0 lies outside"):
        crps_normal_mps(np.array(5.0), np.array(0.0), np.array(5.0))
    with pytest.raises(OutOfRangeError, match="observed_mps = -1 lies outside 0 to inf"):
        crps_truncated_mps(np.array(5.0), np.array(1.0), np.array(-1.0))
    with pytest.raises(OutOfRangeError, match="location over scale = -30 lies outside -20 to inf"):
        crps_truncated_mps(np.array(-30.0), np.array(1.0), np.array(1.0))


def test_the_closed_forms_are_the_limit_of_many_members() -> None:
    """The step function of many quantiles of the distribution approaches the closed form."""
    many = norm.ppf((np.arange(20_000) + 0.5) / 20_000, 12.0, 2.0)
    closed = crps_normal_mps(np.array(12.0), np.array(2.0), np.array(14.5))
    assert crps_energy_mps(many, np.array(14.5)) == pytest.approx(float(closed), rel=1e-4)


def test_the_worked_example_of_a_calibrated_forecast() -> None:
    """Location 9.05, scale sqrt(6), observed 9: 0.57276 by scoringrules, which the closed form must give too."""
    place = np.array(9.05), np.sqrt(np.array(6.0)), np.array(9.0)
    assert float(scoringrules.crps_tnormal(9.0, 9.05, 6.0**0.5, 0.0, np.inf)) == pytest.approx(0.57276, abs=1e-5)
    assert crps_truncated_mps(*place) == pytest.approx(0.57276, abs=1e-5)
