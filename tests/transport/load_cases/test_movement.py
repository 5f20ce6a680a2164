"""Movement before chains and friction balance the worst push, and the set of forces that does: lines and laws."""

import re
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
import xarray as xr

from shared.calculation import Line
from transport.load_cases.equilibrium_sheet import balance, equilibrium_lines
from transport.load_cases.governing import At, Governing, chain_tension_kN
from transport.load_cases.movement import movement_lines, movement_m
from transport.securing.arrangement import DIRECTION_DEG, share_movement_m
from transport.securing.assess import arrangement
from transport.securing.capacity import by_model_kN
from transport.securing.inputs import Chain, Contact, Unit

Run = Callable[..., xr.Dataset]
Place = Callable[..., At]
STF_KN = np.full(8, 16.0)


@pytest.fixture
def place(unit: Unit, chains: list[Chain], contacts: list[Contact]) -> Place:
    """A push of a given size in a direction of the fan, on pads alone or with the stops."""

    def make(force_kN: float, direction: int = 0, *, stops: bool = False, keep: list[Chain] | None = None) -> At:
        met = [one for one in contacts if stops or one.kind == "pad"]
        used = chains if keep is None else keep
        one = arrangement(unit, used, met, divisor_ratio=1.5)
        held = by_model_kN(one, np.array([300.0 / one.weight_kN]))[:, 0, direction]
        angle = np.deg2rad(DIRECTION_DEG[direction])
        found = Governing(
            row=0,
            use_ratio=force_kN / float(held.min()),
            ahead_kN=force_kN * float(np.cos(angle)),
            left_kN=force_kN * float(np.sin(angle)),
            carried_kN=300.0,
            beside=(direction, (direction + 1) % 24),
            usable_kN=(float(held.min()), float(held.min())),
            direction=direction,
            by_model_kN=held,
            lost=None,
        )
        return At(
            found, one, tuple(chain.tag for chain in used), 100.0, contacts=tuple(contact.name for contact in met)
        )

    return make


def values(line: Line) -> dict[str, float]:
    return {symbol: value for symbol, value, _, _ in line.values}


def test_friction_holds_without_movement(place: Place) -> None:
    """0.225 x 300 = 67.5 kN."""
    at = place(60.0)
    assert movement_m(at, 0.0 * STF_KN) == 0.0
    (line,) = movement_lines("case", at, 0.0 * STF_KN)
    assert line.result == ("F", 0.0, "kN")


def test_two_chains_stretch_until_they_balance_by_hand(place: Place) -> None:
    """d = (H - mu N) / sum r (h + mu v) of the two rear chains, slack before; T = r d, the tension of the case."""
    at = place(150.0)
    rear = at.arrangement.restraint.pull_ratio[2]
    share, efficiency = rear[0] * -1.0, -rear[0] - 0.225 * rear[2]
    rate = at.arrangement.stiffness_kN[2] * share / at.arrangement.length_m[2]
    moved = (150.0 - 67.5) / (2.0 * rate * efficiency)
    assert movement_m(at, 0.0 * STF_KN) == pytest.approx(moved)
    slide, tension = movement_lines("case", at, 0.0 * STF_KN)
    assert slide.result[1] == pytest.approx(moved)
    assert values(slide)['d_"lim"'] == 0.02
    assert tension.result[1] == pytest.approx(rate * moved)
    assert chain_tension_kN(at.found, at.arrangement, 0.0 * STF_KN)[[2, 3]] == pytest.approx([rate * moved] * 2)


def test_a_stop_leaves_no_way(place: Place) -> None:
    at = place(150.0, stops=True)
    assert movement_m(at, STF_KN) == 0.0
    (line,) = movement_lines("case", at, STF_KN)
    assert "a stop holds" in line.title


def test_a_push_that_nothing_resists_is_unknown(place: Place, chains: list[Chain]) -> None:
    """Chains to the front only, pushed forward: they slacken, and friction is not enough."""
    at = place(150.0, keep=[chain for chain in chains if chain.on_deck_m[0] > 2.0])
    assert np.isnan(movement_m(at, STF_KN[:2]))
    (line,) = movement_lines("case", at, STF_KN[:2])
    assert "none does" in line.title
    assert line.result[1] == pytest.approx(150.0 - 67.5)


def test_a_stop_that_is_overloaded_is_unknown(place: Place) -> None:
    at = place(1000.0, stops=True)
    assert at.found.use_ratio > 1.0
    assert np.isnan(movement_m(at, STF_KN))
    assert movement_lines("case", at, STF_KN) == []


