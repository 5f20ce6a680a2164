"""From a range of pushes to a gust limit."""

import numpy as np
import pytest

from transport.load_cases.combination import Still, Wind, corners, gust_limit_mps, worst_push
from transport.load_cases.envelope import Envelope
from transport.load_cases.polytope import facets

ROUND = facets(Envelope(np.array([0.2, 1.5]), np.full((2, 24), 100.0), np.full((2, 3), 1e9), 300.0))


def still(ahead: tuple[float, float] = (-20.0, 60.0), left: tuple[float, float] = (-10.0, 30.0)) -> Still:
    def pair(ends: tuple[float, float]) -> tuple[np.ndarray, np.ndarray]:
        return np.array([ends[0]]), np.array([ends[1]])

    return Still(pair(ahead), pair(left), np.array([290.0]))


def wind(ahead_m2: float, left_m2: float, lift_m2: float = 0.0) -> Wind:
    return Wind(np.array([[ahead_m2]]), np.array([[left_m2]]), lift_m2, np.zeros(3), 1.25)


def gust(still: Still, wind: Wind, gust_to_mean_ratio: float = 1.0) -> np.ndarray:
    return gust_limit_mps(ROUND, corners(still), wind, gust_to_mean_ratio=gust_to_mean_ratio)


def test_each_quadrant_has_its_corner_of_the_range() -> None:
    found = corners(still())
    pairs = list(zip(found.ahead_kN.ravel().tolist(), found.left_kN.ravel().tolist(), strict=True))
    assert pairs == [(60, 30), (-20, 30), (-20, -10), (60, -10)]
    assert found.carried_kN.tolist() == [[290.0]]


def test_the_worst_corner_in_still_air() -> None:
    push = worst_push(ROUND, corners(still()))
    assert (push.ahead_kN, push.left_kN) == (pytest.approx([60.0]), pytest.approx([30.0]))
    assert push.use_ratio == pytest.approx(np.hypot(60, 30) / 100.0, rel=0.01)


def test_wind_along_a_direction_of_the_fan_by_hand() -> None:
    """q A = 100 - 60 kN at the limit: V = sqrt(2 40 kN / (rho A))."""
    limit = gust(still(left=(0.0, 0.0)), wind(20.0, 0.0))
    assert limit[0, 0] == pytest.approx(np.sqrt(2 * 40_000 / (1.25 * 20.0)))


def test_the_wind_turns_by_its_arms_by_hand() -> None:
    """M = (z Y + y L, z X + x L, x Y + y X) against (9, 4, 2) kNm: no push is taken up, only moments."""
    inside = facets(Envelope(np.array([0.2, 1.5]), np.full((2, 24), 1e9), np.tile([9.0, 4.0, 2.0], (2, 1)), 1e9))
    blow = Wind(np.array([[-10.0]]), np.array([[20.0]]), 5.0, np.array([0.1, 0.05, 0.4]), 1.25)
    none = Still((np.zeros(1), np.zeros(1)), (np.zeros(1), np.zeros(1)), np.array([1e9]))
    use = (0.4 * 20 + 0.05 * 5) / 9.0 + (0.4 * 10 + 0.1 * 5) / 4.0 + (0.1 * 20 + 0.05 * 10) / 2.0
    assert gust_limit_mps(inside, corners(none), blow)[0, 0] == pytest.approx(np.sqrt(2e3 / use / 1.25), rel=1e-6)


def test_the_mean_wind_of_a_gust_lets_the_gust_be_higher() -> None:
    assert gust(still(), wind(20.0, 5.0), 1.4) == pytest.approx(1.4 * gust(still(), wind(20.0, 5.0)))


def test_closed_unknown_and_unlimited() -> None:
    assert gust(still(ahead=(0.0, 120.0)), wind(1.0, 0.0)) == 0.0
    assert np.isnan(gust(still(ahead=(0.0, np.nan)), wind(1.0, 0.0))).all()
    assert np.isnan(gust(still(), wind(np.nan, 0.0))).all()
    assert gust(still(), wind(0.0, 0.0)) == np.inf
    assert gust(still(), wind(0.001, 0.0)) == pytest.approx(np.sqrt(2e3 * 25_000 / 1.25), rel=0.5)


def test_an_unknown_push_is_the_worst() -> None:
    assert np.isnan(worst_push(ROUND, corners(still(left=(0.0, np.nan)))).use_ratio).all()


def test_lift_unloads_the_pads() -> None:
    """Below the lowest vertical factor nothing is held: lift of 100 m2 takes 290 - 60 kN at q = 2.3 kPa."""
    limit = gust(still((0.0, 0.0), (0.0, 0.0)), wind(0.0, 0.0, 100.0))
    assert limit[0, 0] == pytest.approx(np.sqrt(2 * 2300 / 1.25))
