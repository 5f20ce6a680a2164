"""Smoothing with known accuracy: the kernel, standard errors against Monte Carlo, what is lost, the laws."""

from collections.abc import Callable
from functools import partial
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from routes import smoothing

FIXED = settings(derandomize=True, deadline=None, max_examples=25)
CheckValue = Callable[[str, str, str], Any]


def slope_best(radius_m: float, spacing_m: float) -> Callable[[float], float]:
    return partial(smoothing.best_for_slope_m, spacing_m=spacing_m, radius_m=radius_m)


def bend_best(transition_m2: float, spacing_m: float) -> Callable[[float], float]:
    return partial(smoothing.best_for_curvature_m, spacing_m=spacing_m, transition_m2=transition_m2)


def test_the_kernel_has_its_published_variance(check_value: CheckValue) -> None:
    """Far from the ends: var f' = sigma^2 d / (8 sqrt 2 h^3), var f'' = sigma^2 d / (8 sqrt 2 h^5)."""
    h_m, t_m = 10.0, np.arange(0.0, 400.0, 1.0)
    first, second = smoothing.response_of_derivatives(t_m, h_m, np.array([200.0]))
    for found, quantity in ((first * h_m**3, "slope_response"), (second * h_m**5, "curvature_response")):
        value = check_value("route_noise", "KERNEL", quantity)
        assert found[0] == pytest.approx(value.expected, abs=value.tolerance)


def test_a_wave_is_passed_with_the_factor_of_the_kernel() -> None:
    t_m = np.arange(0.0, 1000.0, 1.0)
    for length_m in (20.0, 40.0, 80.0):
        wave = 2.0 * np.pi / length_m
        smooth = smoothing.spline_of(t_m, np.sin(wave * t_m), 8.0)(t_m)
        passed = np.ptp(smooth[300:700]) / 2.0
        assert passed == pytest.approx(1.0 / (1.0 + (8.0 * wave) ** 4), abs=0.01)


@pytest.mark.parametrize("uneven", [False, True])
@pytest.mark.parametrize("bandwidth_m", [1.0, 6.0, 20.0])
def test_the_response_is_the_spread_of_noisy_surveys(bandwidth_m: float, uneven: bool) -> None:
    """Monte Carlo: 4000 surveys of pure noise; the ratio of variances scatters by about 2 %."""
    rng = np.random.default_rng(20260309)
    t_m = np.arange(0.0, 300.0, 5.0)
    if uneven:
        t_m[1:-1] += rng.uniform(-1.5, 1.5, t_m.size - 2)
    at_m = np.linspace(0.0, t_m[-1], 41)
    noisy = smoothing.spline_of(t_m, rng.normal(0.0, 0.02, (t_m.size, 4000)), bandwidth_m)
    expected = smoothing.response_of_derivatives(t_m, bandwidth_m, at_m)
    for order, response in enumerate(expected, start=1):
        spread = np.var(noisy.derivative(order)(at_m), axis=1)
        inside = slice(1, -1)  # the second derivative is zero at the very ends
        assert spread[inside] == pytest.approx(0.02**2 * response[inside], rel=0.12)


def test_moving_points_together_changes_nothing_that_counts() -> None:
    """The response with few teeth against that of every point on its own."""
    t_m, at_m = np.arange(0.0, 500.0, 1.0), np.linspace(0.0, 499.0, 57)
    for h_m in (0.3, 1.0, 3.0):
        alone = smoothing.spline_of(t_m, np.eye(t_m.size), h_m)
        found = smoothing.response_of_derivatives(t_m, h_m, at_m)
        for order, response in enumerate(found, start=1):
            expected = np.sum(alone.derivative(order)(at_m) ** 2, axis=1)
            assert response == pytest.approx(expected, rel=2e-3, abs=1e-12)


