"""Value by cost and loss: worked values, laws, and the cap that no ratio lifts. Published tables: test_contingency."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from transport.weather.skill.contingency import Table, detected_ratio, false_detection_ratio, table
from transport.weather.skill.cost_loss import (
    best,
    climate_expense_ratio,
    expense_ratio,
    least_chance_ratio,
    perfect_expense_ratio,
    value_ratio,
)

RATIOS = np.array([0.005, 0.02, 0.1, 0.3, 0.7])
COUNTS = st.integers(1, 400)


def counts(a: float, b: float, c: float, d: float) -> Table:
    return Table(*map(np.asarray, (a, b, c, d)))


def test_expenses_by_hand() -> None:
    """1000 cases, cost 2 % of the loss: (50 x 0.02 + 5) / 1000; never below 0.02 or 0.045; 0.045 x 0.02."""
    one, cost = counts(40, 10, 5, 945), np.asarray(0.02)
    assert expense_ratio(one, cost) == pytest.approx(0.006)
    assert climate_expense_ratio(one, cost) == pytest.approx(0.02)
    assert perfect_expense_ratio(one, cost) == pytest.approx(0.0009)


@pytest.mark.parametrize(("cost", "loss", "chance"), [(50e3, 10e6, 0.005), (50e3, 5e6, 0.01), (20e3, 1e6, 0.02)])
def test_the_chance_to_act_upon_is_cost_over_loss(cost: float, loss: float, chance: float) -> None:
    assert least_chance_ratio(np.asarray(cost / loss), 0.5) == pytest.approx(chance)


def test_the_cap_holds_whatever_cost_and_loss_say() -> None:
    assert least_chance_ratio(RATIOS, 0.02).tolist() == [0.005, 0.02, 0.02, 0.02, 0.02]


@given(COUNTS, COUNTS, COUNTS, COUNTS)
@settings(max_examples=60, deadline=None)
def test_the_greatest_value_lies_at_the_base_rate(a: int, b: int, c: int, d: int) -> None:
    """POD - POFD there (cawcr.gov.au, relative value, read), and nowhere more."""
    one = counts(a, b, c, d)
    base = np.asarray((a + c) / (a + b + c + d))
    there = float(value_ratio(one, base))
    assert there == pytest.approx(float(detected_ratio(one) - false_detection_ratio(one)), abs=1e-9)
    assert (value_ratio(one, RATIOS) <= there + 1e-9).all()
    assert there <= 1.0


@given(COUNTS, COUNTS, COUNTS, COUNTS)
@settings(max_examples=60, deadline=None)
def test_a_miss_instead_of_a_hit_and_a_false_alarm_cost_value(a: int, b: int, c: int, d: int) -> None:
    one = value_ratio(counts(a, b, c, d), RATIOS)
    assert (value_ratio(counts(a - 1, b, c + 1, d), RATIOS) < one).all()
    assert (value_ratio(counts(a, b + 1, c, d - 1), RATIOS) < one).all()


def test_a_perfect_forecast_is_worth_all_and_a_constant_one_nothing() -> None:
    np.testing.assert_allclose(value_ratio(counts(9, 0, 0, 91), RATIOS), 1.0)
    always, never = counts(9, 91, 0, 0), counts(0, 0, 9, 91)
    np.testing.assert_allclose(np.maximum(value_ratio(always, RATIOS), value_ratio(never, RATIOS)), 0.0, atol=1e-12)


def test_where_nothing_happened_there_is_no_value_to_tell() -> None:
    assert np.isnan(value_ratio(counts(0, 3, 0, 97), RATIOS)).all()
    found = best(np.array([0.1, 0.2]), np.array([False, False]), RATIOS, 0.5)
    assert np.isnan(found.value_ratio).all()
    assert np.isnan(found.act_above_ratio).all()


@pytest.mark.parametrize("cap", [0.02, 0.3, 1.0])
def test_the_best_threshold_is_the_best_of_all_and_never_above_the_cap(cap: float) -> None:
    rng = np.random.default_rng(2)
    chance = np.round(rng.random(200) ** 4, 2)
    event = rng.random(200) < 0.6 * chance
    found = best(chance, event, RATIOS, cap)
    tried = np.array([-1.0, *np.arange(0.0, cap + 0.005, 0.01)])
    values = np.array([value_ratio(table(chance > one, event), RATIOS) for one in tried])
    np.testing.assert_allclose(found.value_ratio, values.max(axis=0), rtol=1e-12)
    assert (found.act_above_ratio <= cap).all()
    own = [
        float(value_ratio(table(chance > at, event), ratio))
        for at, ratio in zip(found.act_above_ratio, RATIOS, strict=True)
    ]
    np.testing.assert_allclose(own, found.value_ratio, rtol=1e-12)
