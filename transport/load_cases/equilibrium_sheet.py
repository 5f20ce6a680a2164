"""One set of forces in equilibrium with the worst push of a load case, as sums that a person can add up."""

import numpy as np

from shared.arrays import Array
from shared.calculation import Line
from transport.load_cases.governing import At, held_by
from transport.securing.admissible import Admissible, admissible
from transport.securing.arrangement import DIRECTION_DEG, contact_limits_kN, counted

__all__ = ["balance", "equilibrium_lines", "limits_kN"]

Value = tuple[str, float, str, str]
SOURCE = ("limit analysis", "static theorem, common practice, no source", "practice")
AXES = ("x, forward", "y, to the left", "z, upwards")
NOTHING_RATIO = 1e-9
TURN_RATIO = 1e-6


def limits_kN(at: At) -> tuple[Array, Array]:
    """Largest tension (n,) and contact force (p,) that may be counted against the worst push; 0 for the others.

    By stops or by direct chains, the way that holds; what counts in either of the directions beside the push.
    Source: capacity, stops or direct chains, never both (memory); directional crediting (practice).
    """
    left, beside = at.left, _beside(at)
    if held_by(at.found, at.left) == "stops":
        return np.zeros_like(left.capacity_kN), np.max(contact_limits_kN(left)[beside], axis=0)
    return left.capacity_kN * counted(left)[beside].any(axis=0), left.contact_limit_kN * left.is_pad


def balance(at: At) -> Admissible:
    """The most even set of forces that balances the worst push; NaN, and so in words, where none does.

    Source: admissible.admissible (practice).
    """
    tension_kN, contact_kN = limits_kN(at)
    found = at.found
    push_kN = np.array([found.ahead_kN, found.left_kN, found.carried_kN])
    return admissible(at.left, push_kN, tension_limit_kN=tension_kN, contact_limit_kN=contact_kN)


def equilibrium_lines(check: str, at: At, found: Admissible) -> list[Line]:
    """Sums of all forces along and of all moments about x, y and z, then the largest part of a capacity.

    Source: admissible.admissible (practice).
    """
    if np.isnan(found.use_ratio):
        return []
    return [
        *(_force_line(check, at, found, axis) for axis in range(3)),
        *(_moment_line(check, at, found, axis) for axis in range(3)),
        _use_line(check, at, found),
        *_friction_lines(check, at, found),
    ]


def _beside(at: At) -> list[int]:
    """The directions of the fan beside the push; only one where it points along it."""
    turn = float(np.arctan2(at.found.left_kN, at.found.ahead_kN) / (2.0 * np.pi)) * len(DIRECTION_DEG)
    return sorted(
        {int(np.floor(turn + TURN_RATIO)) % len(DIRECTION_DEG), int(np.ceil(turn - TURN_RATIO)) % len(DIRECTION_DEG)}
    )


def _force_line(check: str, at: At, found: Admissible, axis: int) -> Line:
    acting_kN = _acting_kN(at)
    values: list[Value] = [("F", float(acting_kN[axis]), "kN", f"worst push, {at.place}" if axis < 2 else "carried")]
    pull_ratio = at.left.restraint.pull_ratio
    for chain in _pulling(at, found):
        tension_kN, cosine = float(found.tension_kN[chain]), float(pull_ratio[chain, axis])
        words = f"chain {at.tags[chain]}: {tension_kN:.5g} kN times {cosine:.4g}"
        values.append((f"T_{chain + 1}", tension_kN * cosine, "kN", words))
    for contact in _pressed(at, found):
        values.append((f"N_{contact + 1}", float(found.contact_kN[contact, axis]), "kN", at.contact(contact)))
    return _sum_line(check, f"Sum of all forces along {AXES[axis]}", ("R", "kN"), values)


def _moment_line(check: str, at: At, found: Admissible, axis: int) -> Line:
    restraint = at.left.restraint
    values: list[Value] = []
    for chain in _pulling(at, found):
        force_kN = found.tension_kN[chain] * restraint.pull_ratio[chain]
        arm_m = restraint.on_load_m[chain] - found.centre_m
        words = f"chain {at.tags[chain]}: {_arms(arm_m, force_kN, axis)}"
        values.append((f"T_{chain + 1}", float(np.cross(arm_m, force_kN)[axis]), "kNm", words))
    for contact in _pressed(at, found):
        force_kN, arm_m = found.contact_kN[contact], restraint.contact_m[contact] - found.centre_m
        words = f"{at.contact(contact)}: {_arms(arm_m, force_kN, axis)}"
        values.append((f"N_{contact + 1}", float(np.cross(arm_m, force_kN)[axis]), "kNm", words))
    centre = ", ".join(f"{value:.3f}" for value in found.centre_m)
    title = f"Sum of all moments about {AXES[axis][0]} through the centre of mass at its worst, ({centre}) m"
    return _sum_line(check, title, ("M", "kNm"), values)


