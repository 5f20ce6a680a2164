"""Bilinear weights: sums, edges, agreement with scipy, refusal outside."""

import numpy as np
import pytest
from scipy.interpolate import RegularGridInterpolator

from shared.errors import OutOfRangeError
from transport.weather import space

GRID = np.linspace(-21.6, -21.1, 6), np.linspace(-38.7, -38.3, 5)


def places(count: int) -> tuple[np.ndarray, np.ndarray]:
    rng = np.random.default_rng(1)
    return rng.uniform(-21.6, -21.1, count), rng.uniform(-38.7, -38.3, count)


def test_shares_sum_to_one_within_rounding() -> None:
    share = space.shares(*places(400), *GRID)
    assert np.abs(share.sum(axis=1) - 1.0).max() <= 2.3e-16
    assert share.min() >= 0.0


def test_same_as_the_interpolator_of_scipy() -> None:
    place = places(400)
    nodes = np.random.default_rng(2).uniform(0.0, 30.0, (3, 4, 5, 6)).astype("f4")
    matrix = space.weights(space.shares(*place, *GRID), space.cells(*place, *GRID), 30)
    ours = space.interpolated(matrix, nodes.reshape(3, 4, 30)).reshape(400, 3, 4)
    theirs = RegularGridInterpolator((GRID[1], GRID[0]), nodes.transpose(2, 3, 0, 1))(
        np.stack([place[1], place[0]], axis=1)
    )
    np.testing.assert_allclose(ours, theirs, atol=1e-4)
    assert ours.dtype == np.float32


def test_corners_and_edges_are_inside() -> None:
    corner = np.array([GRID[0][0], GRID[0][-1]]), np.array([GRID[1][-1], GRID[1][0]])
    assert space.inside(*corner, *GRID).all()
    assert space.shares(*corner, *GRID).max(axis=1).tolist() == [1.0, 1.0]


@pytest.mark.parametrize("place", [(-21.61, -38.5), (-21.3, -38.29), (np.nan, -38.5)])
def test_outside_is_an_error(place: tuple[float, float]) -> None:
    with pytest.raises(OutOfRangeError, match=r"lies outside the grid -21.6 to -21.1 E, -38.7 to -38.3 N"):
        space.shares(np.array(place[:1]), np.array(place[1:]), *GRID)
