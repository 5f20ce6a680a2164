"""Calculation lines of uplift, fastenings and fabric."""

from collections.abc import Iterator

import numpy as np

from shared.calculation import Line
from shared.tables import figure
from transport.cover.fabric import allowable_tension_N_per_m
from transport.cover.fastening import edge_tension_N_per_m
from transport.cover.pressure import dynamic_pressure_Pa
from transport.cover.sag import centre_sag_m
from transport.cover.sheet_line import MEMBRANES, WIND_CLAUSE, WIND_CODE, Rest, air, high, line, ring
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
        "Force of one fastening at the gust allowed; bears F_k / n",
        "F = b s sqrt(N^2 + V^2), quad V = (gamma c q R) / 2",
        "F = b s sqrt(N^2 + V^2); V = gamma c q R / 2",
        (
            ("q", pressure_Pa, "Pa", "rho U^2 / 2 of the gust allowed; 0 if closed"),
            ("N", tension, "N/m", "line above"),
            ("c", cover.pressure.fastener_ratio, "", "local suction"),
            ("gamma", factor, "", "partial factor on wind; 1 with one lost"),
            ("V", lift, "N/m", "uplift at one fastening"),
            ("s", cover.pitch_m, "m", "2 pi R / cover.fastener_count"),
            ("b", cover.factors.load_ratio, "", "1.5 for the neighbours of a lost fastening"),
            ("F_k", cover.fastener_capacity_N, "N", "cover.fastener_capacity_kN"),
            ("n", cover.factors.divisor_ratio, "", "divisor on the capacity; 1 with one lost"),
        ),
        ("F", cover.factors.load_ratio * cover.pitch_m * float(np.hypot(tension, lift)), "N"),
    )


def _edge(cover: Situation, check: str, load_Pa: float, tension_N_per_m: float) -> Line:
    known = cover.taut.stretching
    return line(
        Rest(check, f"{MEMBRANES}; hencky.csv", status="own"),
        "Tension of the fabric at the rim under suction at the gust allowed",
        "N = T + c_2 / K^2 E_t (k w_0 / R)^2, quad p = (4 T w_0) / R^2 + (E_t w_0^3) / (K^3 R^4)",
        "N = T + c2 / K^2 Et (k w0 / R)^2; p = 4 T w0 / R^2 + Et w0^3 / (K^3 R^4)",
        (
            high(cover),
            ("c_2", known.edge_ratio, "", "hencky.csv"),
            ("K", known.deflection_ratio, "", "hencky.csv"),
            ("E_t", cover.stiffness_N_per_m, "N/m", "cover.membrane_stiffness_kN_per_m"),
            ("k", figure("cover_sag_model_ratio"), "", "error of the formula"),
            ring(cover),
            ("p", load_Pa, "Pa", "gamma c_up q"),
            ("w_0", float(centre_sag_m(load_Pa, cover.taut)), "m", "bow of the centre, from p"),
        ),
        ("N", tension_N_per_m, "N/m"),
    )


def fabric(cover: Situation, limit_mps: float) -> Line:
    """Tension of the fabric at the gust allowed."""
    load = figure("cover_soft_dynamic_factor_ratio") * cover.pressure.rim_ratio
    return line(
        Rest("cover fabric", f"{MEMBRANES}; hencky.csv", status="own"),
        "Tension of the fabric at its centre under local suction",
        "T + c_1 / K^2 E_t (w_0 / R)^2 <= f_k / 5",
        "T + c1 / K^2 Et (w0 / R)^2 <= fk / 5, w0 from p = k_d c q",
        (
            high(cover),
            ("c_1", cover.taut.stretching.centre_ratio, "", "hencky.csv"),
            ("K", cover.taut.stretching.deflection_ratio, "", "hencky.csv"),
            ("E_t", cover.stiffness_N_per_m, "N/m", "cover.membrane_stiffness_kN_per_m"),
            ("k_d c", load, "", "dynamic factor 2, rim strip"),
            (
                "f_k / 5",
                allowable_tension_N_per_m(cover.strength_N_per_m),
                "N/m",
                "cover.fabric_strength_kN_per_m",
            ),
            air(cover),
        ),
        ("U", limit_mps, "m/s"),
    )