def _sum_line(check: str, title: str, result: tuple[str, str], values: list[Value]) -> Line:
    symbol, unit = result
    formula = f"{symbol} = " + " + ".join(value[0] for value in values)
    total = float(np.sum([value[1] for value in values]))
    return Line(check, title, formula, formula, tuple(values), (symbol, total, unit), *SOURCE)


def _use_line(check: str, at: At, found: Admissible) -> Line:
    limits = np.concatenate(limits_kN(at))
    forces = np.concatenate([found.tension_kN - at.left.fixed_kN, found.normal_kN])
    signs = [("T", "C", n, f"chain {tag}, tension") for n, tag in enumerate(at.tags, start=1)]
    signs += [("N", "B", n + 1, f"{at.contact(n)}, normal force") for n in range(len(found.normal_kN))]
    shown = [int(k) for k in np.flatnonzero((limits > 0.0) & (forces > NOTHING_RATIO * at.left.weight_kN))]
    values: list[Value] = []
    parts: list[str] = []
    for k in shown:
        force, capacity, number, words = signs[k]
        parts.append(f"{force}_{number} / {capacity}_{number}")
        values += [
            (f"{force}_{number}", float(forces[k]), "kN", words),
            (f"{capacity}_{number}", float(limits[k]), "kN", "its capacity"),
        ]
    formula = _most("u", parts)
    title = "Largest part of a capacity in this set: it proves that the push can be held if it is at most 1"
    return Line(check, title, formula, formula, tuple(values), ("u", found.use_ratio, ""), *SOURCE)


def _friction_lines(check: str, at: At, found: Admissible) -> list[Line]:
    restraint = at.left.restraint
    rough = [k for k in _pressed(at, found) if restraint.friction_ratio[k] > 0.0]
    if not rough:
        return []
    values: list[Value] = []
    for k in rough:
        rubbed_kN = found.contact_kN[k] - found.normal_kN[k] * restraint.normal_ratio[k]
        values += [
            (f"f_{k + 1}", float(np.linalg.norm(rubbed_kN)), "kN", f"{at.contact(k)}, friction"),
            (f"mu_{k + 1}", float(restraint.friction_ratio[k]), "", "0.75 of friction_ratio"),
            (f"N_{k + 1}", float(found.normal_kN[k]), "kN", "normal force"),
        ]
    part = max(values[3 * k][1] / (values[3 * k + 1][1] * values[3 * k + 2][1]) for k in range(len(rough)))
    formula = _most("k", [f"f_{k + 1} / (mu_{k + 1} N_{k + 1})" for k in rough])
    title = "Largest part of the friction of a contact in this set: at most 1"
    return [Line(check, title, formula, formula, tuple(values), ("k", part, ""), *SOURCE)]


def _most(symbol: str, parts: list[str]) -> str:
    return f"{symbol} = {parts[0]}" if len(parts) == 1 else f"{symbol} = max({', '.join(parts)})"


def _acting_kN(at: At) -> Array:
    return np.array([at.found.ahead_kN, at.found.left_kN, -at.found.carried_kN])


def _pulling(at: At, found: Admissible) -> list[int]:
    return [int(chain) for chain in np.flatnonzero(found.tension_kN > NOTHING_RATIO * at.left.weight_kN)]


def _pressed(at: At, found: Admissible) -> list[int]:
    return [int(contact) for contact in np.flatnonzero(found.normal_kN > NOTHING_RATIO * at.left.weight_kN)]


def _arms(arm_m: Array, force_kN: Array, axis: int) -> str:
    first, second = (axis + 1) % 3, (axis + 2) % 3
    return (
        f"{arm_m[first]:.4g} m times {force_kN[second]:.5g} kN less "
        f"{arm_m[second]:.4g} m times {force_kN[first]:.5g} kN"
    )
