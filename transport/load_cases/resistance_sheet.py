"""Calculation lines of what holds against the worst push, by hand in the direction that governs."""

import numpy as np

from shared.arrays import Array
from shared.calculation import Line
from transport.load_cases.governing import At, held_by
from transport.load_cases.use_sheet import use_line
from transport.securing import tipping
from transport.securing.arrangement import (
    DIRECTION_DEG,
    Arrangement,
    centres_m,
    counted,
    direction_ratio,
    resisting,
    share_movement_m,
    stop_ratio,
    turned,
)
from transport.securing.closed_forms import BETWEEN_DEG

__all__ = ["resistance_lines"]

Value = tuple[str, float, str, str]
EN = "EN 12195-1:2010"
SHARE = ("statics, chains that share as they stretch", "common practice, no source", "practice")


def resistance_lines(check: str, at: At) -> list[Line]:
    """Resistance by hand in the direction that governs, the least of the models, and the use in still air.

    Source: sliding.resistance_kN, several models, the least is used (memory).
    """
    stopped = held_by(at.found, at.left) == "stops"
    share = [_pressed_line(check, at)] if stopped else _share_lines(check, at)
    return [_sliding_line(check, at, stopped=stopped), *share, _tipping_line(check, at), use_line(check, at)]


def _title(at: At, words: str) -> str:
    lost = "" if at.found.lost is None else f", {at.lost} lost"
    return f"Resistance towards {DIRECTION_DEG[at.found.direction]:.0f} deg, {words}{lost}"


def _sliding_line(check: str, at: At, *, stopped: bool) -> Line:
    """By the stops, and then without the direct chains, or by the direct chains, and then without the stops."""
    left, k = at.left, at.found.direction
    tension_kN = left.fixed_kN + left.capacity_kN * counted(left)[k] * (not stopped)
    chains, values = _held(at, left, tension_kN, resisting(left)[k], "capacity")
    words = "by the stops; direct chains are not counted" if stopped else "chains full; stops are not counted"
    return _sum_line(check, at, _title(at, words), "R_S", (chains, values), stopped=stopped)


def _pressed_line(check: str, at: At) -> Line:
    """Stops that share as they are pressed: the first that is full ends it."""
    left, k = at.left, at.found.direction
    terms, values = _held(at, left, left.fixed_kN, resisting(left)[k], "")
    share = stop_ratio(left)[k]
    pressing = [int(contact) for contact in np.flatnonzero(share > 0.0)]
    for contact in pressing:
        values += [
            (
                f"B_{contact + 1}",
                float(left.contact_limit_kN[contact]),
                "kN",
                f"{at.contact(contact)}, capacity of the stop",
            ),
            (f"s_{contact + 1}", float(share[contact]), "", "part of its force against the push"),
        ]
    most = _least("p", [f"B_{n + 1} / s_{n + 1}" for n in pressing])
    pressed_kN = float(np.min(left.contact_limit_kN[pressing] / share[pressing]))
    friction = left.pad_friction_ratio
    held_kN = float(left.fixed_kN @ (resisting(left)[k] - friction * left.restraint.pull_ratio[:, 2]))
    values += [
        ("p", pressed_kN, "kN", "the least of them ends it"),
        ("mu", friction, "", "0.75 of the least friction_ratio of the pads" + left.friction_words),
        ("N", at.found.carried_kN, "kN", f"force across the deck, {at.place}"),
    ]
    squares = " + ".join(f"s_{n + 1}^2" for n in pressing)
    formula = f"R_E = {' + '.join([f'p ({squares})', *terms, 'mu N'])}, quad {most}"
    total_kN = pressed_kN * float(np.sum(share**2)) + held_kN + friction * at.found.carried_kN
    title = _title(at, "stops sharing as they are pressed")
    said = formula.replace(", quad ", "; ")
    return Line(check, title, formula, said, tuple(values), ("R_E", total_kN, "kN"), EN, "5.3", "memory")


