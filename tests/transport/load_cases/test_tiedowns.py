"""Working load limits and breaking strengths of 49 CFR 393."""

from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.errors import OutOfRangeError
from shared.tables import published
from transport.load_cases import tiedowns
from transport.securing.assess import arrangement
from transport.securing.inputs import Chain, Contact, Unit

Expected = Callable[[str], dict]
POUND_KG = 0.45359237  # exact: international yard and pound agreement of 1959


@pytest.mark.parametrize(
    ("key", "size", "grade"), [("CV16a", "16", "80"), ("CV16b", "8", "70"), ("CV16c", "8", "80"), ("CV17", "13", "30")]
)
def test_working_load_limits(expected: Expected, key: str, size: str, grade: str) -> None:
    table = published("chain_wll_us")
    assert tiedowns.working_load_limit_kg(table, size, grade) == expected("united_states")[key].expected


def test_a_chain_not_in_the_table_is_refused() -> None:
    with pytest.raises(OutOfRangeError, match="chain_wll_us: 0 rows for 11, 80"):
        tiedowns.working_load_limit_kg(published("chain_wll_us"), "11", "80")


def test_kilograms_and_pounds_of_the_table_are_not_one_number(expected: Expected) -> None:
    """49 CFR 393.108 prints both; they differ by up to 2.0 %, at 5/16 in of grade 80."""
    table, check = published("chain_wll_us"), expected("united_states")["lb"]
    apart = table.numbers("wll_lb") * POUND_KG / table.numbers("wll_kg") - 1.0
    worst = int(np.argmax(np.abs(apart)))
    assert (table.rows[worst]["size_in"], table.rows[worst]["grade"]) == ("5/16", "80")
    assert 100.0 * abs(apart[worst]) == pytest.approx(check.expected, abs=check.tolerance)
    assert len(table.rows) == 28


def test_a_higher_grade_is_not_always_listed_higher() -> None:
    table = published("chain_wll_us")
    listed = {(row["size_in"], row["grade"]): float(row["wll_kg"]) for row in table.rows}
    grades = ("30", "43", "70", "80", "100")
    falls = [
        (size, low, high)
        for size in dict.fromkeys(table.column("size_in"))
        for low, high in pairwise(grades)
        if (size, high) in listed and listed[size, high] < listed[size, low]
    ]
    assert falls == [("5/16", "70", "80")]


@pytest.fixture
def found(unit: Unit, contacts: list[Contact]) -> Callable[[list[Chain]], tiedowns.Tiedowns]:
    def limits(chains: list[Chain]) -> tiedowns.Tiedowns:
        strong = [chain.model_copy(update={"lc_kN": 2.0 * chain.lc_kN}) for chain in chains]
        return tiedowns.tiedowns(
            chains, *(arrangement(unit, lines, contacts, divisor_ratio=1.0) for lines in (chains, strong))
        )

    return limits


def test_limits_of_lines_by_hand(chains: list[Chain], found: Callable[[list[Chain]], tiedowns.Tiedowns]) -> None:
    """16 mm grade 8: half of LC 160 is 80 kN, the table 8200 kg are 80.44 kN; an anchor of 120 kN allows 60 kN.

    A rating is not doubled for breaking strength: 200 kN of the anchor, not 320 kN of the chain.
    """
    weak = chains[1].model_copy(update={"anchor_rating_kN": 120.0})
    small = chains[2].model_copy(update={"size_mm": 8, "lc_kN": 40.0})
    unlisted = chains[3].model_copy(update={"size_mm": 11, "lc_kN": 75.0})
    tied = found([chains[0], weak, small, unlisted])
    assert tied.limit_kN == pytest.approx([80.0, 60.0, 2000 * 9.81 / 1000, 37.5])
    assert tied.breaking_kN == pytest.approx([200.0, 120.0, 80.0, 150.0])
    assert tied.limit_kg[2] == pytest.approx(2000.0)
    assert not tied.over_load.any()


def test_a_leg_over_the_load_goes_by_its_chain_and_ratings(
    chains: list[Chain], found: Callable[[list[Chain]], tiedowns.Tiedowns]
) -> None:
    over = [c.model_copy(update={"method": "frictional", "pair": "T"}) for c in chains[:2]]
    tied = found([*over, *chains[2:]])
    assert tied.limit_kN[:2] == pytest.approx([80.0, 80.0])
    assert tied.breaking_kN[:2] == pytest.approx([200.0, 200.0])
    assert tied.over_load.tolist() == [True, True] + [False] * 6


def test_a_line_that_is_not_known_has_no_limit(unit: Unit, chains: list[Chain], contacts: list[Contact]) -> None:
    whole = arrangement(unit, chains, contacts, divisor_ratio=1.0)
    unknown = replace(whole, capacity_kN=np.where(np.arange(8) == 3, np.nan, whole.capacity_kN))
    tied = tiedowns.tiedowns(chains, unknown, unknown)
    assert np.isnan([tied.limit_kN[3], tied.breaking_kN[3]]).all()


@given(lc_kN=st.floats(1.0, 500.0), more_kN=st.floats(0.0, 500.0), rating_kN=st.floats(1.0, 500.0))
def test_a_stronger_chain_never_has_less(lc_kN: float, more_kN: float, rating_kN: float) -> None:
    pair, rating = np.array([lc_kN, lc_kN + more_kN]), np.full(2, rating_kN)
    for limit_kN in (
        tiedowns.working_limit_kN(np.minimum(pair, rating), np.full(2, 8200.0), 9.81),
        tiedowns.breaking_kN(pair, rating),
    ):
        assert limit_kN[1] >= limit_kN[0]
        assert limit_kN.max() <= rating_kN
