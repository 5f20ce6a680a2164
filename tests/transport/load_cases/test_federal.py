"""Counting rules of the United States."""

from collections.abc import Callable

import numpy as np
import pytest

from shared.tables import figure, published
from transport.load_cases import federal

Expected = Callable[[str], dict]


@pytest.mark.parametrize(("key", "over"), [("CV18a", False), ("CV18b", True)])
def test_aggregate(expected: Expected, key: str, over: bool) -> None:
    check = expected("united_states")[key]
    each = federal.aggregate_kg(np.full(2 if over else 1, 8200.0))  # over the load: one tiedown, two legs
    needed = figure("load_cases_us_aggregate_ratio") * 50_000.0
    assert needed / each == pytest.approx(check.expected, abs=check.tolerance)


@pytest.mark.parametrize(("key", "blocked"), [("CV19a", False), ("CV19b", True)])
def test_number_by_length(expected: Expected, key: str, blocked: bool) -> None:
    assert (
        federal.tiedown_count(12.0, figure("load_cases_us_length_m"), blocked=blocked)
        == expected("united_states")[key].expected
    )


@pytest.mark.parametrize(
    ("length_m", "blocked", "count"), [(1.0, False, 2), (3.0, False, 2), (3.1, False, 3), (0.5, True, 1)]
)
def test_first_ten_feet(length_m: float, blocked: bool, count: int) -> None:
    """49 CFR 393.110 for an article above 1100 lb, secondary texts (read)."""
    assert federal.tiedown_count(length_m, figure("load_cases_us_length_m"), blocked=blocked) == count


def test_heavy_machinery_needs_four(expected: Expected) -> None:
    four = expected("united_states")["CV22"].expected
    assert federal.least_count(3.0, figure("load_cases_us_heavy_t"), blocked=True) == four
    assert federal.least_count(3.0, figure("load_cases_us_heavy_t") - 0.001, blocked=True) == 1
    assert federal.least_count(20.0, 50.0, blocked=True) == 7


def test_downforce(expected: Expected) -> None:
    check = expected("united_states")["CV20"]
    found = federal.downforce_kN(490.5, figure("load_cases_us_downforce_ratio"))
    assert found == pytest.approx(check.expected, abs=check.tolerance)


@pytest.mark.parametrize(("key", "count"), [("agg-13-70", 10), ("agg-13-80", 10), ("agg-16-80", 7), ("agg-16-100", 5)])
def test_chains_for_fifty_tonnes(expected: Expected, key: str, count: int) -> None:
    """Number of direct chains whose halves make 25 t: 9.75, 9.26, 6.10, 4.85 by 393.108 and 393.106(d)."""
    check, (_, size, grade) = expected("united_states")[key], key.split("-")
    row = published("chain_wll_us").row(size_mm=size, grade=grade)
    found = 25_000.0 / federal.aggregate_kg(np.array([float(row["wll_kg"])]))
    assert found == pytest.approx(check.expected, abs=check.tolerance)
    assert np.ceil(found) == count


def test_use_of_the_counting_rules_by_hand() -> None:
    rules = federal.counting_rules(np.full(8, 8000.0), np.zeros(8, dtype=bool), 200.0, 50.0, 4)
    assert [(rule.clause, rule.unit) for rule in rules] == [
        ("393.106(d)", "kg"),
        ("393.102(b)", "kN"),
        ("393.110, 393.130", ""),
    ]
    assert [rule.needed for rule in rules] == pytest.approx([25_000.0, 98.1, 4.0])
    assert [rule.provided for rule in rules] == pytest.approx([32_000.0, 200.0, 8.0])
    assert [rule.use_ratio for rule in rules] == pytest.approx([25_000 / 32_000, 98.1 / 200.0, 0.5])


def test_a_leg_over_the_load_is_half_a_tiedown() -> None:
    """Four direct chains and two lines over the load, two legs each: six tiedowns; 4 WLL / 2 + 2 WLL."""
    over = np.array([False] * 4 + [True] * 4)
    aggregate, _, number = federal.counting_rules(np.full(8, 8000.0), over, 200.0, 50.0, 6)
    assert aggregate.use_ratio == pytest.approx(25_000 / (4 * 8000 / 2 + 2 * 8000))
    assert number.use_ratio == pytest.approx(1.0)


@pytest.mark.parametrize(("high", "use"), [(4.0, 0.5), (0.0, np.inf), (-1.0, np.inf), (np.nan, np.nan)])
def test_nothing_held_is_not_little_used(high: float, use: float) -> None:
    assert federal.used_ratio(2.0, high=high) == pytest.approx(use, nan_ok=True)
