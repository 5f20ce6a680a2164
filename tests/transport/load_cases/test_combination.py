"""From a range of pushes to a gust limit."""

import numpy as np
import pytest

from transport.load_cases.combination import Still, Wind, corners, gust_limit_mps, worst_push
from transport.load_cases.envelope import Envelope

ROUND = Envelope(np.array([0.2, 1.5]), np.full((2, 24), 100.0), np.full((2, 3), 1e9), 300.0)


def still(ahead: tuple[float, float] = (-20.0, 60.0), left: tuple[float, float] = (-10.0, 30.0)) -> Still:
    def pair(ends: tuple[float, float]) -> tuple[np.ndarray, np.ndarray]:
        return np.array([ends[0]]), np.array([ends[1]])

    return Still(pair(ahead), pair(left), np.array([290.0]))


def wind(ahead_m2: float, left_m2: float, lift_m2: float = 0.0) -> Wind:
    return Wind(np.array([[ahead_m2]]), np.array([[left_m2]]), lift_m2, np.zeros(3), 1.25)


def test_the_range_has_four_corners() -> None:
    assert sorted((float(a[0]), float(b[0])) for a, b in corners(still())) == [
        (-20, -10),
        (-20, 30),
        (60, -10),
        (60, 30),
    ]


def test_the_worst_corner_in_still_air() -> None:
    push = worst_push(ROUND, still())
    assert (push.ahead_kN, push.left_kN) == (pytest.approx([60.0]), pytest.approx([30.0]))
    assert push.use_ratio == pytest.approx(np.hypot(60, 30) / 100.0, rel=0.01)


def test_wind_along_a_direction_of_the_fan_by_hand() -> None:
    """q A = 100 - 60 kN at the limit: V = sqrt(2 40 kN / (rho A))."""
    limit = gust_limit_mps(ROUND, still(left=(0.0, 0.0)), wind(20.0, 0.0), highest_mps=80.0)
    assert limit[0, 0] == pytest.approx(np.sqrt(2 * 40_000 / (1.25 * 20.0)), abs=1e-3)


def test_the_mean_wind_of_a_gust_lets_the_gust_be_higher() -> None:
    gust = gust_limit_mps(ROUND, still(), wind(20.0, 5.0), highest_mps=200.0)
    mean = gust_limit_mps(ROUND, still(), wind(20.0, 5.0), highest_mps=200.0, gust_to_mean_ratio=1.4)
    assert mean == pytest.approx(1.4 * gust, rel=1e-4)


def test_closed_unknown_and_unlimited() -> None:
    assert gust_limit_mps(ROUND, still(ahead=(0.0, 120.0)), wind(1.0, 0.0), highest_mps=80.0) == 0.0
    assert np.isnan(gust_limit_mps(ROUND, still(ahead=(0.0, np.nan)), wind(1.0, 0.0), highest_mps=80.0)).all()
    assert np.isnan(gust_limit_mps(ROUND, still(), wind(np.nan, 0.0), highest_mps=80.0)).all()
    assert gust_limit_mps(ROUND, still(), wind(0.001, 0.0), highest_mps=80.0) == np.inf


def test_an_unknown_push_is_the_worst() -> None:
    assert np.isnan(worst_push(ROUND, still(left=(0.0, np.nan))).use_ratio).all()


def test_lift_unloads_the_pads() -> None:
    """Below the lowest vertical factor nothing is held: lift of 100 m2 takes 290 - 60 kN at q = 2.3 kPa."""
    limit = gust_limit_mps(ROUND, still((0.0, 0.0), (0.0, 0.0)), wind(0.0, 0.0, 100.0), highest_mps=100.0)
    assert limit[0, 0] == pytest.approx(np.sqrt(2 * 2300 / 1.25), abs=2e-3)
