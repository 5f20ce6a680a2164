"""Calculation lines of the clearance between cover and mirror."""

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from shared.arrays import Array
from shared.calculation import Line
from shared.tables import figure
from transport.cover.clearance import sagitta_m
from transport.cover.contact import clearance_by_radius_mps, dead_Pa, frequency_hz, radius_m, room_m, watch_mps
from transport.cover.frequency import added_mass_kg_per_m2
from transport.cover.pressure import downward_ratio, dynamic_pressure_Pa
from transport.cover.sag import Membrane, fuller_ratio, gradient_sag_m, pressure_Pa, shape_ratio, unstretched
from transport.cover.sheet_line import (
    HENCKY,
    MEMBRANES,
    WIND_CLAUSE,
    WIND_CODE,
    Rest,
    Value,
    air,
    gravity,
    line,
    low,
    ring,
)
from transport.cover.situation import Situation

__all__ = ["clearance"]

SLANT = (
    ", quad w_1 = (k_d c_1 q R^2 (x - x^3)) / (8 T)",
    "; w1 = kd c1 q R^2 (x - x^3) / (8 T)",
)


class Filled(NamedTuple):
    """One dynamic factor: its number in the lines, where the room is used up first, and by which gust."""

    number: int
    factor_ratio: float
    place: int
    gust_mps: float
    slant_m: float

    @property
    def case(self) -> str:
        """Words for a title."""
        return f"dynamic factor {self.factor_ratio:g}"


def clearance(cover: Situation, shaken_mps2: Array, limit_mps: float) -> Iterator[Line]:
    """For either dynamic factor: room, pressure that fills it, gust; then the rule that takes one of the two."""
    names = ("cover_dynamic_factor_ratio", "cover_soft_dynamic_factor_ratio")
    hard, soft = (_filled(cover, shaken_mps2, number, figure(name)) for number, name in enumerate(names, start=1))
    together = (hard.place, hard.slant_m) == (soft.place, soft.slant_m)
    yield from _filling(cover, hard, "either dynamic factor" if together else hard.case)
    yield _gust(cover, hard, shaken_mps2)
    if not together:
        yield from _filling(cover, soft, soft.case)
    yield _gust(cover, soft, shaken_mps2)
    yield _rule(cover, hard, soft, limit_mps)


def _filled(cover: Situation, shaken_mps2: Array, number: int, factor_ratio: float) -> Filled:
    by_radius = clearance_by_radius_mps(cover, shaken_mps2, factor_ratio)[0]
    place = int(np.argmin(by_radius))
    gust_mps = float(by_radius[place])
    slanting_Pa = factor_ratio * cover.pressure.down_gradient_ratio * _velocity_Pa(cover, gust_mps)
    x = radius_m(cover)[place] / cover.radius_m
    return Filled(number, factor_ratio, place, gust_mps, float(gradient_sag_m(x, slanting_Pa, cover.slack)[0]))


def _velocity_Pa(cover: Situation, gust_mps: float) -> float:
    return float(dynamic_pressure_Pa(gust_mps, cover.air_density_kg_per_m3))


def _filling(cover: Situation, at: Filled, case: str) -> Iterator[Line]:
    yield _room(cover, at, case)
    yield _bearable(cover, at, case)


def _room(cover: Situation, at: Filled, case: str) -> Line:
    edge = float(sagitta_m(cover.mirror_radius_m, cover.curvature_radius_m))
    here = float(sagitta_m(radius_m(cover)[at.place], cover.curvature_radius_m))
    return line(
        Rest("cover clearance", "geometry of a spherical bowl"),
        f"Room for the sag where it is used up first, {case}",
        "w = min(h_0 + s_a - s_r - delta, k R), quad s_a = R_c - sqrt(R_c^2 - a^2), quad s_r = R_c - sqrt(R_c^2 - r^2)",
        "w = min(h0 + sa - sr - delta, k R); sa = Rc - sqrt(Rc^2 - a^2); sr = Rc - sqrt(Rc^2 - r^2)",
        (
            ("h_0", cover.height_m, "m", "cover.height_above_mirror_edge_m"),
            ("R_c", cover.curvature_radius_m, "m", "mirror.radius_of_curvature_m"),
            ("a", cover.mirror_radius_m, "m", "half of mirror.diameter_m"),
            ("r", float(radius_m(cover)[at.place]), "m", "radius of the place"),
            ("s_a", edge, "m", "depth of the bowl at the mirror's edge"),
            ("s_r", here, "m", "depth of the bowl at the place"),
            ("delta", cover.kept_free_m, "m", "cover.ring_sag_m and cover.clearance_margin_m"),
            ("k", figure("cover_small_slope_ratio"), "", "largest bow over radius of the formulas"),
            ring(cover),
        ),
        ("w", float(room_m(cover)[at.place]), "m"),
    )


def _bearing(cover: Situation, at: Filled) -> tuple[float, Membrane, float]:
    """The pressure that fills the room, the membrane that bears it, its sag at the place over that of the centre."""
    x, left = _place_ratio(cover, at), float(room_m(cover)[at.place]) - at.slant_m

    def borne_Pa(kind: Membrane) -> float:
        return float(pressure_Pa(left / shape_ratio(x, kind), kind)[0])

    membrane = max((cover.slack, unstretched(cover.slack)), key=borne_Pa)
    return borne_Pa(membrane), membrane, float(shape_ratio(x, membrane))


def _place_ratio(cover: Situation, at: Filled) -> float:
    return float(radius_m(cover)[at.place] / cover.radius_m)


