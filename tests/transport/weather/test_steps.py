"""Steps: intervals, coverage, totals, gaps."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from transport.weather import steps

DAY = np.datetime64("2026-03-10T00:00:00")


def at(*hours: float) -> np.ndarray:
    return DAY + (np.array(hours) * 3600).astype("timedelta64[s]")


def test_instants_count_on_both_sides() -> None:
    time = at(0, 1, 2)
    found = steps.overlap(*steps.around_instants(time), time[:-1], time[1:])
    np.testing.assert_array_equal(steps.worst(np.array([[5.0, 9.0, 3.0]]), found, np.maximum), [[9.0, 9.0]])
    np.testing.assert_array_equal(steps.worst(np.array([[5.0, 9.0, 3.0]]), found, np.minimum), [[5.0, 3.0]])


def test_interval_that_does_not_cover_a_step_leaves_it_unknown() -> None:
    found = steps.overlap(at(0, 2), at(1, 3), at(0, 1, 2), at(1, 2, 3))
    assert found.covered.tolist() == [True, False, True]
    np.testing.assert_array_equal(steps.worst(np.array([[7.0, 8.0]]), found, np.maximum), [[7.0, np.nan, 8.0]])


def test_hole_between_two_intervals_leaves_the_step_unknown() -> None:
    found = steps.overlap(at(0, 2), at(1, 3), at(0), at(3))
    assert not found.covered.any()


def test_maximum_since_the_start_counts_everywhere_later() -> None:
    found = steps.overlap(at(0, 0, 0), at(1, 2, 3), at(0, 1, 2), at(1, 2, 3))
    np.testing.assert_array_equal(steps.worst(np.array([[4.0, 6.0, 9.0]]), found, np.maximum), [[9.0, 9.0, 9.0]])


def test_totals_become_rates() -> None:
    totals = np.array([[0.0, 1.0, 1.0 - 0.01, 4.0, 3.0]])
    rates = steps.rates_from_totals(totals, np.array([0.0, 1.0, 2.0, 4.0, 5.0]), 0.02)
    np.testing.assert_allclose(rates, [[1.0, 0.0, 1.505, np.nan]])


def test_steps_that_grow_are_no_gap() -> None:
    assert not steps.gaps(at(0, 1, 2, 5, 8, 14), 6.0).any()
    assert steps.gaps(at(0, 1, 2, 8), 3.0).tolist() == [False, False, True]


@given(st.lists(st.floats(0.0, 40.0), min_size=3, max_size=12), st.integers(0, 30), st.integers(1, 30))
def test_no_value_inside_a_stay_is_missed(gusts: list[float], begin: int, length: int) -> None:
    ends = at(*range(1, len(gusts) + 1))
    stay = at(begin / 10.0), at((begin + length) / 10.0)
    found = steps.worst(np.array([gusts]), steps.overlap(ends - np.timedelta64(3600, "s"), ends, *stay), np.maximum)[
        0, 0
    ]
    inside = [gust for hour, gust in enumerate(gusts) if hour + 1 > begin / 10.0 and hour < (begin + length) / 10.0]
    if stay[1][0] <= ends[-1]:
        assert found == max(inside)
    else:
        assert np.isnan(found)
