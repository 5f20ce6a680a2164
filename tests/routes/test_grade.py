"""Grade over short and long bases, and the deck over a crest: published and derived check values."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from routes import grade, smoothing

FIXED = settings(derandomize=True, deadline=None, max_examples=30)
CheckValue = Callable[[str, str, str], Any]


def crest(station_m: np.ndarray) -> np.ndarray:
    """+12 % to -4 % by a parabola of 40 m that begins at station 100."""
    s = station_m - 100.0
    curve = 0.12 * s - s**2 / 500.0
    return np.where(s < 0.0, 0.12 * s, np.where(s > 40.0, 1.6 - 0.04 * (s - 40.0), curve))


def test_noise_of_a_base(check_value: CheckValue) -> None:
    """NOI-1, and the same by least squares: sigma over the root of the sum of squares about the middle."""
    value = check_value("route_noise", "NOI-1", "grade_se_percent")
    found = grade.noise_of_base(0.02, 1.0, 10.0)
    assert 100.0 * found == pytest.approx(value.expected, abs=value.tolerance)
    assert found == pytest.approx(0.02 / np.sqrt(np.sum((np.arange(11) - 5.0) ** 2)))


def test_best_base(check_value: CheckValue) -> None:
    """NOI-3, and that the neighbours are worse."""
    value = check_value("route_noise", "NOI-3", "best_base")
    base_m = grade.best_base_m(0.02, 1.0, 250.0)
    assert base_m == pytest.approx(value.expected, abs=value.tolerance)

    def error(base: float) -> float:
        return float(np.hypot(0.02 * np.sqrt(12.0 / base**3), 3.0 * base / 8000.0))

    assert error(base_m) == pytest.approx(grade.error_over_best_base(0.02, 1.0, 250.0))
    assert error(base_m) < min(error(0.9 * base_m), error(1.1 * base_m))


@pytest.mark.parametrize(
    ("sigma_m", "spacing_m", "radius_m", "base_m", "error_percent"),
    [
        (0.02, 1, 250, 8.7, 0.42),
        (0.02, 1, 1000, 15.2, 0.18),
        (0.5, 1, 250, 31.7, 1.53),
        (2, 5, 250, 76.1, 3.69),
    ],
)
def test_table_of_best_bases(
    sigma_m: float, spacing_m: float, radius_m: float, base_m: float, error_percent: float
) -> None:
    """Own arithmetic of the rule, to its printed digits."""
    assert grade.best_base_m(sigma_m, spacing_m, radius_m) == pytest.approx(base_m, abs=0.05)
    found = grade.error_over_best_base(sigma_m, spacing_m, radius_m)
    assert 100.0 * found == pytest.approx(error_percent, abs=0.006)


def test_a_vertical_curve(check_value: CheckValue) -> None:
    """VC-1: radius and K from the rise over 12 m, offset from that over the curve, summit from the grade."""
    station_m = np.arange(0.0, 240.5, 0.5)
    rise_m = grade.deck_rise_m(station_m, crest(station_m), 12.0)
    radius_m = 12.0**2 / (8.0 * rise_m[station_m == 120.0][0])
    for found, quantity in (
        (radius_m, "radius"),
        (radius_m / 100.0, "k_m_per_percent"),
        (
            grade.deck_rise_m(station_m, crest(station_m), 40.0)[station_m == 120.0][0],
            "offset_at_intersection",
        ),
        (crest(np.array([130.0]))[0], "summit_above_start"),
    ):
        value = check_value("route_alignment", "VC-1", quantity)
        assert found == pytest.approx(value.expected, abs=1e-9)
    slope = grade.grade_over_base(station_m, crest(station_m), 4.0)
    value = check_value("route_alignment", "VC-1", "summit_after_start")
    assert np.interp(0.0, -slope, station_m) - 100.0 == pytest.approx(value.expected, abs=1e-9)
    smooth = smoothing.spline_of(station_m, crest(station_m), 0.1).derivative(1)
    assert smooth(130.0) == pytest.approx(0.0, abs=1e-6)


def test_the_deck_on_a_round_crest(check_value: CheckValue) -> None:
    """VC-2: L^2 / (8 R)."""
    station_m = np.arange(0.0, 60.5, 0.5)
    value = check_value("route_alignment", "VC-2", "rise")
    found = grade.deck_rise_m(station_m, -((station_m - 30.0) ** 2) / 500.0, 12.0)
    assert found[station_m == 30.0][0] == pytest.approx(value.expected, abs=value.tolerance)


def test_the_low_clearance_vehicle_hangs_up_where_published(check_value: CheckValue) -> None:
    """VC-3: wheelbase 36 ft, clearance 5 in: the grade change at which the rise reaches the clearance."""
    foot_m, inch_m = 0.3048, 0.0254
    station_m = 36.0 * foot_m * np.linspace(-1.0, 1.0, 401)
    rise_m = [
        grade.deck_rise_m(station_m, -np.abs(station_m) * change / 200.0, 36.0 * foot_m)[200]
        for change in (4.0, 5.0)
    ]
    found = 4.0 + (5.0 * inch_m - rise_m[0]) / (rise_m[1] - rise_m[0])
    value = check_value("route_alignment", "VC-3", "grade_change_percent")
    assert found == pytest.approx(value.expected, abs=value.tolerance)


def test_near_the_ends_the_rise_is_unknown() -> None:
    station_m = np.arange(0.0, 101.0, 5.0)
    found = grade.deck_rise_m(station_m, 0.1 * station_m, 12.0)
    assert np.isnan(found[[0, 1, -2, -1]]).all()
    assert found[2:-2] == pytest.approx(0.0, abs=1e-12)


@FIXED
@given(slope=st.floats(-0.2, 0.2), length_m=st.floats(30.0, 900.0), base_m=st.floats(20.0, 100.0))
def test_an_even_grade_is_its_own_long_base(slope: float, length_m: float, base_m: float) -> None:
    station_m = np.linspace(0.0, length_m, max(3, round(length_m / 5.0)))
    found = grade.grade_over_base(station_m, 1900.0 + slope * station_m, base_m)
    assert found == pytest.approx(slope, abs=1e-9)


def test_the_long_base_is_a_least_squares_line() -> None:
    """Cross-check with numpy.polyfit."""
    rng = np.random.default_rng(6)
    station_m = np.arange(0.0, 301.0, 5.0)
    elevation_m = 2000.0 + 0.08 * station_m + rng.normal(0.0, 0.3, station_m.size)
    found = grade.grade_over_base(station_m, elevation_m, 50.0)
    for index in (0, 2, 30, station_m.size - 1):
        near = np.abs(station_m - station_m[index]) <= 25.0
        assert found[index] == pytest.approx(np.polyfit(station_m[near], elevation_m[near], 1)[0])


@FIXED
@given(sigma_m=st.floats(0.001, 3.0), more=st.floats(1.01, 10.0), spacing_m=st.floats(0.5, 20.0))
def test_more_noise_and_fewer_points_are_never_better(sigma_m: float, more: float, spacing_m: float) -> None:
    for error in (grade.noise_of_base, grade.error_over_best_base):
        assert error(sigma_m * more, spacing_m, 250.0) > error(sigma_m, spacing_m, 250.0)
        assert error(sigma_m, spacing_m * more, 250.0) > error(sigma_m, spacing_m, 250.0) * (1.0 - 1e-9)
