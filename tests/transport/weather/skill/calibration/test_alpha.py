"""The fitted factor: worked values, the bound of the deviation, and that too little never makes it milder."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import chi2, norm

from transport.weather.skill.alpha import ErrorOf, allowance_mps, alpha_ratio, error_of, sigma_bound_mps


@pytest.mark.parametrize(
    ("z", "sigma", "limit", "alpha"),
    [(1.645, 1.5, 12.53, 0.835), (1.645, 2.0, 11.71, 0.781), (2.326, 2.0, 10.35, 0.690), (2.326, 2.5, 9.18, 0.612)],
)
def test_the_factor_at_a_limit_of_15(z: float, sigma: float, limit: float, alpha: float) -> None:
    """alpha = 1 - z sigma / 15: practice of marine operations, fitted (memory); the printed values are rounded."""
    found = float(alpha_ratio(z, np.asarray(sigma), np.asarray(15.0), np.asarray(0.0)))
    assert (found * 15.0, found) == pytest.approx((limit, alpha), abs=0.006)
    assert found == pytest.approx(1.0 - z * sigma / 15.0)


def test_a_forecast_that_is_too_high_earns_nothing() -> None:
    factors = alpha_ratio(1.645, np.asarray(2.0), np.asarray(15.0), np.array([-3.0, 0.0, 1.5]))
    assert factors == pytest.approx([0.78067, 0.78067, 0.68067], abs=1e-5)


@pytest.mark.parametrize("count", [2, 10, 30, 300])
def test_the_bound_of_the_deviation_is_that_of_the_chi_square(count: int) -> None:
    assert sigma_bound_mps(2.0, count, 0.95) == pytest.approx(2.0 * np.sqrt((count - 1) / chi2.ppf(0.05, count - 1)))


def test_one_day_bounds_nothing() -> None:
    assert sigma_bound_mps(2.0, 1, 0.95) == np.inf


def test_the_bound_holds_as_often_as_it_promises() -> None:
    """4000 samples of 12 normal values with deviation 1, fixed seed: 95 % within 1 %."""
    samples = np.random.default_rng(1).normal(size=(4000, 12))
    bounds = np.array([sigma_bound_mps(float(np.std(row, ddof=1)), 12, 0.95) for row in samples])
    assert np.mean(bounds >= 1.0) == pytest.approx(0.95, abs=0.01)


def test_the_days_count_not_the_cases() -> None:
    error = np.random.default_rng(2).normal(0.5, 1.5, 400)
    one, many = (error_of(np.zeros(400), error, np.arange(400) // size) for size in (8, 1))
    assert (one.days, many.days) == (50, 400)
    assert one.sigma_mps == many.sigma_mps == pytest.approx(np.std(error, ddof=1))
    assert one.sigma_bound_mps > many.sigma_bound_mps
    assert one.quantiles_mps[-1] == pytest.approx(error.max())


def test_a_tail_longer_than_the_normal_one_is_seen() -> None:
    error = np.concatenate([np.zeros(97), np.full(3, 12.0)])
    found = error_of(np.zeros(100), error, np.arange(100))
    assert found.mean_mps + norm.ppf(0.99) * found.sigma_bound_mps < 12.0
    assert allowance_mps(found, 0.01) == 12.0


@settings(deadline=None)
@given(chance=st.floats(0.001, 0.5), less=st.floats(0.1, 0.99), mean=st.floats(-3, 3), sigma=st.floats(0.1, 4))
def test_a_smaller_chance_never_allows_less(chance: float, less: float, mean: float, sigma: float) -> None:
    levels = tuple(mean + sigma * z for z in (0.0, 0.3, 0.5, 0.8, 1.0, 1.3, 1.6, 2.1, 2.3, 3.0))
    found = ErrorOf(300, 60, mean, sigma, 1.2 * sigma, levels)
    assert allowance_mps(found, chance * less) >= allowance_mps(found, chance) >= 0.0
