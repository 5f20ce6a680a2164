"""Ranges of time on the clock of the wind."""

from itertools import pairwise

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from transport.weather.feeds.grib.steps import onto_clock, since_start, tangled
from transport.weather.steps import overlap

Range = tuple[int, int]


def test_ranges_as_long_as_the_steps() -> None:
    found = onto_clock([(0, 1), (1, 2), (2, 3)], [0, 1, 2, 3])
    assert found.rows == ((), (0,), (1,), (2,))
    assert found.span_s.tolist() == [[0, 0], [0, 1], [1, 2], [2, 3]]


def test_a_range_longer_than_the_step_counts_in_all_of_it() -> None:
    found = onto_clock([(0, 3), (3, 6)], [0, 1, 2, 3, 4, 5, 6])
    assert found.rows == ((), (0,), (0,), (0,), (1,), (1,), (1,))
    assert found.span_s.tolist() == [[0, 0], *[[0, 3]] * 3, *[[3, 6]] * 3]


def test_ranges_shorter_than_the_step_count_together() -> None:
    found = onto_clock([(0, 1), (1, 2), (2, 3), (3, 6)], [0, 3, 6])
    assert found.rows == ((), (0, 1, 2), (3,))
    assert found.span_s.tolist() == [[0, 0], [0, 3], [3, 6]]


def test_a_hole_is_missing_and_not_bridged() -> None:
    assert onto_clock([(0, 1), (2, 3)], [0, 3]).rows == ((), ())
    assert onto_clock([(0, 1), (2, 3)], [0, 1, 2, 3]).rows == ((), (0,), (), (1,))
    assert onto_clock([(0, 1)], [0, 1, 2]).rows == ((), (0,), ())


def test_ranges_that_grow_within_a_bucket_need_only_their_last() -> None:
    found = onto_clock([(6, 7), (6, 8), (6, 9)], [6, 9])
    assert found.rows == ((), (2,))
    assert found.span_s.tolist() == [[6, 6], [6, 9]]


def test_a_clock_that_begins_inside_the_ranges() -> None:
    found = onto_clock([(0, 3), (3, 6)], [3, 6])
    assert found.rows == ((0,), (1,))


def test_totals_since_the_start() -> None:
    found = since_start([(0, 1), (0, 2), (1, 2), (0, 3)], [0, 1, 2, 3, 4])
    assert found is not None
    assert found.rows == ((), (0,), (1,), (3,), ())
    assert found.span_s.tolist() == [[0, 0], [0, 1], [0, 2], [0, 3], [0, 4]]
    assert since_start([(0, 1), (1, 2)], [0, 1, 2]) is None
    assert since_start([(2, 3)], [1, 3]) is None


def test_tangled_ranges() -> None:
    assert tangled([(0, 1), (1, 2)]) is None
    assert tangled([(0, 3), (2, 3)]) == ((0, 3), (2, 3))
    assert tangled([(1, 2), (0, 3)]) == ((1, 2), (0, 3))


@given(st.lists(st.integers(1, 6), min_size=1, max_size=8), st.lists(st.integers(1, 6), min_size=1, max_size=12))
def test_law_each_step_sees_every_range_that_touches_it(lengths: list[int], steps: list[int]) -> None:
    """For ranges without hole: the highest that a step is given is never below that of any range in it.

    Source: a maximum over a time bounds every part of that time.
    """
    ends = np.cumsum(lengths)
    ranges = list(zip([0, *ends[:-1].tolist()], ends.tolist(), strict=True))
    clock = [0, *np.cumsum(steps).tolist()]
    values = np.random.default_rng(sum(lengths)).uniform(0, 30, len(ranges))
    found = onto_clock(ranges, clock)
    held = np.array([max((values[row] for row in rows), default=np.nan) for rows in found.rows])
    stamps = (found.span_s * 3600).astype("datetime64[s]")
    times = (np.array(clock) * 3600).astype("datetime64[s]")
    seen = overlap(stamps[:, 0], stamps[:, 1], times[:-1], times[1:])
    for step, (begin, end) in enumerate(pairwise(clock)):
        true = max((values[row] for row, (a, b) in enumerate(ranges) if b > begin and a < end), default=np.nan)
        if not seen.covered[step]:
            assert end > ends[-1]
            continue
        given_mps = np.max(held[seen.first[step] : seen.last[step] + 1])
        assert np.isnan(given_mps) or given_mps >= true
        if end <= ends[-1]:
            assert not np.isnan(given_mps)
