"""Calculation lines of the statutory case: use, what holds and what is needed, where each code governs."""

import numpy as np

from shared.calculation import Line
from transport.load_cases.alone_sheet import alone_lines
from transport.load_cases.codes import Codes
from transport.load_cases.levels import Level
from transport.load_cases.ride import Masses
from transport.load_cases.statutory import NAME, Row
from transport.load_cases.stop_sheet import stop_lines
from transport.load_cases.use_sheet import solved_words
from transport.securing import sliding, tipping
from transport.securing.arrangement import (
    DIRECTION_DEG,
    Arrangement,
    centres_m,
    counted,
    direction_ratio,
    resisting,
)
from transport.securing.capacity import MODELS

__all__ = ["statutory_lines"]

EN = "EN 12195-1:2010"
Key = tuple[object, ...]


def statutory_lines(codes: Codes, masses: Masses) -> list[Line]:
    """LC1, the strictest code first: use, what holds against sliding and tipping, stops, force in each chain.

    Of each code at each level of capacity the direction that governs; of the strictest level the stops in every
    direction. What would be printed twice with the same numbers stands once.
    Source: sliding, tipping and friction of the securing package (memory).
    """
    found: dict[Key, Line] = {}
    for number, row in enumerate(codes.governing):
        for line in _level_lines(row, codes.level_of(row), masses, strictest=number == 0):
            found.setdefault(_key(line, row), line)
        same = [other for other in codes.rows if (other.code, other.level) == (row.code, row.level)]
        for other in same if number == 0 else [row]:
            for line in stop_lines(other, codes.level_of(other).arrangement, masses):
                found.setdefault(_key(line, other), line)
    return list(found.values())


def _level_lines(row: Row, level: Level, masses: Masses, *, strictest: bool) -> list[Line]:
    weight_kN = masses.greatest_t * masses.gravity_mps2
    use = _use_line(row, level, weight_kN, shown=strictest and row.code != "49 CFR 393")
    lines = [use, _held_line(row, level, masses), _tips_line(row, level, masses)]
    return [*lines, *_chain_line(row, level, weight_kN), *alone_lines(row, level.arrangement, weight_kN)]


def _key(line: Line, row: Row) -> Key:
    """Lines of one direction and formula with the same numbers are one, but each code at each level has its own use."""
    owner = row.label if line.result[0] == "u" else row.direction
    return owner, line.formula, *(value[:2] for value in line.values), line.result


def _use_line(row: Row, level: Level, weight_kN: float, *, shown: bool) -> Line:
    """The lines below balance only the push of the strictest row, and with the capacities of the move's own divisor."""
    by_model_kN = level.by_model_kN[:, _index(row)]
    held = [(name, float(kN)) for name, kN in zip(MODELS, by_model_kN, strict=False) if "tipping" not in name]
    models = ", ".join(f"{name} {value:.4g} kN" for name, value in held)
    least = next((name for name, value in held if value == row.sliding_kN), "")
    solved = solved_words(least, shown=shown and row.use_ratio <= 1.0)
    values = (
        ("c_s", row.sliding_ratio, "", f"{row.code}, sliding {row.direction}"),
        ("R_s", row.sliding_kN, "kN", f"least of {models}; lines at {row.level}{solved}"),
        ("c_t", row.tipping_ratio, "", f"{row.code}, tipping {row.direction}"),
        ("R_t", row.tipping_kN, "kN", f"EN tipping; lines at {row.level}"),
        ("W", weight_kN, "kN", "mass with its tolerance, 9.81 m/s2"),
    )
    formula = "u = max((c_s W) / R_s, (c_t W) / R_t)"
    spoken = "u = max(c_s W / R_s, c_t W / R_t)"
    title = f"Use of the securing {row.direction}: {row.code}, {row.level}"
    return Line(NAME, title, formula, spoken, values, ("u", row.use_ratio, ""), row.source, "", "memory")


def _held_line(row: Row, level: Level, masses: Masses) -> Line:
    """The sliding balance in the way that holds more: by the stops or by the direct chains."""
    arrangement, k, stopped = level.arrangement, _index(row), row.way == "stops"
    direct_kN = arrangement.capacity_kN * counted(arrangement)[k] * (not stopped)
    tension_kN = arrangement.fixed_kN + direct_kN
    along, down = (
        float(tension_kN @ resisting(arrangement)[k]),
        float(-tension_kN @ arrangement.restraint.pull_ratio[:, 2]),
    )
    friction, carried_kN = arrangement.pad_friction_ratio, masses.least_t * masses.gravity_mps2
    stop_kN = row.stop_kN * stopped
    words = "stops hold, so direct chains are not counted" if stopped else "chains hold, so stops are not counted"
    values = (
        ("S_h", along, "kN", f"sum of tension by h, {np.count_nonzero(direct_kN)} direct chains at {row.level}"),
        ("S_v", down, "kN", "sum of tension by v = sin(alpha)"),
        ("mu", friction, "", _friction_words(row, arrangement)),
        ("N", carried_kN, "kN", "mass less its tolerance, 9.81 m/s2, level deck"),
        ("B", stop_kN, "kN", f"stops {row.direction} until the first is full, the same at every level; {words}"),
    )
    result = ("R_S", along + friction * (down + carried_kN) + stop_kN, "kN")
    formula, title = "R_S = S_h + mu (S_v + N) + B", f"Resistance against sliding {row.direction}, {row.level}"
    return Line(NAME, title, formula, formula, values, result, EN, "5.3, 5.5", "memory")


