"""Calculation lines of the stopping checks, each at the station that governs it."""

from collections.abc import Mapping

import numpy as np

from shared.arrays import Array
from shared.calculation import Line
from shared.units import STANDARD_GRAVITY_MPS2

__all__ = ["CLAUSES", "REMEDIES", "STATES", "lines", "remedies", "worst_of"]

STATES = (HOLDING, TRACTION, DISTANCE, MIRROR, PARKING, RIDE) = (
    "holding speed without brakes",
    "climbing traction",
    "stopping distance",
    "mirror acceleration",
    "parking on the grade",
    "ride",
)
CLAUSES = (
    "statics on the grade; a crawl is not held on the service brake: common practice, no source",
    "statics on the grade; adhesion from memory",
    "kinematics; the limit is the move's own",
    "statics and step response; allowed acceleration from the mirror's supplier",
    "rating of the parking brake; adhesion from memory",
    "ISO 8608, upper limit of the class; random vibration",
)
REMEDIES = (
    "add a second tractor or a stronger retarder, take a lower gear and go slower",
    "add a tractor or ballast on driven axles, pull when the road is dry, or grade and roll the road",
    "go slower, shorten the reaction with a walker's stop control, or have the brakes set up",
    "stop more gently (longer ramp, lower emergency deceleration), or avoid the grade",
    "do not hold there; move the hold point to a flatter place and chock",
    "go slower, have the road graded, or state its roughness class",
)
Values = Mapping[str, float]


def worst_of(utilisation_ratio: Array) -> int | None:
    """Station of the greatest known utilisation; None if none is known.

    Shapes: (station,). Source: search for the greatest.
    """
    if np.all(np.isnan(utilisation_ratio)):
        return None
    return int(np.where(np.isnan(utilisation_ratio), -np.inf, utilisation_ratio).argmax())


def remedies(start_mps2: float, possible_mps2: Array) -> list[str]:
    """What helps each limit state; where a climb leaves less than the declared start, that is said with the traction.

    The declared start is used everywhere all the same: the harder one is on the safe side.
    """
    told = list(REMEDIES)
    least_mps2 = np.min(possible_mps2, initial=np.inf, where=~np.isnan(possible_mps2))
    if least_mps2 < start_mps2:
        told[STATES.index(TRACTION)] += (
            f"; the climb leaves {least_mps2:.2f} m/s2 for a start, {start_mps2:g} is declared: do not halt there"
        )
    return told


def lines(state: str, at: Values) -> tuple[Line, ...]:
    """Lines of one limit state from the numbers at its governing station.

    Source: the equations of this package.
    """
    built = {
        HOLDING: _holding,
        TRACTION: _traction,
        DISTANCE: _distance,
        MIRROR: _mirror,
        PARKING: _parking,
        RIDE: _ride,
    }
    return built[state](at)


def _weight(at: Values, grade: str, rolling: str) -> tuple[tuple[str, float, str, str], ...]:
    return (
        ("m", at["train_mass_t"], "t", "tractor, trailer and unit with its tolerance"),
        ("g", STANDARD_GRAVITY_MPS2, "m/s2", "standard gravity"),
        (
            "theta",
            float(np.degrees(np.arctan(at[grade]))),
            "deg",
            "grade with two standard errors in the bad direction",
        ),
        ("C", at[rolling], "1", "rolling resistance of the surface"),
    )


def _holding(at: Values) -> tuple[Line, ...]:
    return (
        Line(
            HOLDING, "Force that holds the speed downhill",
            "F = max(m g (sin theta - C cos theta), 0)", "F = max(m g (sin theta - C cos theta), 0)",
            _weight(at, "descent_ratio", "rolling_low_ratio"), ("F", at["holding_force_kN"], "kN"),
            "statics on the grade", "", "practice",
        ),
        Line(
            HOLDING, "Retarding power", "P = F v", "P = F v",
            (("F", at["holding_force_kN"], "kN", "line above"), ("v", at["speed_mps"], "m/s", "planned speed")),
            ("P", at["holding_power_kW"], "kW"), "mechanics", "", "practice",
        ),
        Line(
            HOLDING, "What the driven wheels can pass to the road",
            "F_mu = mu m_d g cos theta", "F_mu = mu m_d g cos theta",
            (
                ("mu", at["adhesion_ratio"], "1", "adhesion of the surface in the stated state"),
                ("m_d", at["driven_mass_t"], "t", "tractor.driven_mass_t"),
                *_weight(at, "descent_ratio", "rolling_low_ratio")[1:3],
            ),
            ("F_mu", at["holding_adhesion_kN"], "kN"), "Coulomb friction", "", "memory",
        ),
    )  # fmt: skip


def _traction(at: Values) -> tuple[Line, ...]:
    return (
        Line(
            TRACTION, "Tractive force for the climb",
            "F = m g (sin theta + C cos theta)", "F = m g (sin theta + C cos theta)",
            _weight(at, "climb_ratio", "rolling_high_ratio"), ("F", at["tractive_need_kN"], "kN"),
            "statics on the grade", "", "practice",
        ),
        Line(
            TRACTION, "What the driven wheels can pass to the road",
            "F_mu = mu m_d g cos theta", "F_mu = mu m_d g cos theta",
            (
                ("mu", at["adhesion_ratio"], "1", "adhesion of the surface in the stated state"),
                ("m_d", at["driven_mass_t"], "t", "tractor.driven_mass_t"),
                *_weight(at, "climb_ratio", "rolling_high_ratio")[1:3],
            ),
            ("F_mu", at["climbing_adhesion_kN"], "kN"), "Coulomb friction", "", "memory",
        ),
        Line(
            TRACTION, "Acceleration left for a start on the climb",
            "a = max(min(F_t, F_mu) - F, 0) / m", "a = max(min(F_t, F_mu) - F, 0) / m",
            (
                ("F_t", at["tractive_force_kN"], "kN", "tractor.tractive_force_kN"),
                ("F_mu", at["climbing_adhesion_kN"], "kN", "line above"),
                ("F", at["tractive_need_kN"], "kN", "tractive force for the climb"),
                ("m", at["train_mass_t"], "t", "tractor, trailer and unit with its tolerance"),
            ),
            ("a", at["start_possible_mps2"], "m/s2"), "mechanics", "", "practice",
        ),
    )  # fmt: skip


