"""Curvature and radius, circles through points, the list of bends."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from scipy.special import fresnel

from routes import bends, smoothing
from shared.arrays import Array

CheckValue = Callable[[str, str, str], Any]


def arc(radius_m: float, turn_deg: float, count: int) -> Array:
    angle = np.radians(np.linspace(0.0, turn_deg, count))
    return radius_m * np.column_stack([np.cos(angle), np.sin(angle)])


def test_the_integrals_of_fresnel(check_value: CheckValue) -> None:
    """CLO-1: the library gives (S, C) in this order, of pi t^2 / 2."""
    for found, quantity in zip(fresnel(1.0), ("fresnel_s", "fresnel_c"), strict=True):
        value = check_value("route_alignment", "CLO-1", quantity)
        assert found == pytest.approx(value.expected, abs=value.tolerance)


def test_the_ends_of_clothoids(
    clothoid_points: Callable[[float, float], Array], check_value: CheckValue
) -> None:
    """CLO-2 and CLO-3: the points that the other tests are built from."""
    short, long = clothoid_points(15.0, 10.0)[-1], clothoid_points(300.0, 100.0)[-1]
    shift = short[1] - 15.0 * (1.0 - np.cos(10.0 / 30.0))
    for found, identity, quantity in (
        (short[0], "CLO-2", "x"),
        (short[1], "CLO-2", "y"),
        (shift, "CLO-2", "shift"),
        (long[0], "CLO-3", "x"),
        (long[1], "CLO-3", "y"),
    ):
        value = check_value("route_alignment", identity, quantity)
        assert found == pytest.approx(value.expected, abs=value.tolerance)


def test_the_curvature_of_a_clothoid_grows_with_its_length(
    clothoid_points: Callable[[float, float], Array],
) -> None:
    """kappa = s / A^2, A^2 = R L."""
    s_m = np.linspace(0.0, 10.0, 101)
    plan = smoothing.spline_of(s_m, clothoid_points(15.0, 10.0), 0.02)
    at_m = np.array([2.0, 5.0, 8.0])
    found = bends.curvature_per_m(plan.derivative(1)(at_m), plan.derivative(2)(at_m))
    assert found == pytest.approx(at_m / 150.0, rel=1e-3)


def test_noise_of_curvature(check_value: CheckValue) -> None:
    """NOI-2, and by least squares of a parabola."""
    for base_m, quantity in ((10.0, "curvature_se_n11"), (2.0, "curvature_se_n3")):
        value = check_value("route_noise", "NOI-2", quantity)
        found = bends.noise_of_curvature(0.02, 1.0, base_m)
        assert found == pytest.approx(value.expected, abs=value.tolerance)
    design = np.vander(np.arange(11.0) - 5.0, 3)
    spread = 2.0 * 0.02 * np.sqrt(np.linalg.inv(design.T @ design)[0, 0])
    assert bends.noise_of_curvature(0.02, 1.0, 10.0) == pytest.approx(spread)


def test_two_points_know_no_curvature() -> None:
    assert bends.noise_of_curvature(0.02, 10.0, 15.0) == np.inf


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_left_is_positive(sign: float) -> None:
    angle = sign * np.linspace(0.0, 1.0, 5)
    slope = np.column_stack([-np.sin(angle), np.cos(angle)])
    bend = np.column_stack([np.cos(angle), np.sin(angle)]) * -sign / 20.0
    assert bends.curvature_per_m(slope, bend) == pytest.approx(np.full(5, sign / 20.0))


def test_the_circle_through_exact_points() -> None:
    circle = bends.circle_through(arc(15.0, 140.0, 9) + np.array([500_000.0, 5_700_000.0]), 0.02)
    assert circle.radius_m == pytest.approx(15.0, abs=1e-6)


def test_the_standard_error_of_the_radius_is_its_spread() -> None:
    """Monte Carlo: 400 noisy arcs of 140 degrees."""
    rng = np.random.default_rng(7)
    exact = arc(15.0, 140.0, 9)
    found = [bends.circle_through(exact + rng.normal(0.0, 0.05, exact.shape), 0.05) for _ in range(400)]
    radius = np.array([circle.radius_m for circle in found])
    assert np.std(radius) == pytest.approx(np.mean([circle.radius_se_m for circle in found]), rel=0.12)
    assert np.mean(radius) == pytest.approx(15.0, abs=0.02)


def test_too_few_points_make_no_circle() -> None:
    assert np.isnan(bends.circle_through(arc(15.0, 90.0, 3), 0.02)).all()


def test_the_radius_to_design_for() -> None:
    nothing = bends.Circle(np.nan, np.nan)
    assert bends.smallest_radius_m(14.0, nothing) == 14.0
    assert bends.smallest_radius_m(14.0, bends.Circle(15.0, 0.1)) == 14.0
    assert bends.smallest_radius_m(14.0, bends.Circle(15.0, 1.0)) == pytest.approx(13.36)
    assert bends.smallest_radius_m(14.0, bends.Circle(15.0, 20.0)) == 0.0


def test_runs() -> None:
    assert bends.runs(np.array([True, True, False, True])) == [(0, 1), (3, 3)]
    assert bends.runs(np.zeros(3, dtype=bool)) == []


def test_mean_radius_is_length_over_angle() -> None:
    assert bends.mean_radius_m(np.pi * 15.0, 180.0) == pytest.approx(15.0)
    assert bends.mean_radius_m(100.0, -180.0) == pytest.approx(100.0 / np.pi)
    assert bends.mean_radius_m(100.0, 0.0) == np.inf


def listed(curvature_per_m: Array, **limits: float) -> list[bends.Bend]:
    station_m = np.arange(0.0, 5.0 * curvature_per_m.size, 5.0)
    heading_deg = -np.degrees(np.concatenate([[0.0], np.cumsum(curvature_per_m[1:] * 5.0)])) % 360.0
    points = (station_m, np.zeros((station_m.size, 2)), 0.02)
    return bends.listed(
        station_m, heading_deg, curvature_per_m, points, **({"limit_m": 60.0, "least_deg": 20.0} | limits)
    )


def test_bends_are_listed_in_order_with_their_sense() -> None:
    curvature = np.zeros(60)
    curvature[10:16] = -1.0 / 20.0
    curvature[30:36] = 1.0 / 30.0
    curvature[50] = 1.0 / 30.0  # turns by 10 degrees only
    right, left = listed(curvature)
    assert (right.first, right.last) == (10, 15)
    assert right.turned_deg < -80.0
    assert left.turned_deg > 50.0


def test_unknown_curvature_is_no_bend() -> None:
    assert listed(np.full(20, np.nan)) == []
