"""Bins of chances: where an edge belongs, what an empty bin holds, what is refused."""

import numpy as np
import pytest

from shared.errors import OutOfRangeError
from transport.weather.skill.bins import EDGES_RATIO, bin_counts, bin_means, bin_of


def test_bins_are_fine_below_five_percent() -> None:
    assert EDGES_RATIO[EDGES_RATIO <= 0.05].tolist() == [0.0, 0.005, 0.01, 0.02, 0.035, 0.05]
    assert (np.diff(EDGES_RATIO) > 0.0).all()


def test_an_edge_belongs_to_the_bin_above_and_one_to_the_last() -> None:
    index = bin_of(np.array([0.0, 0.0049, 0.005, 1 / 20, 0.999, 1.0]), EDGES_RATIO)
    last = EDGES_RATIO.size - 2
    assert index.tolist() == [0, 0, 1, 5, last, last]


@pytest.mark.parametrize("members", [7, 20, 31, 50, 51])
def test_every_share_of_members_falls_where_its_fraction_lies(members: int) -> None:
    """k / m on an edge, as 1 / 20, must not slip into the bin below by a rounding."""
    shares = np.arange(members + 1) / members
    index = bin_of(shares, EDGES_RATIO)
    assert (EDGES_RATIO[index] <= shares).all()
    assert (shares[:-1] < EDGES_RATIO[index + 1][:-1]).all()


def test_an_empty_bin_is_unknown_never_zero() -> None:
    index = np.array([0, 0, 2])
    assert bin_counts(index, 4).tolist() == [2.0, 0.0, 1.0, 0.0]
    np.testing.assert_array_equal(bin_means(np.array([1.0, 0.0, 0.0]), index, 4), [0.5, np.nan, 0.0, np.nan])


@pytest.mark.parametrize("bad", [np.nan, -0.01, 1.01])
def test_what_is_no_chance_is_refused(bad: float) -> None:
    with pytest.raises(OutOfRangeError, match="lies outside 0 to 1, the edges of the bins"):
        bin_of(np.array([0.5, bad]), EDGES_RATIO)
