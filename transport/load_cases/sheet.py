"""Calculation lines of the load cases, at the governing station, ready to be checked by hand."""

from dataclasses import dataclass

import numpy as np

from shared.arrays import Array
from shared.calculation import Line
from shared.tables import figure
from transport.load_cases import accidental, earthquake, operation
from transport.load_cases.actions import wind_pressure_kPa
from transport.load_cases.combination import Wind
from transport.load_cases.governing import Governing, held_by
from transport.load_cases.ride import Masses, Ride
from transport.securing.arrangement import (
    DIRECTION_DEG,
    Arrangement,
    Loss,
    counted,
    resisting,
    shared_kN,
    stop_ratio,
    without,
)
from transport.securing.capacity import MODELS
from transport.trailer.earthquake import parts_ratio

__all__ = ["At", "accidental_lines", "earthquake_lines", "gust_lines", "operation_lines", "resistance_lines"]

Value = tuple[str, float, str, str]


@dataclass(frozen=True)
class At:
    """A governing station with the arrangement that holds there and the tags of its chains."""

    found: Governing
    arrangement: Arrangement
    tags: tuple[str, ...]
    station_m: float
    losses: tuple[Loss, ...] = ()

    @property
    def left(self) -> Arrangement:
        """The arrangement without what is lost in this case."""
        return self.arrangement if self.found.lost is None else without(self.arrangement, self._loss.rows)

    @property
    def lost(self) -> str:
        """Name of what is lost in this case."""
        return "none" if self.found.lost is None else self._loss.name

    @property
    def _loss(self) -> Loss:
        return self.losses[self.found.lost or 0]

    @property
    def place(self) -> str:
        """Where the numbers belong."""
        return f"station {self.station_m:.0f} m"


def operation_lines(at: At, masses: Masses, ride: Ride) -> list[Line]:
    """LC2: force forward, force to the left, resistance.

    Source: operation.still (practice).
    """
    pushes = [_ahead_line(operation.NAME, at, masses, ride), _left_line(operation.NAME, at, masses, ride)]
    return [*pushes, *resistance_lines(operation.NAME, at)]


def earthquake_lines(at: At, shaking_kN: Array) -> list[Line]:
    """LC3: shaking of the leading direction, resistance.

    Source: earthquake.worst_push (memory).
    """
    row, other = at.found.row, figure("load_cases_seismic_other_ratio")
    (part, _), (_, _) = parts_ratio(other)
    values = (
        ("E", float(shaking_kN[row, 0]), "kN", "mass with its tolerance by the acceleration of the deck, " + at.place),
        ("e", other, "", "part of the other components"),
    )
    result = ("F_E", part * float(shaking_kN[row, 0]), "kN")
    text = ("Horizontal shaking any way round", "F_E = E sqrt(1 + e^2)", "F_E = E sqrt(1 + e^2)")
    line = Line(earthquake.NAME, *text, values, result, "EN 1998-1:2004", "4.3.3.5", "memory")
    return [line, *resistance_lines(earthquake.NAME, at)]


def accidental_lines(at: At) -> list[Line]:
    """LC4: resistance after the worst chain is lost.

    Source: accidental.lost_envelope (memory).
    """
    return resistance_lines(accidental.NAME, at)


def resistance_lines(check: str, at: At) -> list[Line]:
    """Resistance by hand in the direction that governs, the least of the models, and the use in still air.

    Source: sliding.resistance_kN, several models, the least is used (memory).
    """
    return [_sliding_line(check, at), _elastic_line(check, at), _use_line(check, at)]


