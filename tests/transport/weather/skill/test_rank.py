"""Rank histogram and spread: xskillscore, worked ties, laws."""

import numpy as np
import pytest
import xarray as xr
import xskillscore

from transport.weather.skill.rank import error_mps, rank_counts, spread_mps

RNG = np.random.default_rng(9)
MEMBERS = RNG.gamma(5.0, 2.0, (300, 12))
OBSERVED = RNG.gamma(5.0, 2.4, 300)


def test_equals_xskillscore() -> None:
    seen, told = xr.DataArray(OBSERVED, dims="case"), xr.DataArray(MEMBERS, dims=("case", "member"))
    theirs = xskillscore.rank_histogram(seen, told, dim="case", member_dim="member")
    np.testing.assert_allclose(rank_counts(MEMBERS, OBSERVED), theirs.values)


def test_ties_are_shared_evenly() -> None:
    """Two members equal to the observation, one above: below both, between, above both, each a third."""
    np.testing.assert_allclose(rank_counts(np.array([[4.0, 4.0, 9.0]]), np.array([4.0])), [1 / 3, 1 / 3, 1 / 3, 0.0])


def test_every_case_is_counted_once_whatever_the_order_of_the_members() -> None:
    still = np.where(MEMBERS < 6.0, 0.0, MEMBERS)
    counts = rank_counts(still, np.where(OBSERVED < 6.0, 0.0, OBSERVED))
    assert counts.sum() == pytest.approx(300)
    turned = rank_counts(still[:, ::-1], np.where(OBSERVED < 6.0, 0.0, OBSERVED))
    np.testing.assert_allclose(counts, turned)


def test_spread_equals_error_for_members_and_truth_of_one_distribution() -> None:
    """Then the mean square error of the mean is (m + 1) / m of the variance: simulated, no library."""
    draws = np.random.default_rng(10).normal(10.0, 2.0, (200_000, 6))
    members, truth = draws[:, :5], draws[:, 5]
    spread = spread_mps(members.var(axis=1, ddof=1), 5.0)
    assert spread == pytest.approx(float(error_mps(members.mean(axis=1), truth)), rel=0.01)


def test_one_member_has_no_spread() -> None:
    assert np.isnan(spread_mps(np.full(3, np.nan), 1.0))
