"""Heading: clockwise from true north, towards."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from routes import heading, smoothing
from shared.arrays import Array


@pytest.mark.parametrize(
    ("east", "north", "expected"), [(0, 1, 0), (1, 0, 90), (0, -1, 180), (-1, 0, 270), (1, 1, 45)]
)
def test_the_compass(east: float, north: float, expected: float) -> None:
    assert heading.heading_deg(np.array([east]), np.array([north]))[0] == pytest.approx(expected)


def test_left_is_positive_and_the_short_way_is_taken() -> None:
    assert heading.turned_deg(np.array([10.0, 350.0, 300.0])) == pytest.approx(70.0)
    assert heading.turned_deg(np.array([350.0, 10.0, 40.0])) == pytest.approx(-50.0)
    assert heading.turned_deg(np.array([5.0])) == 0.0


def test_a_clothoid_turns_by_half_its_length_over_its_radius(
    clothoid_points: Callable[[float, float], Array], check_value: Callable[..., Any]
) -> None:
    """CLO-2: R 15, L 10; off the smooth curve through points every 0.1 m, up to 9 m: it grows as s^2."""
    points_m = clothoid_points(15.0, 10.0)
    s_m = np.linspace(0.0, 10.0, len(points_m))
    slope = smoothing.spline_of(s_m, points_m, 0.02).derivative(1)(s_m[:91])
    turned = heading.turned_deg(heading.heading_deg(slope[:, 0], slope[:, 1]))
    value = check_value("route_alignment", "CLO-2", "angle")
    assert np.radians(turned) == pytest.approx(0.9**2 * value.expected, abs=1e-5)
