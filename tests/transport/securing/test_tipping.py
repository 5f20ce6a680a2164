"""Tipping balances against hand calculation."""

from collections.abc import Callable

import numpy as np
import pytest

from transport.securing import tipping
from transport.securing.chains import pull_ratio

Expected = Callable[[str], dict]
SQUARE = np.array([(1.0, 1.0, 0.0), (1.0, -1.0, 0.0), (-1.0, 1.0, 0.0), (-1.0, -1.0, 0.0)])
AHEAD = np.array([[1.0, 0.0]])


def test_the_load_alone(expected: Expected) -> None:
    check = expected("balances")["CV12"]
    assert tipping.overturning_ratio(0.6, 1.8, 1.25) == pytest.approx(check.expected, abs=check.tolerance)


@pytest.mark.parametrize(("key", "acceleration", "tension_kN"), [("CV08a", 0.5, 4.0), ("CV08b", 0.6, 8.0)])
def test_top_over(expected: Expected, key: str, acceleration: float, tension_kN: float) -> None:
    check = expected("balances")[key]
    steep = np.sin(np.deg2rad(85.0))
    count = tipping.top_over_count(98.1, acceleration * 1.6 - 0.6, 1.2, steep, tension_kN, 1.1)
    assert count == pytest.approx(check.expected, abs=check.tolerance)


def test_one_sided_tensioner_has_an_angle_without_answer(expected: Expected) -> None:
    angle_deg = expected("balances")["CV09"].expected

    def count(deg: float) -> float:
        steep = float(np.sin(np.deg2rad(deg)))
        return tipping.top_over_count(98.1, 0.2, 1.2, steep, 4.0, 1.1, height_m=2.0, tensioner_ratio=1.5)

    assert count(angle_deg - 0.001) == np.inf
    assert 1e4 < count(angle_deg + 0.001) < np.inf


def test_two_sided_tension_needs_no_height() -> None:
    """EN 12195-1:2010 with k = 2 is the plain formula."""
    both = tipping.top_over_count(98.1, 0.2, 1.2, 0.9, 4.0, 1.1, height_m=2.0, tensioner_ratio=2.0)
    assert both == pytest.approx(98.1 * 0.2 * 1.1 / (4.0 * 1.2 * 0.9))


def test_outline_goes_round_the_pads_with_normals_outwards() -> None:
    edge_m, outward = tipping.outline_m(np.vstack([SQUARE, [[0.0, 0.0, 0.0]]]))
    assert len(edge_m) == 4
    assert np.einsum("ei,ei->e", edge_m[:, :2], outward) == pytest.approx(np.ones(4))
    assert sorted(map(tuple, np.round(outward, 9) + 0.0)) == [(-1, 0), (0, -1), (0, 1), (1, 0)]


def test_tipping_without_and_with_chains(expected: Expected) -> None:
    """T3a: W b / d. T3b: two chains over the rear edge hold the front edge with the arm 12 / sqrt 13."""
    values = expected("equilibrium")
    edge_m, outward = tipping.outline_m(SQUARE)
    on_load_m, on_deck_m = np.array([(-1.0, 1, 3), (-1, -1, 3)]), np.array([(-3.0, 1, 0), (-3, -1, 0)])
    arm_m = tipping.restoring_arm_m(pull_ratio(on_load_m, on_deck_m), on_load_m, edge_m, outward)
    front = int(np.argmax(outward[:, 0]))
    assert arm_m[front] == pytest.approx(np.full(2, 12.0 / np.sqrt(13.0)))
    centre_m, weight_kN = np.array([[0.0, 0.0, 2.0]]), np.array([100.0])
    for key, tension_kN in (("T3a", 0.0), ("T3b", 10.0)):
        holding = (np.full(2, tension_kN) @ np.maximum(arm_m, 0.0).T)[None]
        held = tipping.resistance_kN(centre_m, AHEAD, edge_m, outward, weight_kN, holding)
        assert held == pytest.approx(np.array([[values[key].expected]]), rel=1e-6)


def test_a_load_on_the_deck_plane_cannot_tip() -> None:
    edge_m, outward = tipping.outline_m(SQUARE)
    centre_m = np.array([[0.0, 0.0, 1e-300]])
    held = tipping.resistance_kN(centre_m, AHEAD, edge_m, outward, np.array([100.0]), np.zeros((1, 4)))
    assert held > 1e100


def test_inside_and_outside_of_the_outline() -> None:
    points = np.array([(0.0, 0.0, 5.0), (0.9, 0.0, 0.0), (1.5, 0.0, 0.0)])
    assert tipping.inside_m(SQUARE, points) == pytest.approx([1.0, 0.1, -0.5])


@pytest.mark.parametrize(("points", "flat"), [(SQUARE, False), (SQUARE[:3], False), (SQUARE * [1, 0, 1], True)])
def test_pads_in_a_line_are_known(points: np.ndarray, flat: bool) -> None:
    assert tipping.on_one_line(points) is flat
