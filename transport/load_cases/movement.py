"""How far the unit slides under the worst push of a load case, before chains and friction balance it."""

import numpy as np

from shared.arrays import Array
from shared.calculation import Line
from transport.load_cases.governing import At, Sliding, held_by, sliding, stops_alone
from transport.securing.sharing import share_kN

__all__ = ["movement_lines", "movement_m"]

Value = tuple[str, float, str, str]
TITLE = "Movement before chains and friction balance the push"
SOURCE = ("statics, springs that take tension only", "common practice, no source", "practice")
FRICTION = ("statics, Coulomb friction", "common practice, no source", "practice")
STOP = ("EN 12195-1:2010", "5.3, blocking", "memory")


def movement_m(at: At, pretension_kN: Array) -> float:
    """Slide under the worst push: 0 where friction holds or a stop is met at once, NaN where nothing balances it.

    Chains tightened to pretension (n,) before. A keyed stop leaves no way, also where the chains would hold more; where
    stops are counted and the use is above 1 they do not balance the push. Compare it with unit.allowed_movement_m.
    Source: sharing.settled_m, springs that take tension only; a keyed stop is met at 0 mm (practice).
    """
    if held_by(at.found, at.left) == "stops":
        return 0.0 if at.found.use_ratio <= 1.0 else np.nan
    if stops_alone(at.found, at.left):
        return 0.0
    return sliding(at.found, at.left, pretension_kN).movement_m


def movement_lines(check: str, at: At, pretension_kN: Array) -> list[Line]:
    """Movement, and the tension that it gives each chain; or why there is none.

    Source: sharing.settled_m (practice).
    """
    by_stops = held_by(at.found, at.left) == "stops"
    if by_stops or stops_alone(at.found, at.left):
        if by_stops and not at.found.use_ratio <= 1.0:
            return []
        title = f"{TITLE}: a stop holds and is met at once"
        return [Line(check, title, "d = 0", "d = 0", (_allowed(at),), ("d", 0.0, "m"), *STOP)]
    met = sliding(at.found, at.left, pretension_kN)
    moved_m = met.movement_m
    if not moved_m > 0.0:
        return [_still_line(check, at, met, moved_m)]
    tension_kN = share_kN(met.rate_kN_per_m, np.asarray(moved_m), met.pretension_kN)
    taut = [int(chain) for chain in np.argsort(-tension_kN, kind="stable") if tension_kN[chain] > 0.0]
    return [_slide_line(check, at, met, taut), _tension_line(check, at, met, taut, tension_kN)]


def _slide_line(check: str, at: At, met: Sliding, taut: list[int]) -> Line:
    """From the chains that are taut after the movement; terms that are 0 are left out."""
    held = [chain for chain in taut if met.pretension_kN[chain] * met.efficiency_ratio[chain] != 0.0]
    gaining = [chain for chain in taut if met.rate_kN_per_m[chain] * met.efficiency_ratio[chain] != 0.0]
    parts = [("S_0", "P", held), ("S_r", "r", gaining)]
    sums = [f"{name} = {_sum(sign, chains)}" for name, sign, chains in parts if chains]
    formula = ", quad ".join([f"d = (H - mu N{' - S_0' if held else ''}) / S_r", *sums])
    values = [*_push(at, met)]
    for chain in sorted({*held, *gaining}, key=taut.index):
        number, tag = chain + 1, _called(at, chain)
        values += [_before(at, met, chain)] if chain in held else []
        values += [_rate(at, met, chain)] if chain in gaining else []
        values.append((f"e_{number}", float(met.efficiency_ratio[chain]), "", f"{tag}, h + mu v"))
    before_kN = float(met.pretension_kN[held] @ met.efficiency_ratio[held])
    values += [("S_0", before_kN, "kN", "held before the push")] if held else []
    gain = float(met.rate_kN_per_m[gaining] @ met.efficiency_ratio[gaining])
    values += [("S_r", gain, "kN/m", "gained by movement"), _allowed(at)]
    return Line(check, TITLE, formula, _said(formula), tuple(values), ("d", met.movement_m, "m"), *SOURCE)