def _bearable(cover: Situation, at: Filled, case: str) -> Line:
    x, left = _place_ratio(cover, at), float(room_m(cover)[at.place]) - at.slant_m
    pressure, membrane, shape = _bearing(cover, at)
    stretched = membrane.stiffness_N_per_m > 0.0
    return line(
        Rest("cover clearance", f"{MEMBRANES}; {HENCKY}", status="own"),
        f"Even pressure that fills the room, {case}; stretching counted only on a stiff ring and a deep bow",
        "p = (4 T w_0) / R^2 + (E_t w_0^3) / (K^3 R^4), quad w_0 = (w - w_1) / phi, "
        "quad phi = k (1 - x^2) (1 + beta x^2)",
        "p = 4 T w0 / R^2 + Et w0^3 / (K^3 R^4); w0 = (w - w1) / phi; phi = k (1 - x^2) (1 + beta x^2)",
        (
            low(cover),
            ring(cover),
            ("E_t", membrane.stiffness_N_per_m, "N/m", "cover.membrane_stiffness_kN_per_m, 0 if not counted"),
            ("K", membrane.stretching.deflection_ratio, "", "membrane without pretension"),
            ("x", x, "", "r over R"),
            ("k", figure("cover_sag_model_ratio") if stretched else 1.0, "", "error of the formula, 1 if exact"),
            ("beta", fuller_ratio(membrane.stretching) if stretched else 0.0, "", "fuller bow where it stretches"),
            ("phi", shape, "", "sag at the place over sag of the centre"),
            ("w", float(room_m(cover)[at.place]), "m", "line above"),
            ("w_1", at.slant_m, "m", "slant sag of an open cover, see its gust; 0 over a closed underside"),
            ("w_0", left / shape, "m", "sag of the centre"),
        ),
        ("p", pressure, "Pa"),
    )


def _gust(cover: Situation, at: Filled, shaken_mps2: Array) -> Line:
    known, factor, number = cover.pressure, at.factor_ratio, at.number
    slanting = _slanting(cover, at) if known.down_gradient_ratio else ()
    formula, spoken = SLANT if slanting else ("", "")
    return line(
        Rest("cover clearance", WIND_CODE, WIND_CLAUSE),
        f"Gust that fills the room, {at.case}; the larger of push and rebound from suction counts",
        f"U_{number} = sqrt((2 max(p - p_0, 0)) / (rho c)), quad p_0 = m g + k_d (m + m_a) a_v, "
        f"quad c = max(k_d c_d, (k_d - 1) c_u){formula}",
        f"U{number} = sqrt(2 max(p - p0, 0) / (rho c)); p0 = m g + kd (m + ma) av; c = max(kd cd, (kd - 1) cu){spoken}",
        (
            ("p", _bearing(cover, at)[0], "Pa", "line above"),
            ("k_d", factor, "", "dynamic factor"),
            ("c_d", known.down_ratio, "", "push downwards"),
            ("c_u", known.up_ratio, "", "suction over the whole cover"),
            ("c", downward_ratio(factor, known.down_ratio, known.up_ratio), "", "the larger of push and rebound"),
            ("m", cover.areal_mass_kg_per_m2, "kg/m2", "cover.areal_mass_kg_per_m2"),
            ("m_a", _air_mass(cover), "kg/m2", "air that moves with the cover, both sides"),
            gravity(),
            ("a_v", float(shaken_mps2[0]), "m/s2", "roughest place of the road at the planned speed"),
            ("p_0", float(dead_Pa(cover, shaken_mps2, factor)[0]), "Pa", "self weight and the shaking deck"),
            air(cover),
            *slanting,
        ),
        (f"U_{number}", at.gust_mps, "m/s"),
    )


def _slanting(cover: Situation, at: Filled) -> tuple[Value, ...]:
    """The slant sag of an open cover at the gust itself."""
    return (
        ("c_1", cover.pressure.down_gradient_ratio, "", "gradient towards the rim"),
        ("q", _velocity_Pa(cover, at.gust_mps), "Pa", f"rho U_{at.number}^2 / 2"),
        ring(cover),
        low(cover),
        ("x", _place_ratio(cover, at), "", "r over R"),
        ("w_1", at.slant_m, "m", "slant sag at that gust"),
    )


def _air_mass(cover: Situation) -> float:
    return added_mass_kg_per_m2(cover.radius_m, cover.air_density_kg_per_m3)


def _rule(cover: Situation, hard: Filled, soft: Filled, limit_mps: float) -> Line:
    least_hz, lowest_hz = figure("cover_soft_frequency_hz"), float(frequency_hz(cover))
    lively = lowest_hz >= least_hz
    return line(
        Rest("cover clearance", "rule for soft covers", status="practice"),
        f"Gust allowed: {soft.case} above the watch speed, and everywhere if f is below {least_hz:g} Hz",
        'U = min(U_1, max(U_"watch", U_2))' if lively else "U = min(U_1, U_2)",
        "U = min(U1, max(Uwatch, U2))" if lively else "U = min(U1, U2)",
        (
            ("U_1", hard.gust_mps, "m/s", f"line above, {hard.case}"),
            ("U_2", soft.gust_mps, "m/s", f"line above, {soft.case}"),
            ('U_"watch"', float(watch_mps(cover)), "m/s", "watch speed, see cover watch"),
            ("f", lowest_hz, "Hz", "lowest frequency with the air it carries"),
        ),
        ("U", limit_mps, "m/s"),
    )
