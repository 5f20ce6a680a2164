"""Calculation lines of the worst push of a load case in still air: weight, stop, bend, shaking, what is carried."""

from dataclasses import dataclass

import numpy as np

from shared.arrays import Array
from shared.calculation import Line
from shared.tables import figure
from transport.load_cases import earthquake, operation
from transport.load_cases.governing import At
from transport.load_cases.polytope import SIGNS
from transport.load_cases.ride import Masses, Ride
from transport.trailer.earthquake import parts_ratio

__all__ = ["operation_pushes", "shaken_pushes"]

Value = tuple[str, float, str, str]
STATICS = ("statics", "common practice, no source", "practice")
QUAKE = ("EN 1998-1:2004", "4.3.3.5", "memory")


@dataclass(frozen=True)
class _Shake:
    """The corner of the still push, the parts of the shaking, and the vector that leads from the one to the worst."""

    ahead_kN: float
    left_kN: float
    part: float
    up_part: float
    beyond: float
    away_deg: float
    size_kN: float


def operation_pushes(check: str, at: At, masses: Masses, ride: Ride) -> list[Line]:
    """Push forward, push to the left and what is carried, with the ends that the worst push holds.

    Source: operation.still (practice).
    """
    found, row = at.found, at.found.row
    shaken_kN = masses.least_t * abs(float(ride.vertical_mps2[row]))
    return [
        _ahead_line(check, at, masses, ride, found.ahead_kN),
        _left_line(check, at, masses, ride, found.left_kN, "F_y"),
        _carried_line(check, at, masses, ride, found.carried_kN + shaken_kN, float(ride.vertical_mps2[row])),
    ]


def shaken_pushes(check: str, at: At, masses: Masses, ride: Ride, shaking_kN: Array) -> list[Line]:
    """Weight and bend, the shaking with its parts, both together, and what is carried, shaken up and down.

    Source: earthquake.shaken (memory).
    """
    found = _shake(at, masses, ride, shaking_kN)
    lift_kN = shaking_kN[at.found.row, 1] * found.up_part
    return [
        _weight_line(check, at, masses, ride, found.ahead_kN),
        _left_line(check, at, masses, ride, found.left_kN, "F_y"),
        _shaking_line(check, at, masses, shaking_kN, found),
        _together_line(check, at, found),
        _lifted_line(check, at, masses, ride, shaking_kN, (found.up_part, at.found.carried_kN + lift_kN)),
    ]


def _shake(at: At, masses: Masses, ride: Ride, shaking_kN: Array) -> _Shake:
    """The corner and the shake of its quadrant that together are the worst push."""
    found, row, other = at.found, at.found.row, figure("load_cases_seismic_other_ratio")
    still = earthquake.still(masses, ride)
    level_kN, up_kN = (float(value) for value in shaking_kN[row])
    options: list[tuple[float, _Shake]] = []
    for sign_x, sign_y in SIGNS:
        ahead_kN, left_kN = float(still.ahead_kN[sign_x > 0.0][row]), float(still.left_kN[sign_y > 0.0][row])
        rest_kN = np.array([found.ahead_kN - ahead_kN, found.left_kN - left_kN])
        size_kN, away_deg = float(np.hypot(*rest_kN)), float(np.rad2deg(np.arctan2(rest_kN[1], rest_kN[0])))
        for along, aside, up_part in earthquake.shakes_ratio(other).tolist():
            part = next(whole for whole, up in parts_ratio(other) if up == up_part)
            miss_kN = abs(float(still.carried_kN[row]) - up_part * up_kN - found.carried_kN)
            miss_kN += float(np.hypot(*(rest_kN - level_kN * np.array([sign_x * along, sign_y * aside]))))
            beyond = float(np.hypot(along, aside)) / part
            options.append((miss_kN, _Shake(ahead_kN, left_kN, part, up_part, beyond, away_deg, size_kN)))
    return min(options, key=lambda option: option[0])[1]