def gust_lines(check: str, limit_mps: Array, wind: Wind, station_m: Array, gust_to_mean_ratio: float) -> list[Line]:
    """Wind force at the least gust limit that is neither 0 nor infinite; none if there is no such limit.

    Source: actions.drag_area_m2 (practice).
    """
    finite = np.isfinite(limit_mps) & (limit_mps > 0.0)
    if not finite.any():
        return []
    row, column = np.unravel_index(int(np.argmin(np.where(finite, limit_mps, np.inf))), limit_mps.shape)
    area_m2 = float(np.hypot(wind.ahead_m2[row, column], wind.left_m2[row, column]))
    gust_mps = float(limit_mps[row, column])
    pressure_kPa = float(wind_pressure_kPa(np.array(gust_mps / gust_to_mean_ratio), wind.air_density_kg_per_m3))
    values = (
        ("rho", wind.air_density_kg_per_m3, "kg/m3", "site.air_density_kg_per_m3"),
        ("V", gust_mps, "m/s", f"least gust limit of this case, station {station_m[row]:.0f} m"),
        ("G", gust_to_mean_ratio, "", "gust over the wind that counts: 1, beside an earthquake the mean"),
        ("A", area_m2, "m2", "force_coefficient by the area seen from this direction"),
    )
    formula = "F_w = rho / 2 (V / G)^2 A / 1000"
    result = ("F_w", pressure_kPa * area_m2, "kN")
    title = "Wind force at the least gust limit: with it the use is 1"
    return [Line(check, title, formula, formula, values, result, "EN 1991-1-4:2005", "4.5, 5.3", "memory")]


def _ahead_line(check: str, at: At, masses: Masses, ride: Ride) -> Line:
    """Gravity along the deck with the stop, or its rebound or the start, whichever the worst push holds."""
    row, found = at.found.row, at.found
    options = [
        (sign * float(acceleration[row]), float(pitch))
        for sign, acceleration in ((1.0, ride.deceleration_mps2), (-1.0, operation.backward_mps2(ride)))
        for pitch in (*ride.pitch_deg[:, row], 0.0)
    ]

    def force_kN(acceleration_mps2: float, pitch_deg: float) -> float:
        return masses.greatest_t * (acceleration_mps2 - masses.gravity_mps2 * float(np.sin(np.deg2rad(pitch_deg))))

    taken_mps2, pitch_deg = min(options, key=lambda option: abs(force_kN(*option) - found.ahead_kN))
    values = (
        ("m", masses.greatest_t, "t", "unit.mass_t + mass_tolerance_t"),
        ("g", masses.gravity_mps2, "m/s2", "EN 12195-1"),
        ("theta", pitch_deg, "deg", f"pitch of the deck, {at.place}; 0 where the tilt would help"),
        ("a", taken_mps2, "m/s2", "emergency stop (above 0), or its rebound or the start (below 0)"),
    )
    text = ("Push forward", "F_x = m (a - g sin theta)", "F_x = m (a - g sin theta)")
    return Line(check, *text, values, ("F_x", force_kN(taken_mps2, pitch_deg), "kN"), "statics", "", "practice")


def _left_line(check: str, at: At, masses: Masses, ride: Ride) -> Line:
    """Gravity across the deck with the bend, whichever ends the worst push holds."""
    row, found = at.found.row, at.found
    options = [
        (float(pitch), float(roll), float(bend))
        for pitch in ride.pitch_deg[:, row]
        for roll in (*ride.roll_deg[:, row], 0.0)
        for bend in (*ride.bend_per_m[:, row], 0.0)
    ]

    def force_kN(pitch_deg: float, roll_deg: float, bend_per_m: float) -> float:
        aside = float(np.cos(np.deg2rad(pitch_deg)) * np.sin(np.deg2rad(roll_deg)))
        return -masses.greatest_t * (masses.gravity_mps2 * aside + float(ride.speed_mps[row]) ** 2 * bend_per_m)

    pitch_deg, roll_deg, bend_per_m = min(options, key=lambda option: abs(force_kN(*option) - found.left_kN))
    values = (
        ("m", masses.greatest_t, "t", "unit.mass_t + mass_tolerance_t"),
        ("g", masses.gravity_mps2, "m/s2", "EN 12195-1"),
        ("theta", pitch_deg, "deg", f"pitch of the deck, {at.place}"),
        ("phi", roll_deg, "deg", f"roll of the deck, {at.place}; 0 where the tilt would help"),
        ("v", float(ride.speed_mps[row]), "m/s", f"planned speed, {at.place}"),
        ("kappa", bend_per_m, "1/m", f"curvature with its error, {at.place}; 0 if the train stops in the bend"),
    )
    formula = "F_y = -m (g cos theta sin phi + v^2 kappa)"
    result = ("F_y", force_kN(pitch_deg, roll_deg, bend_per_m), "kN")
    return Line(check, "Push to the left", formula, formula, values, result, "statics", "", "practice")