@pytest.mark.parametrize("h_ratio", [0.05, 0.3, 0.7, 1.0, 2.0, 5.0])
def test_what_the_spline_loses_is_never_more_than_stated(h_ratio: float) -> None:
    """Noise-free beginnings of a curve and of a transition, an end inside a curve; h from 0.25 to 25 m."""
    d_m, h_m = 5.0, 5.0 * h_ratio
    t_m = d_m * np.arange(-120.0, 121.0)
    at_m = np.linspace(-50.0, 50.0, 1001)
    far = np.full(at_m.size, 600.0)
    slope, bend, turn = [], [], []
    for begin_m in (0.0, 1.0, 2.5):
        after = np.maximum(t_m - begin_m, 0.0)
        at_after = np.maximum(at_m - begin_m, 0.0)
        arc = smoothing.spline_of(t_m, after**2 / 2.0, h_m)
        transition = smoothing.spline_of(t_m, after**3 / 6.0, h_m)
        slope.append(np.abs(arc.derivative(1)(at_m) - at_after).max())
        bend.append(np.abs(transition.derivative(2)(at_m) - at_after).max())
        turn.append(np.abs(transition.derivative(1)(at_m) - at_after**2 / 2.0).max())
    assert max(slope) <= 1.06 * smoothing.lost_of_slope(h_m, d_m, 1.0, far).max()
    assert max(bend) <= 1.2 * smoothing.lost_of_curvature(h_m, d_m, 1.0)
    assert max(turn) <= 1.06 * smoothing.lost_of_direction(h_m, d_m, 1.0, np.zeros(at_m.size), far).max()
    into_m = np.linspace(0.0, 60.0, 61)
    inside = smoothing.spline_of(t_m, (t_m - t_m[0]) ** 2 / 2.0, h_m)
    missing = np.abs(inside.derivative(1)(t_m[0] + into_m) - into_m)
    assert (missing <= 1.06 * smoothing.lost_of_slope(h_m, d_m, 1.0, into_m)).all()


def test_the_discrepancy_is_met() -> None:
    rng = np.random.default_rng(1)
    t_m = np.arange(0.0, 600.0, 2.0)
    values_m = (5.0 * np.sin(t_m / 20.0) + rng.normal(0.0, 0.05, t_m.size))[:, None]
    allowed_m2 = t_m.size * 0.05**2
    h_m = smoothing.discrepancy_bandwidth_m(t_m, values_m, allowed_m2, 100.0)
    left_m2 = np.sum((values_m - smoothing.spline_of(t_m, values_m, h_m)(t_m)) ** 2)
    assert left_m2 == pytest.approx(allowed_m2, rel=0.01)


def test_the_bandwidth_stays_between_its_bounds() -> None:
    t_m = np.arange(0.0, 200.0, 5.0)
    straight = np.zeros((t_m.size, 1))
    zigzag = np.where(np.arange(t_m.size) % 2 == 0, 1.0, -1.0)[:, None]
    assert smoothing.discrepancy_bandwidth_m(t_m, straight, 1.0, 7.0) == pytest.approx(7.0)
    assert smoothing.discrepancy_bandwidth_m(t_m, zigzag, 1e-9, 7.0) == pytest.approx(1.25)


@pytest.mark.parametrize("sigma_m", [0.01, 0.1])
def test_the_best_bandwidth_is_best(sigma_m: float) -> None:
    """Neighbours of the best bandwidth have a larger sum of noise and loss: formulas of the docstrings."""
    d_m, radius_m, transition_m2 = 0.5, 250.0, 150.0

    def grade(h_m: float) -> float:
        return float(sigma_m**2 * d_m / (8.0 * np.sqrt(2.0) * h_m**3) + h_m**2 / (8.0 * radius_m**2))

    def bend(h_m: float) -> float:
        return float(sigma_m**2 * d_m / (8.0 * np.sqrt(2.0) * h_m**5) + h_m**2 / (8.0 * transition_m2**2))

    for error, best_m in (
        (grade, smoothing.best_for_slope_m(sigma_m, d_m, radius_m)),
        (bend, smoothing.best_for_curvature_m(sigma_m, d_m, transition_m2)),
    ):
        assert error(best_m) < min(error(0.95 * best_m), error(1.05 * best_m))


