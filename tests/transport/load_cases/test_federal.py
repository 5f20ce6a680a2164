"""Counting rules of the United States."""

from collections.abc import Callable

import numpy as np
import pytest

from shared.errors import OutOfRangeError
from shared.tables import figure, published
from transport.load_cases import federal

Expected = Callable[[str], dict]


@pytest.mark.parametrize(
    ("key", "size", "grade"), [("CV16a", "16", "80"), ("CV16b", "8", "70"), ("CV16c", "8", "80"), ("CV17", "13", "30")]
)
def test_working_load_limits(expected: Expected, key: str, size: str, grade: str) -> None:
    assert (
        federal.working_load_limit_kg(published("chain_wll_us"), size, grade) == expected("united_states")[key].expected
    )


def test_a_chain_not_in_the_table_is_refused() -> None:
    with pytest.raises(OutOfRangeError, match="chain_wll_us: 0 rows for 11, 80"):
        federal.working_load_limit_kg(published("chain_wll_us"), "11", "80")


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


def test_use_of_the_counting_rules_by_hand() -> None:
    used = federal.counting_use_ratio(np.full(8, 8000.0), np.zeros(8, dtype=bool), 200.0, 50.0, 4)
    assert used == pytest.approx({"393.106(d)": 25_000 / 32_000, "393.102(b)": 98.1 / 200.0, "393.110, 393.130": 0.5})


def test_a_leg_over_the_load_is_half_a_tiedown() -> None:
    """Four direct chains and two lines over the load, two legs each: six tiedowns; 4 WLL / 2 + 2 WLL."""
    over = np.array([False] * 4 + [True] * 4)
    used = federal.counting_use_ratio(np.full(8, 8000.0), over, 200.0, 50.0, 6)
    assert used["393.106(d)"] == pytest.approx(25_000 / (4 * 8000 / 2 + 2 * 8000))
    assert used["393.110, 393.130"] == pytest.approx(1.0)
