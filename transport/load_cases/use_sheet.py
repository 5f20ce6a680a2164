"""Calculation line of the use in still air: the worst push against what may be used beside it."""

import numpy as np

from shared.calculation import Line
from transport.load_cases.governing import At
from transport.securing.arrangement import DIRECTION_DEG
from transport.securing.capacity import MODELS

__all__ = ["use_line"]

Value = tuple[str, float, str, str]


def use_line(check: str, at: At) -> Line:
    """Use in still air, from the resultant and the two directions beside it.

    Source: convexity of what can be held (practice).
    """
    found = at.found
    if not min(found.usable_kN) > 0.0 or np.isinf(found.use_ratio):
        title = "Use in still air: nothing is held in one of the directions beside the push"
        values = (("H", found.push_kN, "kN", f"resultant of the worst push, {at.place}"),)
        source = "convexity of what can be held"
        return Line(
            check, title, "u = infinity", "u = infinity", values, ("u", found.use_ratio, ""), source, "", "practice"
        )
    return _ratio_line(check, at)


def _ratio_line(check: str, at: At) -> Line:
    found, width_deg = at.found, 360.0 / len(DIRECTION_DEG)
    offset_deg = float(np.rad2deg(np.arctan2(found.left_kN, found.ahead_kN)) % width_deg)
    models = ", ".join(f"{name} {value:.4g} kN" for name, value in zip(MODELS, found.by_model_kN, strict=False))
    first_deg, second_deg = (f"{DIRECTION_DEG[k]:.0f} deg" for k in found.beside)
    first_kN, second_kN = found.usable_kN
    formula = "H / (sin Delta) ((sin(Delta - psi)) / R_1 + (sin psi) / R_2)"
    spoken = "H / sin(Delta) (sin(Delta - psi) / R_1 + sin(psi) / R_2)"
    values: tuple[Value, ...] = (
        ("F_x", found.ahead_kN, "kN", f"push forward, {at.place}"),
        ("F_y", found.left_kN, "kN", "push to the left"),
        ("H", found.push_kN, "kN", "resultant"),
        ("psi", offset_deg, "deg", f"angle of the resultant past {first_deg}"),
        ("Delta", width_deg, "deg", "step of the fan"),
        ("R_1", first_kN, "kN", f"usable towards {first_deg}: least of the models, weaker directions included"),
        ("R_2", second_kN, "kN", f"usable towards {second_deg}"),
        ("R", float(np.min(found.by_model_kN)), "kN", f"towards {DIRECTION_DEG[found.direction]:.0f} deg: {models}"),
    )
    return Line(
        check,
        "Use in still air",
        f"u = {formula}, quad H = sqrt(F_x^2 + F_y^2)",
        f"u = {spoken}; H = sqrt(F_x^2 + F_y^2)",
        values,
        ("u", found.use_ratio, ""),
        "convexity of what can be held",
        "",
        "practice",
    )