def _ahead_line(check: str, at: At, masses: Masses, ride: Ride, target_kN: float) -> Line:
    """Gravity along the deck with the stop, or its rebound or the start, whichever the worst push holds."""
    row = at.found.row
    options = [
        (sign * float(acceleration[row]), float(pitch))
        for sign, acceleration in ((1.0, ride.deceleration_mps2), (-1.0, operation.backward_mps2(ride)))
        for pitch in (*ride.pitch_deg[:, row], 0.0)
    ]

    def force_kN(acceleration_mps2: float, pitch_deg: float) -> float:
        return masses.greatest_t * (acceleration_mps2 - masses.gravity_mps2 * float(np.sin(np.deg2rad(pitch_deg))))

    taken_mps2, pitch_deg = min(options, key=lambda option: abs(force_kN(*option) - target_kN))
    values = (
        *_mass(masses),
        ("theta", pitch_deg, "deg", f"pitch of the deck, {at.place}; 0 where the tilt would help"),
        ("a", taken_mps2, "m/s2", "emergency stop (above 0), or its rebound or the start (below 0)"),
    )
    formula = "F_x = m (a - g sin theta), quad m = m_0 + m_1"
    result = ("F_x", force_kN(taken_mps2, pitch_deg), "kN")
    return Line(check, "Push forward", formula, _said(formula), values, result, *STATICS)


def _weight_line(check: str, at: At, masses: Masses, ride: Ride, target_kN: float) -> Line:
    """Gravity along the deck alone."""

    def force_kN(pitch_deg: float) -> float:
        return -masses.greatest_t * masses.gravity_mps2 * float(np.sin(np.deg2rad(pitch_deg)))

    options = [float(pitch) for pitch in (*ride.pitch_deg[:, at.found.row], 0.0)]
    pitch_deg = min(options, key=lambda option: abs(force_kN(option) - target_kN))
    values = (
        *_mass(masses),
        ("theta", pitch_deg, "deg", f"pitch of the deck, {at.place}; 0 where the tilt would help"),
    )
    formula = "F_x = -m g sin theta, quad m = m_0 + m_1"
    result = ("F_x", force_kN(pitch_deg), "kN")
    return Line(check, "Push forward of the grade", formula, _said(formula), values, result, *STATICS)


def _left_line(check: str, at: At, masses: Masses, ride: Ride, target_kN: float, symbol: str) -> Line:
    """Gravity across the deck with the bend, whichever ends the worst push holds."""
    row = at.found.row
    options = [
        (float(pitch), float(roll), float(bend))
        for pitch in ride.pitch_deg[:, row]
        for roll in (*ride.roll_deg[:, row], 0.0)
        for bend in (*ride.bend_per_m[:, row], 0.0)
    ]

    def force_kN(pitch_deg: float, roll_deg: float, bend_per_m: float) -> float:
        aside = float(np.cos(np.deg2rad(pitch_deg)) * np.sin(np.deg2rad(roll_deg)))
        return -masses.greatest_t * (masses.gravity_mps2 * aside + float(ride.speed_mps[row]) ** 2 * bend_per_m)

    pitch_deg, roll_deg, bend_per_m = min(options, key=lambda option: abs(force_kN(*option) - target_kN))
    values = (
        *_mass(masses),
        ("theta", pitch_deg, "deg", f"pitch of the deck, {at.place}"),
        ("phi", roll_deg, "deg", f"roll of the deck, {at.place}; 0 where the tilt would help"),
        ("v", float(ride.speed_mps[row]), "m/s", f"planned speed, {at.place}"),
        ("kappa", bend_per_m, "1/m", f"curvature with its error, {at.place}; 0 if the train stops in the bend"),
    )
    formula = f"{symbol} = -m (g cos theta sin phi + v^2 kappa), quad m = m_0 + m_1"
    result = (symbol, force_kN(pitch_deg, roll_deg, bend_per_m), "kN")
    return Line(check, "Push to the left", formula, _said(formula), values, result, *STATICS)


def _across(at: At, masses: Masses, ride: Ride, across_kN: float) -> tuple[Value, ...]:
    """The least mass and the tilt that leave least weight across the deck."""
    row, weight_kN = at.found.row, masses.least_t * masses.gravity_mps2
    tilts = [(float(pitch), float(roll)) for pitch in ride.pitch_deg[:, row] for roll in ride.roll_deg[:, row]]

    def miss_kN(tilt_deg: tuple[float, float]) -> float:
        return abs(weight_kN * float(np.prod(np.cos(np.deg2rad(tilt_deg)))) - across_kN)

    pitch_deg, roll_deg = min(tilts, key=miss_kN)
    return (
        ("m_0", masses.nominal_t, "t", "unit.mass_t"),
        ("m_1", masses.greatest_t - masses.nominal_t, "t", "unit.mass_tolerance_t"),
        ("m", masses.least_t, "t", "the least that it may be"),
        ("g", masses.gravity_mps2, "m/s2", "EN 12195-1"),
        ("theta", pitch_deg, "deg", f"pitch of the deck, {at.place}"),
        ("phi", roll_deg, "deg", f"roll of the deck, {at.place}"),
    )