def _least(symbol: str, parts: list[str]) -> str:
    return f"{symbol} = {parts[0]}" if len(parts) == 1 else f"{symbol} = min({', '.join(parts)})"


def _share_lines(check: str, at: At) -> list[Line]:
    """Elastic share: movement at which the first chain is full, what holds then, in the weakest direction beside."""
    k, friction = at.found.direction, at.left.pad_friction_ratio

    def held_kN(angle_deg: float) -> float:
        one = turned(at.left, angle_deg)
        share = resisting(one)[k]
        rate = _rate_kN_per_m(one, k)
        return float((rate * share_movement_m(one)[k]) @ (share - friction * one.restraint.pull_ratio[:, 2]))

    angle_deg = min(BETWEEN_DEG, key=held_kN)
    one = turned(at.left, angle_deg)
    rate, moved_m = _rate_kN_per_m(one, k), float(share_movement_m(one)[k])
    where = f"{DIRECTION_DEG[k] + angle_deg:.1f} deg"
    pulling = [int(chain) for chain in np.flatnonzero(rate > 0.0)]
    if not pulling:
        return []
    tension_kN = at.left.fixed_kN + rate * moved_m
    held = _held(at, one, tension_kN, resisting(one)[k], f"r d of the line above, towards {where}")
    title = _title(at, f"chains sharing as they stretch, least at {where}")
    return [
        _full_line(check, at, one, pulling, (rate, moved_m, where)),
        _sum_line(check, at, title, "R_E", held, stopped=False),
    ]


def _rate_kN_per_m(one: Arrangement, k: int) -> Array:
    share = resisting(one)[k] * (counted(one)[k] & (one.capacity_kN > 0.0))
    return np.asarray(one.stiffness_kN * share / one.length_m, dtype=float)


def _full_line(check: str, at: At, one: Arrangement, pulling: list[int], found: tuple[Array, float, str]) -> Line:
    rate, moved_m, where = found
    parts = ", ".join(f"C_{n + 1} / r_{n + 1}" for n in pulling)
    values: list[Value] = [('d_"lim"', one.movement_m, "m", "unit.allowed_movement_m")]
    for chain in pulling:
        share = float(resisting(one)[at.found.direction][chain])
        tag = f"chain {at.tags[chain]}"
        words = f"EA h / L: {one.stiffness_kN[chain]:.5g} kN times {share:.4g} over {one.length_m[chain]:.4g} m"
        values += [
            (
                f"C_{chain + 1}",
                float(one.capacity_kN[chain]),
                "kN",
                f"{tag}, capacity that may be used",
            ),
            (f"r_{chain + 1}", float(rate[chain]), "kN/m", f"{tag}, {words}"),
        ]
    title = f"Movement towards {where} at which the first chain is full, or the movement allowed"
    formula = f'd = min(d_"lim", {parts})'
    said = formula.replace('d_"lim"', "dlim")
    result = ("d", moved_m, "m")
    return Line(check, title, formula, said, tuple(values), result, *SHARE)


def _held(at: At, one: Arrangement, tension_kN: Array, share: Array, words: str) -> tuple[list[str], list[Value]]:
    """Terms and values of the chains that pull."""
    terms, values = [], []
    for chain in (int(k) for k in np.flatnonzero(tension_kN > 0.0)):
        number = chain + 1
        terms.append(f"T_{number} (h_{number} + mu v_{number})")
        told = "STF / f_s" if one.fixed_kN[chain] > 0.0 else words
        values += [
            (
                f"T_{number}",
                float(tension_kN[chain]),
                "kN",
                f"chain {at.tags[chain]}, {told}",
            ),
            (f"h_{number}", float(share[chain]), "", "part of the pull that resists"),
            (f"v_{number}", float(-one.restraint.pull_ratio[chain, 2]), "", "sin(alpha), part that presses down"),
        ]
    return terms, values


