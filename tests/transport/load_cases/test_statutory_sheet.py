"""Lines of the statutory case: a person can work them again from the numbers printed."""

import re
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from shared.calculation import Line
from transport.load_cases.codes import Codes, judged
from transport.load_cases.federal_sheet import federal_lines
from transport.load_cases.levels import held_kN
from transport.load_cases.ride import Masses
from transport.load_cases.statutory_sheet import statutory_lines
from transport.securing.arrangement import Arrangement
from transport.securing.assess import arrangement
from transport.securing.inputs import Chain, Contact, Securing, Unit

MASSES = Masses(31.0, 30.5, 31.5, 9.81)
ALL = ("EN 12195-1", "CTU Code", "49 CFR 393")
Judge = Callable[..., Codes]


def values(line: Line) -> dict[str, float]:
    return {symbol: value for symbol, value, _, _ in line.values}


@pytest.fixture
def judge(unit: Unit, chains: list[Chain], contacts: list[Contact]) -> Judge:
    """The codes on the invented unit, with anything replaced."""

    def go(codes: Any = "EN 12195-1", **changes: Any) -> Codes:
        tables: dict[str, Any] = {"unit": unit, "chains": chains, "contacts": contacts} | changes

        def arranged(lines: Any, divisor: float) -> Arrangement:
            return arrangement(tables["unit"], lines, tables["contacts"], divisor_ratio=divisor)

        level = held_kN(arranged(tables["chains"], 1.5), MASSES)
        nodes, held = np.array([0.5, 1.5]), np.stack([level, level], axis=1)
        return judged(Securing(code=codes, unit_length_m=5.0), tables["chains"], arranged, nodes, held, MASSES)

    return go


def worked(line: Line) -> float:
    """The plain formula of a line with its numbers, as Python sees it."""
    text = line.spoken.split(";", 1)[0].split("=", 1)[1]
    for word in ("sqrt", "asin", "atan", "max", "min"):
        text = text.replace(f"{word}(", f"<{word}>[")
    text = re.sub(r"(?<=[\w)]) +(?=[\w(])", " * ", text).replace("[", "(").replace("^", "**")
    names = {"sqrt": np.sqrt, "asin": np.arcsin, "atan": np.arctan, "max": max, "min": min}
    found = eval(re.sub(r"<(\w+)>", r"\1", text), {"__builtins__": {}}, names | values(line))  # noqa: S307
    return float(np.rad2deg(found) if line.result[2] == "deg" else found)


@pytest.mark.parametrize("stops", [True, False])
def test_every_line_can_be_worked_again(judge: Judge, contacts: list[Contact], stops: bool) -> None:
    codes = judge(ALL, contacts=contacts if stops else contacts[:4])
    lines = [*statutory_lines(codes, MASSES), *federal_lines(codes, MASSES)]
    assert len(lines) > 20
    for line in lines:
        assert worked(line) == pytest.approx(line.result[1], rel=1e-9), line.title


def test_every_code_has_its_use_the_strictest_first(judge: Judge) -> None:
    codes = judge(ALL)
    uses = [line for line in statutory_lines(codes, MASSES) if line.result[0] == "u"]
    assert len(uses) == 4
    assert [line.result[1] for line in uses] == sorted((line.result[1] for line in uses), reverse=True)
    assert uses[0].result[1] == codes.rows[0].use_ratio
    assert {line.title.split(": ")[1] for line in uses} == {
        "EN 12195-1, LC / 1.5",
        "CTU Code, MSL / 1.5",
        "49 CFR 393, breaking strength",
        "49 CFR 393, WLL",
    }


def test_resistances_of_the_lines_are_those_of_the_row(judge: Judge, contacts: list[Contact]) -> None:
    """Without stops the chains hold: the sliding line is no less than the least of the models, tipping is the row's."""
    codes = judge(contacts=contacts[:4])
    found = {line.result[0]: line for line in statutory_lines(codes, MASSES)}
    row = codes.rows[0]
    assert found["R_S"].result[1] >= row.sliding_kN * (1 - 1e-9)
    assert found["R_T"].result[1] == pytest.approx(row.tipping_kN)
    assert values(found["R_S"])["B"] == 0.0
    assert values(found["R_S"])["S_h"] > 0.0


