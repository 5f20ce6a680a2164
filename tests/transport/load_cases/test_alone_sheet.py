"""Lines of the load by itself and of top-over lashings that would hold it alone."""

from dataclasses import replace

import numpy as np
import pytest

from shared.calculation import Line
from transport.load_cases.alone_sheet import alone_lines
from transport.load_cases.levels import Level
from transport.load_cases.ride import Masses
from transport.load_cases.statutory import Row, level_rows
from transport.securing.arrangement import Arrangement
from transport.securing.assess import arrangement
from transport.securing.inputs import Chain, Contact, Unit

MASSES = Masses(31.0, 30.5, 31.5, 9.81)
WEIGHT_KN = 31.5 * 9.81


def values(line: Line) -> dict[str, float]:
    return {symbol: value for symbol, value, _, _ in line.values}


def rows(whole: Arrangement) -> dict[str, Row]:
    level = Level("EN 12195-1", "LC", "LC", whole, np.full((4, 24), 500.0))
    return {row.direction: row for row in level_rows(level, MASSES)}


def test_the_load_alone(unit: Unit, chains: list[Chain], contacts: list[Contact]) -> None:
    whole = arrangement(unit, chains, contacts, divisor_ratio=1.5)
    stands, tilt = alone_lines(rows(whole)["forward"], whole, WEIGHT_KN)
    v = values(stands)
    assert (v["d"], v["b"]) == (pytest.approx(1.25), pytest.approx(2.15))
    assert stands.result[1] == pytest.approx(v["c_t"] * v["d"] / v["b"])
    assert tilt.result == ("alpha", pytest.approx(45.31, abs=0.01), "deg")  # CTU Code annex 7 appendix 5, CV11a


def test_top_over_lines_appear_with_top_over_legs(unit: Unit, chains: list[Chain], contacts: list[Contact]) -> None:
    over = [c.model_copy(update={"method": "frictional"}) for c in chains]
    high = unit.model_copy(update={"centre_of_mass_m": (0.0, 0.0, 2.4)})
    whole = arrangement(high, over, contacts, divisor_ratio=1.5)
    found = alone_lines(rows(whole)["to the left"], whole, WEIGHT_KN)
    sliding, tipping = (line for line in found if line.result[0] == "n")
    v = values(sliding)
    assert v["f_s"] == 1.1
    assert v["F_T"] == pytest.approx(16.0)
    assert sliding.result[1] == pytest.approx(
        (v["c_s"] - v["mu"]) * v["W"] * v["f_s"] / (2 * v["mu"] * v["s"] * v["F_T"])
    )
    v = values(tipping)
    assert v["e"] == pytest.approx(0.6 * 2.45 - 1.05)
    assert v["w"] == pytest.approx(2.0)
    assert tipping.result[1] == pytest.approx(v["W"] * v["e"] * v["f_s"] / (v["F_T"] * v["w"] * v["s"]))


def test_a_load_that_stands_needs_no_top_over_against_tipping(
    unit: Unit, chains: list[Chain], contacts: list[Contact]
) -> None:
    over = [c.model_copy(update={"method": "frictional"}) for c in chains]
    whole = arrangement(unit, over, contacts, divisor_ratio=1.5)
    row = replace(rows(whole)["to the left"], tipping_ratio=0.1)
    assert sum(line.result[0] == "n" for line in alone_lines(row, whole, WEIGHT_KN)) == 1
