"""EMOS: published coefficients, an independent search, truth recovered, laws."""

import numpy as np
import pytest
import scoringrules
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize
from scipy.stats import truncnorm

from transport.weather.skill.emos import Coefficients, fit, law_of, mean_crps_mps
from transport.weather.skill.truncated import exceedance_ratio, quantile_mps

# Three members on nine places, and the same on five days, each 0.2 m/s higher: the fixture of the unit tests of the
# post-processing library metoppv/improver (BSD-3-Clause), helper_functions.py (read); truth is the highest member.
MEMBERS = np.array(
    [
        [0.3, 1.1, 2.6, 4.2, 5.3, 6.0, 7.1, 8.2, 9.0],
        [0.7, 2.0, 3.0, 4.3, 5.6, 6.4, 7.0, 8.0, 9.0],
        [2.1, 3.0, 3.0, 4.8, 5.0, 6.0, 7.9, 8.0, 8.9],
    ]
)
PUBLISHED = Coefficients(
    0.4511, 0.9503, 0.0113**2, 0.7424**2
)  # its test of a truncated normal, mean as predictor (read)


def fixture() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    days = np.concatenate([MEMBERS - 2.0 + 0.2 * day for day in range(5)], axis=1)
    return days.mean(axis=0), days.var(axis=0, ddof=1), days.max(axis=0)