def _carried_line(check: str, at: At, masses: Masses, ride: Ride, across_kN: float, shake_mps2: float) -> Line:
    values = (
        *_across(at, masses, ride, across_kN),
        ("a_z", abs(shake_mps2), "m/s2", "vertical acceleration on the road, upwards"),
    )
    formula = "N = m (g cos theta cos phi - a_z), quad m = m_0 - m_1"
    result = ("N", at.found.carried_kN, "kN")
    return Line(check, "Force across the deck, the least", formula, _said(formula), values, result, *STATICS)


def _shaking_line(check: str, at: At, masses: Masses, shaking_kN: Array, found: _Shake) -> Line:
    other = figure("load_cases_seismic_other_ratio")
    leading = found.part > 1.0
    formula = f"F_E = k p m a_h, quad p = {'sqrt(1 + e^2)' if leading else 'e sqrt(2)'}, quad m = m_0 + m_1"
    values = (
        ("k", found.beyond, "", "so that the steps round the circle of directions lie outside it"),
        ("e", other, "", "part of the other components"),
        ("p", found.part, "", "1 where a horizontal component is taken in full, else its part beside the vertical one"),
        *(value for value in _mass(masses) if value[0] != "g"),
        ("a_h", float(shaking_kN[at.found.row, 0]) / masses.greatest_t, "m/s2", f"deck, horizontal, {at.place}"),
    )
    result = ("F_E", found.beyond * found.part * float(shaking_kN[at.found.row, 0]), "kN")
    return Line(check, "Horizontal shaking any way round", formula, _said(formula), values, result, *QUAKE)


def _together_line(check: str, at: At, found: _Shake) -> Line:
    formula = "H_x = F_x + F_E cos psi, quad H_y = F_y + F_E sin psi"
    values = (
        ("F_x", found.ahead_kN, "kN", "line above"),
        ("F_y", found.left_kN, "kN", "line above"),
        ("F_E", found.size_kN, "kN", "line above"),
        ("psi", found.away_deg, "deg", "worst direction of the shaking, 0 forward, 90 to the left"),
        ("H_y", at.found.left_kN, "kN", "worst push to the left"),
    )
    result = ("H_x", at.found.ahead_kN, "kN")
    return Line(
        check, "Worst push forward and to the left, still air", formula, _said(formula), values, result, *STATICS
    )


def _lifted_line(check: str, at: At, masses: Masses, ride: Ride, shaking_kN: Array, taken: tuple[float, float]) -> Line:
    up_part, across_kN = taken
    up_mps2 = float(shaking_kN[at.found.row, 1]) / masses.greatest_t
    most_kN = masses.greatest_t * (masses.gravity_mps2 + up_part * up_mps2)
    values = (
        *_across(at, masses, ride, across_kN),
        ("m_2", masses.greatest_t, "t", "the most that it may be"),
        ("q", up_part, "", "part of the vertical component beside the horizontal ones"),
        ("a_v", up_mps2, "m/s2", f"deck, vertical, {at.place}"),
        ("N_d", most_kN, "kN", "shaken downwards, level deck: more weight is never counted to hold more"),
    )
    formula = (
        "N = m g cos theta cos phi - q m_2 a_v, quad N_d = m_2 (g + q a_v), quad m = m_0 - m_1, quad m_2 = m_0 + m_1"
    )
    result = ("N", at.found.carried_kN, "kN")
    title = "Force across the deck, shaken upwards; and downwards"
    return Line(check, title, formula, _said(formula), values, result, *QUAKE)


def _mass(masses: Masses) -> tuple[Value, ...]:
    return (
        ("m_0", masses.nominal_t, "t", "unit.mass_t"),
        ("m_1", masses.greatest_t - masses.nominal_t, "t", "unit.mass_tolerance_t"),
        ("m", masses.greatest_t, "t", "the most that it may be"),
        ("g", masses.gravity_mps2, "m/s2", "EN 12195-1"),
    )


def _said(formula: str) -> str:
    return formula.replace(", quad ", "; ")