def _sliding_line(check: str, at: At) -> Line:
    """EN 12195-1 with every counted chain at its capacity."""
    direct_kN = at.left.capacity_kN * counted(at.left)[at.found.direction]
    title = f"Resistance towards {DIRECTION_DEG[at.found.direction]:.0f} deg, chains at their capacity" + _lost(at)
    return _sum_line(check, at, title, "R_S", direct_kN)


def _elastic_line(check: str, at: At) -> Line:
    """Elastic share of the counted chains."""
    direct_kN = shared_kN(at.left)[at.found.direction]
    title = f"Resistance towards {DIRECTION_DEG[at.found.direction]:.0f} deg, chains sharing as they stretch" + _lost(
        at
    )
    return _sum_line(check, at, title, "R_E", direct_kN)


def _sum_line(check: str, at: At, title: str, symbol: str, direct_kN: Array) -> Line:
    """By the stops, and then without the direct chains, or by the direct chains, and then without the stops."""
    left, k, stopped = at.left, at.found.direction, held_by(at.found, at.left) == "stops"
    tension_kN = left.fixed_kN + direct_kN * (not stopped)
    along, down = float(tension_kN @ resisting(left)[k]), float(-tension_kN @ left.restraint.pull_ratio[:, 2])
    friction = left.pad_friction_ratio
    stop_kN = float(stop_ratio(left)[k] @ left.contact_limit_kN) * stopped
    words = "; stops hold, so direct chains are not counted" if stopped else "; chains hold, so stops are not counted"
    values = (
        ("S_h", along, "kN", "sum of tension by h, " + _tensions(at, tension_kN)),
        ("S_v", down, "kN", "sum of tension by v = sin(alpha)"),
        ("mu", friction, "", "0.75 of the least friction_ratio of the pads" + left.friction_words),
        ("N", at.found.carried_kN, "kN", f"force across the deck, {at.place}"),
        ("B", stop_kN, "kN", "capacity of the stops in this direction" + words),
    )
    result = (symbol, along + friction * (down + at.found.carried_kN) + stop_kN, "kN")
    formula = f"{symbol} = S_h + mu (S_v + N) + B"
    return Line(check, title, formula, formula, values, result, "EN 12195-1:2010", "5.3, 5.5", "memory")


def _use_line(check: str, at: At) -> Line:
    """Use in still air, from the resultant and the two directions beside it."""
    found, width_deg = at.found, 360.0 / len(DIRECTION_DEG)
    offset_deg = float(np.rad2deg(np.arctan2(found.left_kN, found.ahead_kN)) % width_deg)
    models = ", ".join(f"{name} {value:.4g} kN" for name, value in zip(MODELS, found.by_model_kN, strict=True))
    first_deg, second_deg = (float(DIRECTION_DEG[k]) for k in found.beside)
    values = (
        ("H", found.push_kN, "kN", f"resultant of {found.ahead_kN:.4g} forward and {found.left_kN:.4g} to the left"),
        ("psi", offset_deg, "deg", f"angle of the resultant past {first_deg:.0f} deg"),
        ("Delta", width_deg, "deg", "step of the fan"),
        (
            "R_1",
            found.usable_kN[0],
            "kN",
            f"what may be used towards {first_deg:.0f} deg: least of the models, weaker directions included",
        ),
        ("R_2", found.usable_kN[1], "kN", f"towards {second_deg:.0f} deg"),
        ("R", float(np.min(found.by_model_kN)), "kN", f"towards {DIRECTION_DEG[found.direction]:.0f} deg: {models}"),
    )
    formula = "u = H / (sin Delta) ((sin(Delta - psi)) / R_1 + (sin psi) / R_2)"
    spoken = "u = H / sin(Delta) (sin(Delta - psi) / R_1 + sin(psi) / R_2)"
    source = "convexity of what can be held"
    return Line(check, "Use in still air", formula, spoken, values, ("u", found.use_ratio, ""), source, "", "practice")


def _lost(at: At) -> str:
    return "" if at.found.lost is None else f", {at.lost} lost"


def _tensions(at: At, tension_kN: Array) -> str:
    lost = "" if at.found.lost is None else f"{at.lost} lost; "
    used = [f"{tag} {value:.4g}" for tag, value in zip(at.tags, tension_kN, strict=True) if value > 0.0]
    return f"kN: {lost}{', '.join(used) or 'none counts'}"
