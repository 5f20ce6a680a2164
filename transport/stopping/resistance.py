"""Resistance to motion on a grade, and what tyres can pass to the road."""

import numpy as np
from numpy.typing import ArrayLike

from shared.arrays import Array
from shared.units import STANDARD_GRAVITY_MPS2

__all__ = [
    "adhesion_force_kN",
    "bad_grades_ratio",
    "demand_ratio",
    "grade_force_kN",
    "grade_pull_mps2",
    "power_kW",
    "rolling_force_kN",
    "start_possible_mps2",
]


def grade_pull_mps2(grade_ratio: ArrayLike) -> Array:
    """Gravity along the road: g sin(atan G), with the sign of the grade; divided by g it is the holding ratio.

    Shapes broadcast. Source: statics.
    """
    grade = np.asarray(grade_ratio, dtype=float)
    return np.asarray(STANDARD_GRAVITY_MPS2 * grade / np.hypot(1.0, grade))


def grade_force_kN(mass_t: ArrayLike, grade_ratio: ArrayLike) -> Array:
    """Grade resistance: m g sin(theta), theta = atan G; negative downhill.

    Shapes broadcast. Source: statics.
    """
    return np.asarray(np.asarray(mass_t, dtype=float) * grade_pull_mps2(grade_ratio))


def rolling_force_kN(mass_t: ArrayLike, grade_ratio: ArrayLike, rolling_ratio: ArrayLike) -> Array:
    """Rolling resistance: C_rr m g cos(theta).

    Shapes broadcast. Validity: straight, or all wheels steered; scrub of unsteered axles is not in it.
    Source: handbook of vehicle dynamics (memory).
    """
    normal_mps2 = STANDARD_GRAVITY_MPS2 / np.hypot(1.0, np.asarray(grade_ratio, dtype=float))
    return np.asarray(np.asarray(rolling_ratio, dtype=float) * np.asarray(mass_t, dtype=float) * normal_mps2)


def adhesion_force_kN(driven_mass_t: ArrayLike, grade_ratio: ArrayLike, adhesion_ratio: ArrayLike) -> Array:
    """Greatest force between driven wheels and road: mu m_driven g cos(theta).

    Shapes broadcast. Validity: load transfer to the driven axles left out. Source: Coulomb friction (memory).
    """
    return rolling_force_kN(driven_mass_t, grade_ratio, adhesion_ratio)


def start_possible_mps2(tractive_kN: ArrayLike, adhesion_kN: ArrayLike, need_kN: ArrayLike, mass_t: ArrayLike) -> Array:
    """Acceleration of a start that drive and driven wheels leave on the climb: (min(F_t, F_mu) - F) / m, not below 0.

    Shapes broadcast, NaN stays NaN. Validity: force at the planned speed; a drive may pull harder from standstill.
    Source: mechanics.
    """
    left_kN = np.minimum(tractive_kN, adhesion_kN) - np.asarray(need_kN, dtype=float)
    return np.asarray(np.maximum(left_kN, 0.0) / np.asarray(mass_t, dtype=float))


def power_kW(force_kN: ArrayLike, speed_mps: ArrayLike) -> Array:
    """Power at the wheel: F v.

    Shapes broadcast. Source: mechanics.
    """
    return np.asarray(np.asarray(force_kN, dtype=float) * np.asarray(speed_mps, dtype=float))


def bad_grades_ratio(grade_ratio: ArrayLike, allowance_ratio: ArrayLike) -> tuple[Array, Array]:
    """Steepest climb and steepest descent to be reckoned with: max(G, 0) + e and max(-G, 0) + e.

    Each sense keeps the allowance of the survey, so that a steeper road is never the easier one.
    Shapes: (station,); both 0 or positive, NaN stays NaN. Source: least favourable end of the uncertainty (practice).
    """
    grade, reach = np.asarray(grade_ratio, dtype=float), np.asarray(allowance_ratio, dtype=float)
    return np.maximum(grade, 0.0) + reach, np.maximum(-grade, 0.0) + reach


def demand_ratio(value: Array, high: ArrayLike) -> Array:
    """Demand over capacity; nothing asked of nothing is 0, anything asked of nothing infinite, NaN stays NaN.

    Shapes broadcast. Source: definition of utilisation.
    """
    asked, given = np.broadcast_arrays(value, np.asarray(high, dtype=float))
    result = np.where(asked > 0.0, np.inf, 0.0)
    np.divide(asked, given, out=result, where=given > 0.0)
    return np.where(np.isnan(asked) | np.isnan(given), np.nan, result)
