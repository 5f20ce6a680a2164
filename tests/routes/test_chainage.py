"""Station: arc length of the smooth curve, and back."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from routes import chainage, smoothing


def test_the_length_of_the_switchback(
    switchback: Callable[[float], Any], check_value: Callable[..., Any]
) -> None:
    """CLO-4: arc length of a curve through points every half metre."""
    road = switchback(0.5)
    plan = smoothing.spline_of(road.s_m, road.plan_m, 0.01)
    value = check_value("route_alignment", "CLO-4", "length")
    found = chainage.length_at_points_m(plan, road.s_m)
    assert found[-1] == pytest.approx(value.expected, abs=value.tolerance)
    assert found == pytest.approx(road.s_m, abs=value.tolerance)


def test_a_circle_has_its_length() -> None:
    """Half a circle of 50 m through points whose running length is not their distance: 50 pi."""
    t_m = np.linspace(0.0, 1.0, 200)
    circle = 50.0 * np.column_stack([np.cos(np.pi * t_m), np.sin(np.pi * t_m)])
    plan = smoothing.spline_of(t_m, circle, 1e-4)
    assert chainage.length_at_points_m(plan, t_m)[-1] == pytest.approx(50.0 * np.pi, rel=1e-6)


def test_stations_reach_from_end_to_end_and_are_even() -> None:
    found = chainage.even_stations_m(6403.0, 5.0)
    assert (found[0], found[-1]) == (0.0, 6403.0)
    assert np.diff(found) == pytest.approx(np.full(found.size - 1, 5.0), abs=0.01)
    assert chainage.even_stations_m(2.0, 5.0).tolist() == [0.0, 2.0]


@pytest.mark.parametrize("step_m", [0.7, 5.0, 23.0])
def test_there_and_back(switchback: Callable[[float], Any], step_m: float) -> None:
    """The arc length up to the running length found for a station is the station."""
    road = switchback(5.0)
    t_m = road.s_m**1.1
    plan = smoothing.spline_of(t_m, road.plan_m, 0.5)
    length_m = float(chainage.length_at_points_m(plan, t_m)[-1])
    station_m = chainage.even_stations_m(length_m, step_m)
    at_m = chainage.running_length_at(plan, t_m, station_m)
    assert (np.diff(at_m) > 0.0).all()
    fine = np.linspace(0.0, 1.0, 400)
    for at, station in zip(at_m, station_m, strict=True):
        speed = np.linalg.norm(plan.derivative(1)(at * fine), axis=1)
        assert np.trapezoid(speed, at * fine) == pytest.approx(station, abs=0.02)