def _sum_line(
    check: str, at: At, title: str, symbol: str, held: tuple[list[str], list[Value]], *, stopped: bool
) -> Line:
    left, k = at.left, at.found.direction
    terms, values = [*held[0], "mu N"], list(held[1])
    friction = left.pad_friction_ratio
    threes = zip(values[::3], values[1::3], values[2::3], strict=True)
    total_kN = friction * at.found.carried_kN + sum(pull[1] * (h[1] + friction * v[1]) for pull, h, v in threes)
    values += [
        ("mu", friction, "", "0.75 of the least friction_ratio of the pads" + left.friction_words),
        ("N", at.found.carried_kN, "kN", f"force across the deck, {at.place}"),
    ]
    share = stop_ratio(left)[k]
    for contact in (int(j) for j in np.flatnonzero(share * stopped > 0.0)):
        terms.append(f"B_{contact + 1} s_{contact + 1}")
        values += [
            (
                f"B_{contact + 1}",
                float(left.contact_limit_kN[contact]),
                "kN",
                f"{at.contact(contact)}, capacity of the stop",
            ),
            (f"s_{contact + 1}", float(share[contact]), "", "part of its force against the push"),
        ]
        total_kN += float(left.contact_limit_kN[contact] * share[contact])
    formula = f"{symbol} = " + " + ".join(terms)
    clause = "5.3" if stopped else "5.5"
    return Line(check, title, formula, formula, tuple(values), (symbol, total_kN, "kN"), EN, clause, "memory")


def _tipping_line(check: str, at: At) -> Line:
    """About the edge that gives way first, with the chains that count and help, never with stops."""
    left, k = at.left, at.found.direction
    restraint, tension_kN = left.restraint, left.capacity_kN * counted(left)[k] + left.fixed_kN
    edge_m, outward = tipping.outline_m(restraint.contact_m[left.is_pad])
    arm_m = tipping.restoring_arm_m(restraint.pull_ratio, restraint.on_load_m, edge_m, outward)
    helpful_m = np.where(left.fixed_kN > 0.0, arm_m, np.maximum(arm_m, 0.0))
    towards, found = outward @ direction_ratio()[k], []
    for centre_m in centres_m(left)[:, k]:
        for edge in np.flatnonzero(towards > 1e-9):
            inward_m = float((edge_m[edge, :2] - centre_m[:2]) @ outward[edge])
            height_m = float(centre_m[2] - edge_m[edge, 2])
            held_kNm = at.found.carried_kN * inward_m + float(tension_kN @ helpful_m[edge])
            found.append((held_kNm / (height_m * float(towards[edge])), int(edge), inward_m, height_m))
    force_kN, side, inward_m, height_m = min(found)
    near_m = float((edge_m[side, :2] - restraint.reference_m[:2]) @ outward[side])
    values: list[Value] = [
        ("N", at.found.carried_kN, "kN", f"force across the deck, {at.place}"),
        ("b_0", near_m, "m", "centre of mass to the edge"),
        ("b_1", near_m - inward_m, "m", "its tolerance, towards the edge"),
        ("b", inward_m, "m", "what counts"),
        ("d_0", height_m - left.tolerance_m, "m", "height of the centre of mass above the pads"),
        ("d_1", left.tolerance_m, "m", "its tolerance"),
        ("d", height_m, "m", "what counts"),
        ("c", float(towards[side]), "", "cosine between push and outward normal of the edge"),
    ]
    terms = ["N b"]
    for chain in (int(n) for n in np.flatnonzero(tension_kN * helpful_m[side] != 0.0)):
        number = chain + 1
        terms.append(f"T_{number} a_{number}")
        values += [
            (f"T_{number}", float(tension_kN[chain]), "kN", f"chain {at.tags[chain]}, capacity"),
            (f"a_{number}", float(helpful_m[side, chain]), "m", "its lever about the edge"),
        ]
    formula = f"R_T = ({' + '.join(terms)}) / (d c), quad b = b_0 - b_1, quad d = d_0 + d_1"
    said = formula.replace(", quad ", "; ")
    title = _title(at, "tipping about the edge that gives way first")
    return Line(check, title, formula, said, tuple(values), ("R_T", force_kN, "kN"), EN, "5.2, 5.5.3", "memory")
