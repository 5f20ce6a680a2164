"""Lines of the statutory case: a person can work them again from the numbers printed."""

from dataclasses import replace

import numpy as np
import pytest

from shared.calculation import Line
from transport.load_cases.ride import Masses
from transport.load_cases.statutory import Row
from transport.load_cases.statutory_sheet import counting_lines, statutory_lines
from transport.securing.assess import arrangement
from transport.securing.inputs import Chain, Contact, Unit

MASSES = Masses(31.0, 30.5, 31.5, 9.81)
AHEAD = Row("forward", 0.0, 0.8, 0.8, 500.0, 900.0, 0.494)
ASIDE = Row("to the left", 90.0, 0.5, 0.6, 230.0, 600.0, 0.68)


def values(line: Line) -> dict[str, float]:
    return {symbol: value for symbol, value, _, _ in line.values}


def lines(unit: Unit, chains: list[Chain], contacts: list[Contact], row: Row) -> dict[str, Line]:
    found = statutory_lines(row, "EN 12195-1", arrangement(unit, chains, contacts, divisor_ratio=1.5), MASSES)
    return {line.result[0]: line for line in found}


def test_lines_can_be_worked_again(unit: Unit, chains: list[Chain], contacts: list[Contact]) -> None:
    found = lines(unit, chains, contacts, AHEAD)
    assert list(found) == ["u", "BC", "F_R", "s", "alpha"]
    v = values(found["F_R"])
    assert found["F_R"].result[1] == pytest.approx(v["W"] * (v["c_s"] - v["mu"]) / (v["S_h"] + v["mu"] * v["S_v"]))
    assert (v["n"], v["W"], v["mu"]) == (2.0, pytest.approx(31.5 * 9.81), pytest.approx(0.225))
    v = values(found["BC"])
    assert found["BC"].result[1] == pytest.approx((v["c_s"] - v["mu"]) * v["W"])
    assert v["mu"] == pytest.approx(0.3)
    v = values(found["s"])
    assert (v["d"], v["b"]) == (pytest.approx(1.25), pytest.approx(2.15))
    assert found["s"].result[1] == pytest.approx(v["c_t"] * v["d"] / v["b"])


def test_without_a_chain_that_way_there_is_no_force_in_it(
    unit: Unit, chains: list[Chain], contacts: list[Contact]
) -> None:
    assert "F_R" not in lines(unit, chains[:2], contacts, AHEAD)


def test_friction_that_is_enough_needs_no_tilt_test(unit: Unit, chains: list[Chain], contacts: list[Contact]) -> None:
    rubber = [c.model_copy(update={"friction_ratio": 0.6}) for c in contacts]
    assert "alpha" not in lines(unit, chains, rubber, ASIDE)


def test_top_over_lines_appear_with_top_over_legs(unit: Unit, chains: list[Chain], contacts: list[Contact]) -> None:
    over = [c.model_copy(update={"method": "frictional"}) for c in chains]
    high = unit.model_copy(update={"centre_of_mass_m": (0.0, 0.0, 2.4)})
    found = statutory_lines(ASIDE, "EN 12195-1", arrangement(high, over, contacts, divisor_ratio=1.5), MASSES)
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
    row = replace(ASIDE, tipping_ratio=0.1)
    found = statutory_lines(row, "EN 12195-1", arrangement(unit, over, contacts, divisor_ratio=1.5), MASSES)
    assert sum(line.result[0] == "n" for line in found) == 1


def test_counting_rules_have_a_line_each() -> None:
    found = counting_lines({"393.106(d)": 0.7, "393.102(b)": np.inf})
    assert [(line.clause, line.result[1]) for line in found] == [("393.106(d)", 0.7), ("393.102(b)", np.inf)]