def _tips_line(row: Row, level: Level, masses: Masses) -> Line:
    """The tipping balance about the edge, and with the place of the centre of mass, that give least."""
    arrangement, k = level.arrangement, _index(row)
    restraint, carried_kN = arrangement.restraint, masses.least_t * masses.gravity_mps2
    edge_m, outward = tipping.outline_m(restraint.contact_m[arrangement.is_pad])
    arm_m = tipping.restoring_arm_m(restraint.pull_ratio, restraint.on_load_m, edge_m, outward)
    arm_m = np.where(arrangement.fixed_kN > 0.0, arm_m, np.maximum(arm_m, 0.0))
    holding_kNm = arm_m @ (arrangement.capacity_kN * counted(arrangement)[k] + arrangement.fixed_kN)
    apart_m = edge_m[None] - centres_m(arrangement)[:, k, None]
    inward_m, towards = np.einsum("cei,ei->ce", apart_m[..., :2], outward), outward @ direction_ratio()[k]
    with np.errstate(divide="ignore", invalid="ignore"):
        force_kN = (carried_kN * inward_m + holding_kNm) / (-apart_m[..., 2] * towards)
    force_kN = np.where(towards > 1e-9, force_kN, np.inf)
    corner, edge = np.unravel_index(int(np.argmin(force_kN)), force_kN.shape)
    values = (
        ("N", carried_kN, "kN", "mass less its tolerance, 9.81 m/s2, level deck"),
        ("b", float(inward_m[corner, edge]), "m", "centre of mass to the edge of the pads, less its tolerance"),
        ("M", float(holding_kNm[edge]), "kNm", f"moment of the chains about this edge, lines at {row.level}"),
        ("d", float(-apart_m[corner, edge, 2]), "m", "height of the centre of mass above it, with its tolerance"),
        ("q", float(towards[edge]), "", "cosine between the push and the outward normal of the edge"),
    )
    result = ("R_T", float(force_kN[corner, edge]), "kN")
    formula, spoken = "R_T = (N b + M) / (d q)", "R_T = (N b + M) / (d q)"
    title = f"Resistance against tipping {row.direction}, {row.level}"
    return Line(NAME, title, formula, spoken, values, result, EN, "5.2, 5.5.3", "memory")


def _chain_line(row: Row, level: Level, weight_kN: float) -> list[Line]:
    k, arrangement = _index(row), level.arrangement
    chosen = counted(arrangement)[k] & (arrangement.capacity_kN > 0.0)
    if not chosen.any():
        return []
    along, down = resisting(arrangement)[k][chosen], -arrangement.restraint.pull_ratio[chosen, 2]
    friction = arrangement.pad_friction_ratio
    force_kN = sliding.direct_lashing_force_kN(weight_kN, row.sliding_ratio, friction, along, down)
    least_kN = float(np.min(arrangement.capacity_kN[chosen]))
    values = (
        ("c_s", row.sliding_ratio, "", f"sliding {row.direction}"),
        ("mu", friction, "", _friction_words(row, arrangement)),
        ("W", weight_kN, "kN", "mass with its tolerance, 9.81 m/s2"),
        ("S_h", float(np.sum(along)), "", f"sum of h of the {len(along)} direct chains that count"),
        ("S_v", float(np.sum(down)), "", "sum of v = sin(alpha) of these chains"),
    )
    formula = "F_R = (W (c_s - mu)) / (S_h + mu S_v)"
    spoken = "F_R = W (c_s - mu) / (S_h + mu S_v)"
    title = f"Equal force in each chain, without stops, {row.direction}: the weakest has {least_kN:.4g} kN, {row.level}"
    found = [Line(NAME, title, formula, spoken, values, ("F_R", force_kN, "kN"), EN, "5.5", "memory")]
    if row.code == "49 CFR 393":
        bare = ("F_0", row.sliding_ratio * weight_kN / float(np.sum(along)), "kN")
        title = f"The same if no friction were counted, {row.direction}: the weakest has {least_kN:.4g} kN, {row.level}"
        text = ("F_0 = (W c_s) / S_h", "F_0 = W c_s / S_h", (values[0], values[2], values[3]), bare)
        found.append(Line(NAME, title, *text, "49 CFR 393", "the rule is silent about friction", "practice"))
    return found


def _friction_words(row: Row, arrangement: Arrangement) -> str:
    silent = "; an assumption: 49 CFR 393 is silent about friction" if row.code == "49 CFR 393" else ""
    return "0.75 of the least friction_ratio of the pads" + arrangement.friction_words + silent


def _index(row: Row) -> int:
    return int(np.flatnonzero(row.angle_deg == DIRECTION_DEG)[0])