def _sum(sign: str, chains: list[int]) -> str:
    return " + ".join(f"{sign}_{chain + 1} e_{chain + 1}" for chain in chains)


def _tension_line(check: str, at: At, met: Sliding, taut: list[int], tension_kN: Array) -> Line:
    """Every chain with tension after the movement, the fullest first."""
    equations, values = [], [("d", met.movement_m, "m", "line above")]
    for chain in taut:
        number, kept, stretched = chain + 1, bool(met.pretension_kN[chain]), bool(met.rate_kN_per_m[chain])
        terms = [f"P_{number}"] * kept + [f"r_{number} d"] * stretched
        equations.append(f"T_{number} = {' + '.join(terms)}")
        values += [_before(at, met, chain)] * kept + [_rate(at, met, chain)] * stretched
        if chain != taut[0]:
            values.append((f"T_{number}", float(tension_kN[chain]), "kN", _called(at, chain)))
    formula = ", quad ".join(equations)
    title = f"Tension of the chains after that movement, {at.tags[taut[0]]} the most; {_slack_words(at, taut)}"
    result = (f"T_{taut[0] + 1}", float(tension_kN[taut[0]]), "kN")
    return Line(check, title, formula, _said(formula), tuple(values), result, *SOURCE)


def _called(at: At, chain: int) -> str:
    """A chain by its tag; its symbols bear its number in the schedule, since a tag is text of a user."""
    return f"chain {at.tags[chain]}"


def _before(at: At, met: Sliding, chain: int) -> Value:
    return (f"P_{chain + 1}", float(met.pretension_kN[chain]), "kN", f"{_called(at, chain)}, before the push")


def _rate(at: At, met: Sliding, chain: int) -> Value:
    words = f"{_called(at, chain)}, {_rate_words(at, met, chain)}"
    return (f"r_{chain + 1}", float(met.rate_kN_per_m[chain]), "kN/m", words)


def _slack_words(at: At, taut: list[int]) -> str:
    """Chains without tension, by name; a lost one is among them."""
    slack = [tag for chain, tag in enumerate(at.tags) if chain not in taut]
    return f"without tension: {', '.join(slack)}" if slack else "none is slack"


def _still_line(check: str, at: At, met: Sliding, moved_m: float) -> Line:
    """Nothing moves, or no movement is enough."""
    held_kN = float(met.pretension_kN @ met.efficiency_ratio) if moved_m == 0.0 else 0.0
    why = "friction and pretension hold, 0" if moved_m == 0.0 else "none does, since no chain works against it"
    values: tuple[Value, ...] = (*_push(at, met), ("S_0", held_kN, "kN", "tensions before the push by h + mu v"))
    formula = "F = max(H - mu N - S_0, 0)"
    left_kN = float(np.maximum(met.push_kN - met.rubbed_kN - held_kN, 0.0))
    title = f"{TITLE}: {why}; push that is left"
    return Line(check, title, formula, formula, values, ("F", left_kN, "kN"), *FRICTION)


def _push(at: At, met: Sliding) -> tuple[Value, ...]:
    left = at.left
    return (
        ("H", met.push_kN, "kN", f"resultant of the worst push, {at.place}"),
        ("mu", left.pad_friction_ratio, "", "0.75 of the least friction_ratio of the pads" + left.friction_words),
        ("N", at.found.carried_kN, "kN", "force across the deck"),
    )


def _rate_words(at: At, met: Sliding, chain: int) -> str:
    left, share = at.left, float(met.share_ratio[chain])
    if left.fixed_kN[chain] > 0.0:
        return "a top-over leg keeps its force"
    return f"EA h / L: {left.stiffness_kN[chain]:.5g} kN times {share:.4g} over {left.length_m[chain]:.4g} m"


def _allowed(at: At) -> Value:
    return ('d_"lim"', at.arrangement.movement_m, "m", "unit.allowed_movement_m: d is allowed up to it")


def _said(formula: str) -> str:
    return formula.replace(", quad ", "; ")
