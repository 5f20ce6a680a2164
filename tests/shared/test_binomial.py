"""Exact binomial bounds: scipy, worked values, laws."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binomtest

from shared.binomial import lower_bound_ratio, upper_bound_ratio


@pytest.mark.parametrize(("hit", "of"), [(0, 51), (0, 21), (3, 40), (39, 40), (40, 40), (1, 1)])
def test_equals_scipy(hit: int, of: int) -> None:
    """A one-sided bound at 95 % is the end of a two-sided interval at 90 %."""
    told = binomtest(hit, of).proportion_ci(0.90, method="exact")
    assert upper_bound_ratio(np.asarray(hit), np.asarray(of), 0.95) == pytest.approx(told.high, abs=1e-12)
    assert lower_bound_ratio(np.asarray(hit), np.asarray(of), 0.95) == pytest.approx(told.low, abs=1e-12)


def test_none_of_fifty_one_by_hand() -> None:
    """1 - 0.05^(1/51)."""
    assert upper_bound_ratio(np.asarray(0), np.asarray(51), 0.95) == pytest.approx(1.0 - 0.05 ** (1 / 51))


def test_nothing_tried_proves_nothing() -> None:
    assert upper_bound_ratio(np.asarray(0), np.asarray(0), 0.95) == 1.0
    assert lower_bound_ratio(np.asarray(0), np.asarray(0), 0.95) == 0.0


def test_unknown_stays_unknown() -> None:
    assert np.isnan(upper_bound_ratio(np.asarray(np.nan), np.asarray(10), 0.95))
    assert np.isnan(lower_bound_ratio(np.asarray(np.nan), np.asarray(0), 0.95))


@given(st.integers(0, 50), st.integers(1, 50))
@settings(max_examples=60, deadline=None)
def test_more_hits_raise_and_more_trials_lower_the_bound(hit: int, more: int) -> None:
    of = hit + more
    bound = upper_bound_ratio(np.asarray(hit), np.asarray(of), 0.95)
    assert bound <= upper_bound_ratio(np.asarray(hit + 1), np.asarray(of), 0.95)
    assert bound >= upper_bound_ratio(np.asarray(hit), np.asarray(of + 1), 0.95)
    assert lower_bound_ratio(np.asarray(hit), np.asarray(of), 0.95) <= hit / of <= bound
