"""Calculation lines of the clearance between cover and mirror."""

from collections.abc import Iterator

import numpy as np

from shared.arrays import Array
from shared.calculation import Line
from shared.tables import figure
from shared.units import STANDARD_GRAVITY_MPS2
from transport.cover.clearance import sagitta_m
from transport.cover.contact import (
    clearance_by_radius_mps,
    dead_Pa,
    frequency_hz,
    radius_m,
    room_m,
    watch_mps,
)
from transport.cover.frequency import added_mass_kg_per_m2
from transport.cover.pressure import downward_ratio
from transport.cover.sag import pressure_Pa, shape_ratio, unstretched
from transport.cover.sheet_line import MEMBRANES, WIND_CLAUSE, WIND_CODE, Rest, air, line, low, ring
from transport.cover.situation import Situation

__all__ = ["clearance"]


def clearance(cover: Situation, shaken_mps2: Array, limit_mps: float) -> Iterator[Line]:
    """Room, pressure that fills it, gust, and the rule for the dynamic factor."""
    hard, soft = figure("cover_dynamic_factor_ratio"), figure("cover_soft_dynamic_factor_ratio")
    by_radius = clearance_by_radius_mps(cover, shaken_mps2, hard)[0]
    place = int(np.argmin(by_radius))
    yield _room(cover, place)
    yield _bearable(cover, place)
    yield _dead(cover, shaken_mps2)
    yield _gust(cover, place, float(by_radius[place]))
    slow = float(np.min(clearance_by_radius_mps(cover, shaken_mps2, soft)))
    yield line(
        Rest("cover clearance", "rule for soft covers", status="practice"),
        "Gust allowed: dynamic factor 2 above the watch speed, and everywhere if f is below 1 Hz",
        'U = min(U_1, max(U_"watch", U_2))',
        "U = min(U1, max(Uwatch, U2)); U = min(U1, U2) if f < 1 Hz",
        (
            ("U_1", float(by_radius[place]), "m/s", "line above, dynamic factor 1.5"),
            ("U_2", slow, "m/s", "the same with dynamic factor 2"),
            ('U_"watch"', float(watch_mps(cover)), "m/s", "reduced velocity 1"),
            ("f", float(frequency_hz(cover)), "Hz", "lowest frequency with the air it carries"),
        ),
        ("U", limit_mps, "m/s"),
    )


def _room(cover: Situation, place: int) -> Line:
    edge = float(sagitta_m(cover.mirror_radius_m, cover.curvature_radius_m))
    here = float(sagitta_m(radius_m(cover)[place], cover.curvature_radius_m))
    return line(
        Rest("cover clearance", "geometry of a spherical bowl"),
        "Room for the sag where it is used up first",
        "w = min(h_0 + s(a) - s(r) - delta, R / 5), quad s(r) = R_c - sqrt(R_c^2 - r^2)",
        "w = min(h0 + s(a) - s(r) - d, R / 5); s(r) = Rc - sqrt(Rc^2 - r^2)",
        (
            ("h_0", cover.height_m, "m", "cover.height_above_mirror_edge_m"),
            ("R_c", cover.curvature_radius_m, "m", "mirror.radius_of_curvature_m"),
            ("r", float(radius_m(cover)[place]), "m", "radius of the place"),
            ("s(a)", edge, "m", "depth of the bowl at the mirror's edge"),
            ("s(r)", here, "m", "depth of the bowl at the place"),
            ("delta", cover.kept_free_m, "m", "cover.ring_sag_m and cover.clearance_margin_m"),
        ),
        ("w", float(room_m(cover)[place]), "m"),
    )


def _bearable(cover: Situation, place: int) -> Line:
    x, room = float(radius_m(cover)[place] / cover.radius_m), float(room_m(cover)[place])
    kinds = (cover.slack, unstretched(cover.slack))
    membrane = max(kinds, key=lambda kind: float(pressure_Pa(room / shape_ratio(x, kind), kind)[0]))
    shape = float(shape_ratio(x, membrane))
    return line(
        Rest("cover clearance", f"{MEMBRANES}; hencky.csv", status="own"),
        "Pressure that fills the room; stretching counted only on a stiff ring and a deep bow",
        "p = (4 T w_0) / R^2 + (C E_t w_0^3) / R^4, quad w_0 = w / phi, quad C = 1 / K^3",
        "p = 4 T w0 / R^2 + C Et w0^3 / R^4; w0 = w / phi; C = 1 / K^3",
        (
            low(cover),
            ring(cover),
            ("E_t", membrane.stiffness_N_per_m, "N/m", "cover.membrane_stiffness_kN_per_m, 0 if not counted"),
            ("K", membrane.stretching.deflection_ratio, "", "hencky.csv"),
            ("phi", shape, "", "sag at the place over sag of the centre, 1.01 for the error of the formula"),
            ("w_0", room / shape, "m", "sag of the centre"),
        ),
        ("p", float(pressure_Pa(room / shape, membrane)[0]), "Pa"),
    )


def _dead(cover: Situation, shaken_mps2: Array) -> Line:
    factor = figure("cover_dynamic_factor_ratio")
    return line(
        Rest("cover clearance", "statics; air carried by the cover"),
        "Pressure of self weight and of the shaking deck",
        "p_0 = m g + k_d (m + m_a) a_v",
        "p0 = m g + kd (m + ma) av",
        (
            ("m", cover.areal_mass_kg_per_m2, "kg/m2", "cover.areal_mass_kg_per_m2"),
            (
                "m_a",
                added_mass_kg_per_m2(cover.radius_m, cover.air_density_kg_per_m3),
                "kg/m2",
                "air, 2 x 0.746 rho R",
            ),
            ("g", STANDARD_GRAVITY_MPS2, "m/s2", "standard gravity"),
            ("a_v", float(shaken_mps2[0]), "m/s2", "roughest place of the road at the planned speed"),
            ("k_d", factor, "", "dynamic factor"),
        ),
        ("p_0", float(dead_Pa(cover, shaken_mps2, factor)[0]), "Pa"),
    )


def _gust(cover: Situation, place: int, gust_mps: float) -> Line:
    known, factor = cover.pressure, figure("cover_dynamic_factor_ratio")
    down = downward_ratio(factor, known.down_ratio, known.up_ratio)
    return line(
        Rest("cover clearance", WIND_CODE, WIND_CLAUSE),
        "Gust with dynamic factor 1.5; c_1 adds to c at the windward side of an open cover",
        "U_1 = sqrt((2 (p - p_0)) / (rho c))",
        "U1 = sqrt(2 (p - p0) / (rho c))",
        (
            ("c", down, "", "the larger of gust and rebound from suction, dynamic factor included"),
            (
                "c_1",
                factor * known.down_gradient_ratio,
                "",
                "gradient towards the rim; 0 over a closed underside",
            ),
            ("r / R", float(radius_m(cover)[place] / cover.radius_m), "", "place"),
            air(cover),
        ),
        ("U_1", gust_mps, "m/s"),
    )
