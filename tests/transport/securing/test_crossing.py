"""Chains that run through the unit, and those that leave on their own side; intersections checked with shapely."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import LineString, MultiPoint

from transport.securing.crossing import crossing_height_m

PADS: Any = np.array([(2.2 * x, 1.1 * y, 0.0) for x in (1, -1) for y in (1, -1)])
AWAY = [
    ((2.4, 1.0, 0.8), (4.4, 1.4, 0.0)),  # flared corner
    ((2.4, 1.0, 0.8), (4.4, -1.4, 0.0)),  # crossed before the unit
    ((1.2, 0.7, 1.0), (1.2, 1.4, 0.0)),  # pure side chain from inside the outline
    ((2.4, 1.0, 0.8), (-4.4, 1.4, 0.0)),  # along the side
    ((0.0, 0.0, 1.0), (4.4, 1.4, 0.0)),  # from a lug in the middle
    ((-0.3, 0.0, 1.0), (4.4, 0.0, 0.0)),  # from a lug a little behind the middle
    ((3.0, 2.0, 1.0), (4.4, 1.4, 0.0)),  # never over the pads
    ((-2.4, -1.0, 0.8), (1.0, 0.5, 0.0)),  # anchor under the unit: another fault
]
THROUGH = [
    ((-2.4, -1.0, 0.8), (4.4, 1.4, 0.0), 0.8 * (1 - 2.4 / 6.8)),  # corner to far corner: middle at x = 0
    ((0.0, -1.0, 0.8), (0.0, 1.4, 0.0), 0.8 * (1 - 1.0 / 2.4)),  # side to far side
    ((-2.0, 0.0, 2.0), (4.0, 0.0, 0.0), 2.0 * (1 - 2.0 / 6.0)),
]


@pytest.mark.parametrize(("on_load_m", "on_deck_m"), AWAY)
def test_chains_on_their_own_side(on_load_m: tuple[float, ...], on_deck_m: tuple[float, ...]) -> None:
    assert crossing_height_m(np.array(on_load_m), np.array(on_deck_m), PADS) == np.inf


@pytest.mark.parametrize(("on_load_m", "on_deck_m", "height_m"), THROUGH)
def test_chains_through_the_unit(on_load_m: tuple[float, ...], on_deck_m: tuple[float, ...], height_m: float) -> None:
    """Height by similar triangles."""
    assert crossing_height_m(np.array(on_load_m), np.array(on_deck_m), PADS) == pytest.approx(height_m)


PLACE = st.tuples(st.floats(-6, 6), st.floats(-3, 3))


@given(PLACE, PLACE)
def test_a_run_that_misses_the_outline_never_crosses(start: tuple[float, float], end: tuple[float, float]) -> None:
    """Reference library: shapely. A run that does not cut the outline, or whose anchor is inside, crosses nothing."""
    outline, run = MultiPoint(PADS[:, :2]).convex_hull, LineString([start, end])
    height_m = crossing_height_m(np.array([*start, 1.0]), np.array([*end, 0.0]), PADS)
    if not outline.intersects(run) or outline.contains(MultiPoint([end])):
        assert height_m == np.inf
    if np.isfinite(height_m):
        assert outline.buffer(1e-9).intersection(run).length >= 0.25 * 1.1 * (1 - 1e-9)
        assert 0.0 <= height_m <= 1.0


@given(PLACE, PLACE, st.floats(0.0, 2 * np.pi))
def test_a_turned_scheme_crosses_alike(start: tuple[float, float], end: tuple[float, float], angle_rad: float) -> None:
    cosine, sine = np.cos(angle_rad), np.sin(angle_rad)
    turn = np.array([[cosine, -sine, 0.0], [sine, cosine, 0.0], [0.0, 0.0, 1.0]])
    ends_m = np.array([[*start, 1.0], [*end, 0.0]])
    found = [crossing_height_m(*(ends_m @ by.T), PADS @ by.T) for by in (np.eye(3), turn)]
    if np.isfinite(found).all():
        assert found[0] == pytest.approx(found[1], abs=1e-6)