def _distance(at: Values) -> tuple[Line, ...]:
    return (
        Line(
            DISTANCE, "Deceleration on the grade; 0 means that it does not stop",
            "a = max(min(g cos theta (z + C - G), a_e), 0)", "a = max(min(g cos theta (z + C - G), a_e), 0)",
            (
                ("z", at["brake_ratio"], "1", "tractor.brake_ratio, not above the adhesion"),
                ("G", at["descent_ratio"], "1", "descent with two standard errors"),
                ("a_e", at["emergency_mps2"], "m/s2", "tractor.emergency_deceleration_mps2"),
                *_weight(at, "descent_ratio", "rolling_low_ratio")[1:],
            ),
            ("a", at["braking_mps2"], "m/s2"), "statics on the grade", "", "practice",
        ),
        Line(
            DISTANCE, "Stopping distance", "s = v (t_r + t_b / 2) + v^2 / (2 a)", "s = v (t_r + t_b / 2) + v^2 / (2 a)",
            (
                ("v", at["speed_mps"], "m/s", "planned speed"),
                ("t_r", at["reaction_s"], "s", "tractor.reaction_time_s"),
                ("t_b", at["build_up_s"], "s", "tractor.brake_build_up_s"),
                ("a", at["braking_mps2"], "m/s2", "line above"),
            ),
            ("s", at["stopping_distance_m"], "m"), "kinematics", "", "practice",
        ),
    )  # fmt: skip


def _mirror(at: Values) -> tuple[Line, ...]:
    return (
        Line(
            MIRROR, "Emergency stop as the load feels it",
            "a_d = a_e (1 + min(1, 1 / (pi f t)))", "a_d = a_e (1 + min(1, 1 / (pi f t)))",
            (
                ("a_e", at["emergency_mps2"], "m/s2", "tractor.emergency_deceleration_mps2"),
                ("f", at["frequency_hz"], "Hz", "frequency of the deck along the road"),
                ("t", at["ramp_s"], "s", "tractor.emergency_ramp_s"),
            ),
            ("a_d", at["emergency_deceleration_mps2"], "m/s2"), "response to a linear ramp", "", "memory",
        ),
        Line(
            MIRROR, "Emergency stop on the grade", "a = a_d + g sin theta", "a = a_d + g sin theta",
            (
                ("a_d", at["emergency_deceleration_mps2"], "m/s2", "line above"),
                *_weight(at, "steepest_ratio", "rolling_high_ratio")[1:3],
            ),
            ("a", at["emergency_on_grade_mps2"], "m/s2"), "statics; stop and gravity act the same way", "", "practice",
        ),
        Line(
            MIRROR, "Drive lost on the climb, held where it stands", "a = g sin theta + e g (sin theta + C cos theta)",
            "a = g sin theta + e g (sin theta + C cos theta)",
            (
                ("e", at["overshoot_ratio"], "1", "overshoot of the deck after the end of the stop"),
                *_weight(at, "climb_ratio", "rolling_high_ratio")[1:],
            ),
            ("a", at["coasting_on_grade_mps2"], "m/s2"), "step response of the deck", "", "memory",
        ),
    )  # fmt: skip


def _parking(at: Values) -> tuple[Line, ...]:
    return (
        Line(
            PARKING, "Grade over what the parking brake and the tyres hold",
            "u = G / min(G_p, mu)", "u = G / min(G_p, mu)",
            (
                ("G", at["steepest_ratio"], "1", "steeper sense of the grade with two standard errors"),
                ("G_p", at["parking_ratio"], "1", "tractor.parking_grade_ratio"),
                ("mu", at["adhesion_ratio"], "1", "adhesion of the surface in the stated state"),
            ),
            ("u", at["parking_use_ratio"], "1"),
            "rating of the parking brake", "common practice, no source", "practice",
        ),
    )  # fmt: skip


def _ride(at: Values) -> tuple[Line, ...]:
    return (
        Line(
            RIDE, "Velocity density of the road", "G_v = (2 pi n_0)^2 G_d v", "G_v = (2 pi n0)^2 Gd v",
            (
                ("n_0", at["reference_wavenumber_per_m"], "1/m", "ISO 8608"),
                ("G_d", at["roughness_m3"], "m3", "upper limit of the roughness class"),
                ("v", at["speed_mps"], "m/s", "planned speed"),
            ),
            ("G_v", at["velocity_density_m2_per_s"], "m2/s"), "ISO 8608", "annex C", "memory",
        ),
        Line(
            RIDE, "Greatest vertical acceleration", "a = k sigma", "a = k sigma",
            (
                ("k", at["peak_factor_ratio"], "1", "greatest peak of the journey over root mean square"),
                ("sigma", at["vertical_rms_mps2"], "m/s2", "sqrt(Gv w^3 / (8 zeta)) on one wheel, less over more"),
            ),
            ("a", at["vertical_acceleration_mps2"], "m/s2"), "random vibration", "", "memory",
        ),
    )  # fmt: skip