def test_a_larger_push_never_moves_less(place: Place) -> None:
    for direction in (0, 3, 6, 9):
        moved = [movement_m(place(force, direction), STF_KN) for force in np.linspace(20.0, 320.0, 12)]
        assert (np.diff(moved) >= 0.0).all()


def test_movement_of_the_share_is_that_of_the_first_full_chain(place: Place) -> None:
    """r d reaches a capacity, or the allowed movement is reached."""
    one = place(100.0).arrangement
    moved = share_movement_m(one)
    assert moved.shape == (24,)
    assert (moved <= one.movement_m).all()
    rear = -one.restraint.pull_ratio[2, 0] * one.stiffness_kN[2] / one.length_m[2]
    assert moved[0] == pytest.approx(one.capacity_kN[2] / rear)


@pytest.mark.parametrize("stops", [False, True])
@pytest.mark.parametrize(("force_kN", "direction"), [(120.0, 0), (150.0, 3), (110.0, 6), (120.0, 13)])
def test_the_sums_can_be_added_up(place: Place, force_kN: float, direction: int, stops: bool) -> None:
    at = place(force_kN, direction, stops=stops)
    found = balance(at)
    lines = equilibrium_lines("case", at, found)
    assert [line.result[0] for line in lines] == ["R", "R", "R", "M", "M", "M", "u", "k"]
    for line in lines[:6]:
        assert line.result[1] == pytest.approx(sum(values(line).values()), abs=1e-9)
        assert abs(line.result[1]) < 1e-6 * at.left.weight_kN
    assert lines[6].result[1] == found.use_ratio <= 1.0
    assert lines[7].result[1] <= 1.0 + 1e-6


def test_every_product_in_words_is_the_value_beside_it(place: Place) -> None:
    at = place(150.0, 2)
    for line in equilibrium_lines("case", at, balance(at)):
        for _, value, unit, words in line.values:
            numbers = [
                float(text)
                for text in re.findall(r"-?\d+(?:\.\d+)?(?:e[-+]\d+)?(?= (?:m|kN|less)\b|$)", words.partition(": ")[2])
            ]
            if " times " not in words:
                continue
            worked = numbers[0] * numbers[1] - (numbers[2] * numbers[3] if unit == "kNm" else 0.0)
            assert worked == pytest.approx(value, rel=1e-3, abs=1e-3 * at.left.weight_kN), words


def test_what_is_not_in_equilibrium_has_no_lines(place: Place, chains: list[Chain]) -> None:
    at = place(150.0, keep=[chain for chain in chains if chain.on_deck_m[0] > 2.0])
    found = balance(at)
    assert found.status == "not in equilibrium"
    assert equilibrium_lines("case", at, found) == []


ODD = ('$C_1$ "#pagebreak()', "C_(2", "a = b, quad", "x/0", "^", '"', "\\", "C8")


def test_symbols_bear_the_number_of_the_chain_and_never_its_tag(place: Place) -> None:
    """T_3 is the third chain of the schedule, whatever its tag is; a tag is told in words only."""
    named, odd = place(150.0), replace(place(150.0), tags=ODD)
    pairs = [[movement_lines("case", at, STF_KN) for at in (named, odd)]]
    pairs += [[equilibrium_lines("case", at, balance(at)) for at in (named, odd)]]
    for plain, strange in pairs:
        assert [(one.formula, one.spoken, one.result) for one in plain] == [
            (one.formula, one.spoken, one.result) for one in strange
        ]
        for line in strange:
            for symbol, _, _, words in line.values:
                if re.fullmatch(r"[TPre]_\d+", symbol):
                    assert words.startswith(f"chain {ODD[int(symbol[2:]) - 1]}")


def test_chains_said_to_be_without_tension_have_none(place: Place) -> None:
    """The tensions of the case say so too; a front chain tightened before has some left."""
    at = place(150.0)
    for pretension in (0.0 * STF_KN, STF_KN):
        *_, line = movement_lines("case", at, pretension)
        tension = chain_tension_kN(at.found, at.arrangement, pretension)
        slack = [tag for tag, force in zip(at.tags, tension, strict=True) if not force > 0.0]
        told = f"without tension: {', '.join(slack)}" if slack else "none is slack"
        assert line.title.endswith(told)
        shown = values(line) | {line.result[0]: line.result[1]}
        assert {int(symbol[2:]) - 1 for symbol in shown if symbol.startswith("T_")} == set(np.flatnonzero(tension))


def test_terms_that_are_nothing_are_left_out(place: Place) -> None:
    slide, tension = movement_lines("case", place(150.0), 0.0 * STF_KN)
    assert slide.formula.startswith("d = (H - mu N) / S_r, quad S_r = r_")
    assert "P_" not in slide.formula + tension.formula
