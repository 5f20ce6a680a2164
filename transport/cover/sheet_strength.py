"""Calculation lines of uplift, fastenings and fabric."""

from collections.abc import Iterator

import numpy as np

from shared.calculation import Line
from shared.tables import figure
from transport.cover.fabric import allowable_tension_N_per_m, fabric_bow_m, fabric_pressure_Pa
from transport.cover.fastening import edge_tension_N_per_m
from transport.cover.pressure import dynamic_pressure_Pa
from transport.cover.sag import centre_sag_m
from transport.cover.sheet_line import HENCKY, MEMBRANES, WIND_CLAUSE, WIND_CODE, Rest, air, high, line, ring
from transport.cover.situation import Situation
from transport.cover.uplift import rim_uplift_N_per_m

__all__ = ["fabric", "fastening", "uplift"]


def uplift(cover: Situation, limit_mps: float) -> Line:
    """Gust that lifts the whole cover."""
    return line(
        Rest("cover uplift", f"{WIND_CODE}; EN 1990:2002", f"{WIND_CLAUSE}; table A1.2(B)"),
        "Uplift of the whole cover against its fastenings",
        "U = sqrt((4 F) / (gamma c rho R s n))",
        "U = sqrt(4 F / (gamma c rho R s n))",
        (
            ("F", cover.fastener_capacity_N, "N", "cover.fastener_capacity_kN"),
            ("s", cover.pitch_m, "m", "2 pi R / cover.fastener_count"),
            ("n", cover.factors.divisor_ratio, "", "divisor on the capacity"),
            ("gamma", cover.factors.wind_ratio, "", "partial factor on wind"),
            ("c", cover.pressure.up_ratio, "", "suction over the whole cover"),
            ring(cover),
            air(cover),
        ),
        ("U", limit_mps, "m/s"),
    )


def fastening(cover: Situation, check: str, limit_mps: float) -> Iterator[Line]:
    """Tension at the rim and force of one fastening at the gust allowed."""
    pressure_Pa = float(dynamic_pressure_Pa(limit_mps, cover.air_density_kg_per_m3))
    factor = cover.factors.wind_ratio
    lifted_Pa = factor * cover.pressure.up_ratio * pressure_Pa
    tension = float(edge_tension_N_per_m(lifted_Pa, cover.taut))
    lift = float(rim_uplift_N_per_m(pressure_Pa, factor * cover.pressure.fastener_ratio, cover.radius_m))
    yield _edge(cover, check, lifted_Pa, tension)
    yield line(
        Rest(check, WIND_CODE, WIND_CLAUSE),
        "Force of one fastening at the gust allowed; it bears its capacity over the divisor",
        "F = b s sqrt(N^2 + V^2), quad V = (gamma c q R) / 2",
        "F = b s sqrt(N^2 + V^2); V = gamma c q R / 2",
        (
            ("q", pressure_Pa, "Pa", "rho U^2 / 2 of the gust allowed; 0 if closed"),
            ("N", tension, "N/m", "line above"),
            ("c", cover.pressure.fastener_ratio, "", "local suction"),
            ("gamma", factor, "", "partial factor on wind; 1 with one lost"),
            ("V", lift, "N/m", "uplift at one fastening"),
            ring(cover),
            ("s", cover.pitch_m, "m", "2 pi R / cover.fastener_count"),
            ("b", cover.factors.load_ratio, "", "share of one fastening; more for the neighbours of a lost one"),
            ("F_k", cover.fastener_capacity_N, "N", "cover.fastener_capacity_kN"),
            ("n", cover.factors.divisor_ratio, "", "divisor on the capacity; 1 with one lost"),
        ),
        ("F", cover.factors.load_ratio * cover.pitch_m * float(np.hypot(tension, lift)), "N"),
    )


def _edge(cover: Situation, check: str, load_Pa: float, tension_N_per_m: float) -> Line:
    known = cover.taut.stretching
    return line(
        Rest(check, f"{MEMBRANES}; {HENCKY}", status="own"),
        "Tension of the fabric at the rim under suction at the gust allowed",
        "N = T + c_2 / K^2 E_t (k w_0 / R)^2, quad p = (4 T w_0) / R^2 + (E_t w_0^3) / (K^3 R^4)",
        "N = T + c2 / K^2 Et (k w0 / R)^2; p = 4 T w0 / R^2 + Et w0^3 / (K^3 R^4)",
        (
            high(cover),
            ("c_2", known.edge_ratio, "", "membrane without pretension"),
            ("K", known.deflection_ratio, "", "membrane without pretension"),
            ("E_t", cover.stiffness_N_per_m, "N/m", "cover.membrane_stiffness_kN_per_m"),
            ("k", figure("cover_sag_model_ratio"), "", "error of the formula"),
            ring(cover),
            ("p", load_Pa, "Pa", "gamma c_up q"),
            ("w_0", float(centre_sag_m(load_Pa, cover.taut)), "m", "bow of the centre, from p"),
        ),
        ("N", tension_N_per_m, "N/m"),
    )


def fabric(cover: Situation, limit_mps: float) -> Iterator[Line]:
    """Pressure that stretches the fabric to its allowable tension, and the gust that presses so."""
    allowed = allowable_tension_N_per_m(cover.strength_N_per_m)
    borne_Pa = float(fabric_pressure_Pa(allowed, cover.taut))
    yield _stretched(cover, allowed, borne_Pa)
    yield line(
        Rest("cover fabric", WIND_CODE, WIND_CLAUSE),
        "Gust that stretches the fabric at its centre to its allowable tension, under local suction",
        "U = sqrt((2 p) / (rho k_d c))",
        "U = sqrt(2 p / (rho kd c))",
        (
            ("p", borne_Pa, "Pa", "line above"),
            ("k_d", figure("cover_soft_dynamic_factor_ratio"), "", "dynamic factor of a step load"),
            ("c", cover.pressure.rim_ratio, "", "suction on the strip along the rim"),
            air(cover),
        ),
        ("U", limit_mps, "m/s"),
    )


def _stretched(cover: Situation, allowed_N_per_m: float, borne_Pa: float) -> Line:
    known = cover.taut.stretching
    return line(
        Rest("cover fabric", f"{MEMBRANES}; {HENCKY}", status="own"),
        "Pressure at which the tension of the centre reaches the allowable",
        "p = (4 T w_0) / R^2 + (E_t w_0^3) / (K^3 R^4), quad w_0 = R / k sqrt((max(N - T, 0) K^2) / (c_1 E_t)), "
        "quad N = f_k / n",
        "p = 4 T w0 / R^2 + Et w0^3 / (K^3 R^4); w0 = R / k sqrt(max(N - T, 0) K^2 / (c1 Et)); N = fk / n",
        (
            ("f_k", cover.strength_N_per_m, "N/m", "cover.fabric_strength_kN_per_m"),
            ("n", figure("cover_fabric_safety_ratio"), "", "factor on strip strength"),
            ("N", allowed_N_per_m, "N/m", "allowable tension"),
            high(cover),
            ("c_1", known.centre_ratio, "", "membrane without pretension"),
            ("K", known.deflection_ratio, "", "membrane without pretension"),
            ("E_t", cover.stiffness_N_per_m, "N/m", "cover.membrane_stiffness_kN_per_m"),
            ("k", figure("cover_sag_model_ratio"), "", "error of the formula"),
            ring(cover),
            ("w_0", float(fabric_bow_m(allowed_N_per_m, cover.taut)), "m", "bow of the centre"),
        ),
        ("p", borne_Pa, "Pa"),
    )
