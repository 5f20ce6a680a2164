"""Calculation line of the use in still air: the worst push against what may be used beside it."""

import numpy as np

from shared.calculation import Line
from transport.load_cases.governing import At
from transport.securing.arrangement import DIRECTION_DEG
from transport.securing.capacity import MODELS

__all__ = ["solved_words", "use_line"]

Value = tuple[str, float, str, str]
SOURCE = (
    "a straight line between neighbouring directions: a part of each way of holding, together one whole",
    "common practice, no source",
    "practice",
)
SOLVED = ("equilibrium", "elastic chains")
SET_WORDS = "the set of forces in the lines below shows that the push is held"
CUT_WORDS = "weaker directions of the same quadrant and the straight reciprocal between vertical factors"
SAME_RATIO = 1e-3


def use_line(check: str, at: At) -> Line:
    """Use in still air, from the resultant and the two directions beside it.

    What can be held is not convex, since stops and chains never hold together. Between two neighbouring directions a
    straight line is taken: a part of each way, together one whole.
    Source: common practice, no source (practice).
    """
    found = at.found
    if not min(found.usable_kN) > 0.0 or np.isinf(found.use_ratio):
        title = "Use in still air: nothing is held in one of the directions beside the push"
        values = (("H", found.push_kN, "kN", f"resultant of the worst push, {at.place}"),)
        return Line(check, title, "u = infinity", "u = infinity", values, ("u", found.use_ratio, ""), *SOURCE)
    return _ratio_line(check, at)


def solved_words(model: str, *, shown: bool) -> str:
    """What is said of a model that no formula gives, nothing of the others; shown: a set of forces holds the push."""
    if model not in SOLVED:
        return ""
    return f"; {model}: solved, no closed form" + (f"; {SET_WORDS}" if shown else "")


def _ratio_line(check: str, at: At) -> Line:
    found, width_deg = at.found, 360.0 / len(DIRECTION_DEG)
    offset_deg = float(np.rad2deg(np.arctan2(found.left_kN, found.ahead_kN)) % width_deg)
    first_words, second_words = (_usable_words(at, side) for side in range(2))
    first_kN, second_kN = found.usable_kN
    formula = "H / (sin Delta) ((sin(Delta - psi)) / R_1 + (sin psi) / R_2)"
    spoken = "H / sin(Delta) (sin(Delta - psi) / R_1 + sin(psi) / R_2)"
    values: tuple[Value, ...] = (
        ("F_x", found.ahead_kN, "kN", f"push forward, {at.place}"),
        ("F_y", found.left_kN, "kN", "push to the left"),
        ("H", found.push_kN, "kN", "resultant"),
        ("psi", offset_deg, "deg", f"angle of the resultant past {DIRECTION_DEG[found.beside[0]]:.0f} deg"),
        ("Delta", width_deg, "deg", "step of the fan"),
        ("R_1", first_kN, "kN", first_words),
        ("R_2", second_kN, "kN", second_words),
        ("R", float(np.min(found.by_model_kN)), "kN", _model_words(at)),
    )
    return Line(
        check,
        "Use in still air",
        f"u = {formula}, quad H = sqrt(F_x^2 + F_y^2)",
        f"u = {spoken}; H = sqrt(F_x^2 + F_y^2)",
        values,
        ("u", found.use_ratio, ""),
        *SOURCE,
    )


def _usable_words(at: At, side: int) -> str:
    """What may be used beside the push, and by what it is less than the least of the models."""
    found = at.found
    towards, least_kN = f"usable towards {DIRECTION_DEG[found.beside[side]]:.0f} deg", float(np.min(found.by_model_kN))
    if found.beside[side] != found.direction:
        return f"{towards}: least of the models there, cut by {CUT_WORDS} where they hold less"
    if abs(found.usable_kN[side] - least_kN) <= SAME_RATIO * least_kN:
        return f"{towards}: least of the models, R"
    return f"{towards}: R, cut by {CUT_WORDS}"


def _model_words(at: At) -> str:
    """Every model in the direction that governs, and which of them no formula gives."""
    found = at.found
    models = ", ".join(f"{name} {value:.4g} kN" for name, value in zip(MODELS, found.by_model_kN, strict=False))
    solved = solved_words(found.model, shown=found.use_ratio <= 1.0)
    return (
        f"towards {DIRECTION_DEG[found.direction]:.0f} deg: {models}; between vertical factors the models run straight"
        f", and so may lie below the lines above{solved}"
    )