def test_stops_are_shown_in_every_direction(judge: Judge) -> None:
    """Forward and rearward the stops are primary; to the sides the slide of the chains alone is told with a remedy."""
    lines = statutory_lines(judge(), MASSES)
    stops = {line.title.split(" as")[0]: line for line in lines if line.result[0] == "u_B"}
    assert list(stops) == ["Stops forward", "Stops rearward"]
    needed = (0.8 * 31.5 - 0.225 * 30.5) * 9.81
    assert stops["Stops forward"].result[1] == pytest.approx(needed / 250.0, rel=0.01)
    slides = [line for line in lines if line.result[0] == "d"]
    assert [line.title.split(" let")[0] for line in slides] == ["Chains alone to the left", "Chains alone to the right"]
    assert all("use a stop as primary restraint" in line.title and line.status == "practice" for line in slides)
    assert 0.001 < slides[0].result[1] < 0.03


def test_a_weak_stop_is_told_with_the_slide(judge: Judge, contacts: list[Contact]) -> None:
    weak = [c.model_copy(update={"capacity_kN": 50.0}) if c.kind == "stop" else c for c in contacts]
    lines = statutory_lines(judge(contacts=weak), MASSES)
    forward = [line for line in lines if " forward" in line.title and line.result[0] in {"u_B", "d"}]
    assert [line.result[0] for line in forward] == ["u_B", "d"]
    assert forward[0].title.endswith("too weak to hold alone")


def test_friction_that_is_enough_needs_no_stop_and_no_tilt_test(judge: Judge, contacts: list[Contact]) -> None:
    rubber = [c.model_copy(update={"friction_ratio": 0.95}) for c in contacts[:4]]
    lines = statutory_lines(judge(contacts=rubber), MASSES)
    aside = [line for line in lines if "to the left must bear" in line.title]
    assert aside[0].title.endswith("none is needed at 0 or below")
    assert aside[0].result[1] < 0.0
    assert "alpha" not in {line.result[0] for line in lines}


def test_the_united_states_line_states_friction_and_the_row_without(judge: Judge) -> None:
    lines = statutory_lines(judge("49 CFR 393"), MASSES)
    with_friction = next(line for line in lines if line.result[0] == "F_R")
    assert "an assumption: 49 CFR 393 is silent about friction" in with_friction.values[1][3]
    bare = next(line for line in lines if line.result[0] == "F_0")
    assert bare.result[1] > with_friction.result[1]
    assert bare.clause == "the rule is silent about friction"


def test_counting_rules_have_a_line_each(judge: Judge) -> None:
    """No line without the code; with it the limits of the weakest tiedown and three rules."""
    assert federal_lines(judge(), MASSES) == []
    found = federal_lines(judge(ALL), MASSES)
    assert [(line.result[0], line.clause) for line in found] == [
        ("L", "393.108"),
        ("F_b", "393.102(a)(1)"),
        ("u", "393.106(d)"),
        ("u", "393.102(b)"),
        ("u", "393.110, 393.130"),
    ]
    assert values(found[0])["T"] == 8200.0


def test_a_chain_that_is_not_listed_has_no_table_in_its_line(judge: Judge, chains: list[Chain]) -> None:
    odd = [chain.model_copy(update={"size_mm": 18}) for chain in chains]
    found = federal_lines(judge(ALL, chains=odd), MASSES)
    assert found[0].formula == "L = F_1 / 2"


@pytest.mark.parametrize(("rating_kN", "formula"), [(200.0, "F_b = min(2 L_C, A)"), (400.0, "F_b = 2 L_C")])
def test_breaking_strength_names_the_rating_where_it_governs(
    judge: Judge, chains: list[Chain], rating_kN: float, formula: str
) -> None:
    strong = [chain.model_copy(update={"anchor_rating_kN": rating_kN}) for chain in chains]
    line = federal_lines(judge(ALL, chains=strong), MASSES)[1]
    assert (line.formula, line.result[1]) == (formula, min(320.0, rating_kN))