def drawn(true: Coefficients, count: int, seed: int, members: int = 11) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Cases whose observation is drawn from the law itself."""
    rng = np.random.default_rng(seed)
    spread = rng.uniform(0.3, 2.0, count)
    ensemble = rng.gamma(4.0, 2.2, count)[:, None] + spread[:, None] * rng.normal(size=(count, members))
    mean, variance = ensemble.mean(axis=1), ensemble.var(axis=1, ddof=1)
    location, scale = law_of(true, mean, variance)
    seen = truncnorm.rvs(-location / scale, np.inf, loc=location, scale=scale, random_state=rng)
    return mean, variance, seen


def test_the_published_score_before_the_search() -> None:
    """Unit tests of metoppv/improver: 0.1753538 for a = 0, b = 1, c = 0, d = 1, the mean as predictor (read)."""
    assert mean_crps_mps(Coefficients(0.0, 1.0, 0.0, 1.0), *fixture()) == pytest.approx(0.1753538, abs=5e-8)


def test_the_published_coefficients_are_found() -> None:
    """Its search stops at a tolerance of 1e-4, so four digits are compared (read)."""
    found = fit(*fixture(), least_sigma_mps=1e-4)
    assert (found.a_mps, found.b_ratio) == pytest.approx((PUBLISHED.a_mps, PUBLISHED.b_ratio), abs=1e-4)
    roots = np.sqrt([found.c_m2_per_s2, found.d_ratio])
    assert roots == pytest.approx(np.sqrt([PUBLISHED.c_m2_per_s2, PUBLISHED.d_ratio]), abs=1e-4)
    assert mean_crps_mps(found, *fixture()) <= mean_crps_mps(PUBLISHED, *fixture())


@pytest.mark.parametrize("true", [(0.5, 0.95, 1.0, 0.5), (1.0, 1.1, 0.5, 3.0), (-1.0, 0.8, 2.0, 0.0)])
def test_an_independent_search_over_an_independent_score_gets_no_lower(true: tuple[float, ...]) -> None:
    """The score of scoringrules, minimised by the simplex search of scipy from the true values."""
    mean, variance, seen = drawn(Coefficients(*true), 300, 1)

    def score(values: np.ndarray) -> float:
        a, b, c, d = values[0], abs(values[1]), values[2] ** 2 + 0.01, values[3] ** 2
        scale = np.sqrt(c + d * variance)
        return float(np.mean(scoringrules.crps_tnormal(seen, a + b * mean, scale, lower=0.0)))

    start = np.array([true[0], true[1], np.sqrt(true[2]), np.sqrt(true[3])])
    options = {"xatol": 1e-7, "fatol": 1e-11, "maxiter": 5000, "maxfev": 5000}
    other = minimize(score, start, method="Nelder-Mead", options=options)
    found = mean_crps_mps(fit(mean, variance, seen, 0.1), mean, variance, seen)
    assert found <= other.fun + 1e-7
    assert found == pytest.approx(other.fun, rel=1e-5)


@pytest.mark.parametrize("true", [(0.5, 0.95, 1.0, 0.5), (1.0, 1.1, 0.5, 3.0)])
def test_the_truth_is_recovered(true: tuple[float, ...]) -> None:
    """6000 cases, fixed seed: within about four standard errors, here 0.15 m/s, 2 %, 0.25 m2/s2 and 15 % of d + 0.1."""
    found = fit(*drawn(Coefficients(*true), 6000, 2), 0.1)
    assert found.a_mps == pytest.approx(true[0], abs=0.15)
    assert found.b_ratio == pytest.approx(true[1], rel=0.02)
    assert found.c_m2_per_s2 == pytest.approx(true[2], abs=0.25)
    assert found.d_ratio == pytest.approx(true[3], abs=0.15 * true[3] + 0.1)


def test_the_worked_example_of_the_law() -> None:
    """Members 6, 7, 8, 10, 14; a = 0.5, b = 0.95, c = 1, d = 0.5: own arithmetic, and scipy beside it."""
    members = np.array([6.0, 7.0, 8.0, 10.0, 14.0])
    location, scale = law_of(Coefficients(0.5, 0.95, 1.0, 0.5), members.mean(), members.var(ddof=1))
    assert (float(location), float(scale)) == pytest.approx((9.05, 2.4495), abs=5e-5)
    other = truncnorm(-location / scale, np.inf, loc=location, scale=scale)
    for threshold, chance in ((12.0, 0.11424), (15.0, 0.00757)):
        assert float(exceedance_ratio(location, scale, np.asarray(threshold))) == pytest.approx(chance, abs=5e-6)
        assert other.sf(threshold) == pytest.approx(chance, abs=5e-6)
    assert float(quantile_mps(location, scale, np.asarray(0.95))) == pytest.approx(13.0792, abs=5e-5)
    assert other.ppf(0.95) == pytest.approx(13.0792, abs=5e-5)


def test_the_order_of_the_cases_changes_nothing() -> None:
    data = drawn(Coefficients(0.5, 0.95, 1.0, 0.5), 200, 3)
    order = np.random.default_rng(4).permutation(200)
    assert fit(*(column[order] for column in data), 0.1) == pytest.approx(fit(*data, 0.1), rel=1e-3)


def test_another_unit_of_speed_scales_the_fit() -> None:
    """In km/h: a by 3.6, c by 3.6 squared, b and d not at all."""
    mean, variance, seen = drawn(Coefficients(1.0, 0.9, 1.0, 0.8), 400, 5)
    here = fit(mean, variance, seen, 0.1)
    there = fit(3.6 * mean, 3.6**2 * variance, 3.6 * seen, 0.36)
    assert (there.a_mps / 3.6, there.b_ratio) == pytest.approx((here.a_mps, here.b_ratio), abs=2e-3)
    assert (there.c_m2_per_s2 / 3.6**2, there.d_ratio) == pytest.approx((here.c_m2_per_s2, here.d_ratio), abs=2e-2)


def test_no_coefficient_is_negative_even_where_the_forecast_is_upside_down() -> None:
    rng = np.random.default_rng(6)
    mean = rng.uniform(2.0, 12.0, 200)
    found = fit(mean, 4.0 - 0.3 * mean, np.maximum(14.0 - mean + rng.normal(size=200), 0.0), 0.1)
    assert found.b_ratio == 0.0
    assert found.c_m2_per_s2 >= 0.01
    assert found.d_ratio >= 0.0


@settings(deadline=None)
@given(
    b=st.floats(0.0, 2.0), c=st.floats(0.01, 9.0), d=st.floats(0.0, 5.0), a=st.floats(-5.0, 5.0),
    mean=st.floats(0.0, 30.0), variance=st.floats(0.0, 20.0), more=st.floats(0.0, 20.0), level=st.floats(0.51, 0.999),
)  # fmt: skip
def test_more_spread_never_narrows(
    a: float, b: float, c: float, d: float, mean: float, variance: float, more: float, level: float
) -> None:
    """Law: scale and upper quantiles rise with the variance of the members, and the location stays."""
    coefficients = Coefficients(a, b, c, d)
    narrow, wide = (law_of(coefficients, np.asarray(mean), np.asarray(value)) for value in (variance, variance + more))
    assert wide.scale_mps >= narrow.scale_mps
    low, high = (float(quantile_mps(*law, np.asarray(level))) for law in (narrow, wide))
    assert high >= low - 1e-9
