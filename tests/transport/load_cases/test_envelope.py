"""The table of resistances and its cuts: always towards less."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from transport.load_cases.envelope import Envelope, between, error_ratio, held_kN, rising, without_favour
from transport.load_cases.polytope import facets, push_use_ratio

FORCES = st.lists(st.floats(20.0, 200.0), min_size=24, max_size=24)


def square(force_kN: float = 100.0) -> Envelope:
    return Envelope(np.array([0.5, 1.5]), np.full((2, 24), force_kN), np.full((2, 3), 1000.0), 300.0)


def test_less_weight_never_holds_more() -> None:
    envelope = replace(square(), force_kN=np.stack([np.full(24, 150.0), np.full(24, 90.0)]))
    assert rising(envelope).force_kN.tolist() == np.full((2, 24), 90.0).tolist()


def test_a_dip_between_two_vertical_factors_counts_for_all_below() -> None:
    three = Envelope(np.array([0.5, 1.0, 1.5]), np.outer([90.0, 80.0, 99.0], np.ones(24)), np.ones((3, 3)), 300.0)
    assert rising(three).force_kN[:, 0].tolist() == [80.0, 80.0, 99.0]
    assert np.isnan(rising(replace(three, force_kN=three.force_kN * [[1.0], [1.0], [np.nan]])).force_kN).all()


def test_a_push_smaller_along_both_axes_never_uses_more() -> None:
    """A weak direction at 15 degrees cuts off what lies beyond it: x <= 0.6 cos 15 wherever y >= 0.6 sin 15."""
    dented = square()
    dented.force_kN[:, 1] = 60.0
    cut = without_favour(dented).force_kN[0]
    assert cut[0] == pytest.approx(100.0)
    assert cut[1] == pytest.approx(60.0)
    assert cut[2] == pytest.approx(60.0 * np.cos(np.deg2rad(15)) / np.cos(np.deg2rad(30)))
    assert cut[4:] == pytest.approx(np.full(20, 100.0), rel=0.05)


@settings(max_examples=50, deadline=None)
@given(
    FORCES,
    FORCES,
    st.tuples(st.floats(-90, 90), st.floats(-90, 90)),
    st.tuples(st.floats(0, 1), st.floats(0, 1)),
    st.tuples(st.floats(0.5, 1.5), st.floats(0, 1)),
)
def test_law_of_the_smaller_push_and_the_greater_weight(
    low: list[float],
    more: list[float],
    push: tuple[float, float],
    part: tuple[float, float],
    weight: tuple[float, float],
) -> None:
    """Between the vertical factors too; and the cut is never above the table."""
    table = np.stack([low, np.add(low, more)])
    cut = without_favour(rising(replace(square(), force_kN=table)))
    assert (cut.force_kN <= table * (1 + 1e-9)).all()
    ahead, left = (np.array([value, value * share]) for value, share in zip(push, part, strict=True))
    factor = np.array([weight[0], weight[0] + (1.5 - weight[0]) * weight[1]])
    use = push_use_ratio(facets(cut), ahead, left, factor)
    assert use[1] <= use[0] * (1 + 1e-9) + 1e-12


def test_shares_between_nodes() -> None:
    inside, row, weight = between(np.array([1.0, 2.0, 4.0]), np.array([0.9, 1.0, 3.0, 4.0, 4.1]))
    assert inside.tolist() == [False, True, True, True, False]
    assert row.tolist() == [0, 0, 1, 1, 1]
    assert weight[1:4] == pytest.approx([0.0, 0.5, 1.0])


def test_resistance_between_vertical_factors_is_the_harmonic_mean() -> None:
    held = held_kN(np.array([100.0, -1e30, np.nan, 50.0]), np.array([300.0, 5.0, 5.0, 50.0]), np.array(0.5))
    assert held[[0, 3]] == pytest.approx([2.0 / (1 / 100 + 1 / 300), 50.0])
    assert held[1] < 0.0
    assert np.isnan(held[2])


def test_error_of_the_cuts_and_between_vertical_factors() -> None:
    """By hand: a cut from 100 to 80 gives away 0.2; halfway from 100 to 120 the harmonic mean is 109.09 of 110."""
    table = Envelope(np.array([0.1, 0.6, 1.0]), np.outer([1.0, 100.0, 120.0], np.ones(24)), np.ones((3, 3)), 300.0)
    assert error_ratio(table, table) == pytest.approx(1.0 - 2.0 / (1 / 100 + 1 / 120) / 110.0)
    less = table.force_kN.copy()
    less[1, 3] = 80.0
    assert error_ratio(table, replace(table, force_kN=less)) == pytest.approx(0.2)
    less[1, 3] = -1e30
    assert error_ratio(table, replace(table, force_kN=less)) == 1.0
    less[1, 3] = np.nan
    assert np.isnan(error_ratio(table, replace(table, force_kN=less)))