@pytest.mark.parametrize(("columns", "free_count"), [(1, 1), (2, 2)])
@pytest.mark.parametrize("uneven_m", [0.0, 2.0])
def test_scatter_is_the_noise_of_the_points(columns: int, free_count: int, uneven_m: float) -> None:
    rng = np.random.default_rng(2)
    t_m = 5.0 * np.arange(2000) + rng.uniform(-uneven_m, uneven_m, 2000)
    smooth = 20.0 * np.column_stack([np.sin(t_m / 90.0), np.cos(t_m / 70.0)])[:, :columns]
    noisy = smooth + rng.normal(0.0, 0.03, smooth.shape)
    assert smoothing.scatter_m(t_m, noisy, free_count) == pytest.approx(0.03, rel=0.07)


def test_too_few_points_show_no_scatter() -> None:
    t_m = np.arange(19.0)
    assert smoothing.scatter_m(t_m, np.random.default_rng(3).normal(size=(19, 1)), 1) == 0.0


@FIXED
@given(
    seed=st.integers(0, 10_000),
    spacing_m=st.sampled_from([1.0, 2.0, 5.0]),
    true_sigma_m=st.floats(0.001, 0.2),
    wave_m=st.floats(10.0, 200.0),
    sigma_m=st.floats(0.003, 0.2),
    more=st.floats(1.001, 4.0),
)
def test_more_noise_is_never_less_error(
    seed: int, spacing_m: float, true_sigma_m: float, wave_m: float, sigma_m: float, more: float
) -> None:
    """One set of points, declared less accurate: no standard error goes down, no bandwidth either."""
    rng = np.random.default_rng(seed)
    t_m = np.arange(0.0, 150.0, spacing_m)
    values_m = 0.3 * np.sin(2 * np.pi * t_m / wave_m)[:, None] + rng.normal(0.0, true_sigma_m, (t_m.size, 1))
    at_m = np.linspace(0.0, t_m[-1], 31)
    for best_m, used in ((slope_best(250.0, spacing_m), 1), (bend_best(150.0, spacing_m), 2)):
        before = smoothing.smooth(t_m, values_m, sigma_m, 1, best_m)
        after = smoothing.smooth(t_m, values_m, sigma_m * more, 1, best_m)
        assert after.bandwidth_m >= before.bandwidth_m * (1.0 - 1e-6)
        errors = zip(
            smoothing.noise_of_derivatives(before, at_m),
            smoothing.noise_of_derivatives(after, at_m),
            strict=True,
        )
        for less, greater in list(errors)[:used]:
            assert (greater >= less * (1.0 - 1e-6) - 1e-12).all()  # the bend is zero at the very ends


def test_points_that_scatter_more_than_declared_are_not_believed() -> None:
    rng = np.random.default_rng(4)
    t_m = np.arange(0.0, 1000.0, 5.0)
    values_m = rng.normal(0.0, 0.1, (t_m.size, 1))
    curve = smoothing.smooth(t_m, values_m, 0.01, 1, slope_best(250.0, 5.0))
    assert curve.sigma_m == pytest.approx(0.1, rel=0.15)


def test_inputs_are_not_changed() -> None:
    t_m, values_m = np.arange(0.0, 200.0, 5.0), np.random.default_rng(5).normal(size=(40, 1))
    kept = t_m.copy(), values_m.copy()
    curve = smoothing.smooth(t_m, values_m, 0.5, 1, slope_best(250.0, 5.0))
    smoothing.noise_of_derivatives(curve, t_m)
    assert (t_m == kept[0]).all()
    assert (values_m == kept[1]).all()
