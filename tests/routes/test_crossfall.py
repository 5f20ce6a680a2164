"""Crossfall and widths: interpolated, the narrower of two, unknown where a neighbour is."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from routes import crossfall

POINTS = np.array([0.0, 10.0, 20.0, 30.0])


def test_between_points_is_linear_and_unknown_next_to_unknown() -> None:
    found = crossfall.between_points(
        np.array([0.0, 5.0, 10.0, 15.0, 25.0]), POINTS, np.array([0.0, 0.04, np.nan, 0.0])
    )
    assert found[:3].tolist() == [0.0, 0.02, 0.04]
    assert np.isnan(found[3:]).all()


def test_the_narrower_of_two_neighbours_holds() -> None:
    width_m = np.array([3.0, 4.0, 2.5, np.nan])
    found = crossfall.narrower_of_neighbours(
        np.array([0.0, 5.0, 10.0, 15.0, 20.0, 25.0, 30.0]), POINTS, width_m
    )
    assert found[:5].tolist() == [3.0, 3.0, 4.0, 2.5, 2.5]
    assert np.isnan(found[5:]).all()


@settings(derandomize=True, deadline=None, max_examples=50)
@given(
    width_m=st.lists(st.floats(0.0, 9.0), min_size=4, max_size=4),
    station_m=st.floats(0.0, 30.0),
    index=st.integers(0, 3),
    less_m=st.floats(0.0, 5.0),
)
def test_a_narrower_point_never_gives_a_wider_road(
    width_m: list[float], station_m: float, index: int, less_m: float
) -> None:
    before = np.array(width_m)
    after = before.copy()
    after[index] -= less_m
    at = np.array([station_m])
    wide = crossfall.narrower_of_neighbours(at, POINTS, before)
    assert (
        crossfall.narrower_of_neighbours(at, POINTS, after)[0]
        <= wide[0]
        <= np.interp(station_m, POINTS, before)
    )


def test_the_error_of_a_crossfall_from_two_edges() -> None:
    """sqrt(2) sigma / width: 0.02 m on both edges of 4 m is 0.71 %."""
    found = crossfall.crossfall_se(0.02, np.array([4.0, np.nan, 0.0]), 3.0)
    assert found == pytest.approx(np.sqrt(2.0) * 0.02 / np.array([4.0, 3.0, 3.0]))


def test_the_nearest_point() -> None:
    assert crossfall.nearest_point(np.array([0.0, 4.9, 5.1, 24.9, 30.0]), POINTS).tolist() == [0, 0, 1, 2, 3]
