"""The fitted factor on a limit."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from transport.window.fitted_factor import lessened_mps, shown_factor

LIMITS = st.one_of(st.floats(0.0, 60.0), st.just(np.inf))


def test_it_is_the_limit_times_alpha() -> None:
    """z = 1.645 and sigma = 2 m/s at a limit of 15 m/s: 11.71 m/s (marine operations practice, memory)."""
    assert float(lessened_mps(np.asarray(15.0), np.asarray(1.645 * 2.0))) == pytest.approx(11.71)


def test_it_is_never_more_than_the_greatest_share_and_never_below_zero() -> None:
    """0.95 is the greatest factor (practice)."""
    found = lessened_mps(np.array([15.0, 15.0, 3.0, 0.0, np.inf]), np.array([0.1, 0.75, 4.0, 1.0, 2.0]))
    assert found.tolist() == [14.25, 14.25, 0.0, 0.0, np.inf]


def test_unknown_stays_unknown() -> None:
    assert np.isnan(lessened_mps(np.array([15.0, np.nan, np.inf]), np.array([np.nan, 1.0, np.nan]))).all()


@given(limit=LIMITS, error=st.floats(0.0, 50.0), more=st.floats(0.0, 20.0), higher=st.floats(0.0, 20.0))
def test_more_error_never_gives_more_and_a_higher_limit_never_less(
    limit: float, error: float, more: float, higher: float
) -> None:
    found, worse, better = (
        float(lessened_mps(np.asarray(value), np.asarray(off)))
        for value, off in ((limit, error), (limit, error + more), (limit + higher, error))
    )
    assert worse <= found <= better
    assert found <= limit


def test_the_factor_in_words_is_rounded_down() -> None:
    assert shown_factor(11.71, 15.0) == 0.780
    assert shown_factor(np.inf, np.inf) == 1.0
