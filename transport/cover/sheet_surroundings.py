"""Calculation lines of water, warmth and air pressure on the cover."""

import numpy as np

from shared.calculation import Line
from shared.tables import figure
from transport.cover.clearance import sagitta_m
from transport.cover.ponding import ponding_tension_N_per_m, strip_span_m
from transport.cover.sheet_line import MEMBRANES, Rest, air, first_zero, gravity, line, low, ring
from transport.cover.situation import Situation
from transport.cover.thermal import covered_difference_K, tension_change_N_per_m
from transport.cover.vents import climb_pressure_Pa, vent_area_m2, warming_pressure_Pa

__all__ = ["climb", "ponding", "sun", "vent", "warmth"]

CLIMB_M = 100.0
WARMING_K = 10.0


def ponding(cover: Situation) -> Line:
    """Tension that would shed a pond, and the ribs that would do."""
    water, tension = figure("cover_water_density_kg_per_m3"), float(cover.tension_low_N_per_m)
    return line(
        Rest("cover ponding", MEMBRANES, status="own"),
        "Tension that a flat, undrained cover would need in rain or wet snow",
        'T_"pond" = (rho_w g R^2) / j_01^2',
        "Tpond = rho_w g R^2 / j01^2",
        (
            ("rho_w", water, "kg/m3", "density of water"),
            gravity(),
            ring(cover),
            first_zero(),
            low(cover),
            ("L", strip_span_m(tension, water), "m", "ribs this close would do, L = pi sqrt(T / (rho_w g))"),
        ),
        ('T_"pond"', ponding_tension_N_per_m(cover.radius_m, water), "N/m"),
    )


def warmth(cover: Situation, loss_N_per_m: float) -> Line:
    """Tension that warm fabric loses, and the warming that the declared loss covers."""
    strain, usual_K = figure("cover_thermal_strain_per_K"), figure("cover_thermal_difference_K")
    known = (cover.stiffness_N_per_m, strain, cover.poisson_ratio)
    return line(
        Rest("cover thermal", "plane stress on a stiff ring"),
        "Warming of the fabric against its ring that the declared loss of tension covers",
        'theta = (T_"loss" (1 - nu)) / (E_t alpha)',
        "theta = Tloss (1 - nu) / (Et alpha)",
        (
            ('T_"loss"', loss_N_per_m, "N/m", "cover.thermal_tension_loss_kN_per_m"),
            ("E_t", cover.stiffness_N_per_m, "N/m", "cover.membrane_stiffness_kN_per_m"),
            ("nu", cover.poisson_ratio, "", "cover.poisson_ratio"),
            ("alpha", strain, "1/K", "expansion of the fabric less that of the ring"),
            ('T_"usual"', _loss_N_per_m(known, usual_K), "N/m", f"loss at {usual_K:g} K, for comparison"),
        ),
        ("theta", covered_difference_K(loss_N_per_m, *known), "K"),
    )


def climb(cover: Situation) -> Line:
    """Pressure under a sealed cover after 100 m of climb."""
    return line(
        Rest("cover vents", "hydrostatics"),
        f"Pressure that a cover without vents would have to bear after climbing {CLIMB_M:g} m",
        "p = rho g z",
        "p = rho g z",
        (air(cover), gravity(), ("z", CLIMB_M, "m", "climb")),
        ("p", climb_pressure_Pa(CLIMB_M, cover.air_density_kg_per_m3), "Pa"),
    )


def sun() -> Line:
    """Pressure under a sealed cover whose air warms by 10 K."""
    pressure, temperature = figure("cover_sea_level_pressure_Pa"), figure("cover_sea_level_temperature_K")
    return line(
        Rest("cover vents", "ideal gas at constant volume"),
        f"Pressure that a cover without vents would have to bear when its air warms by {WARMING_K:g} K",
        "p = p_0 theta / theta_0",
        "p = p0 theta / theta0",
        (
            ("p_0", pressure, "Pa", "standard atmosphere, the most at any height"),
            ("theta", WARMING_K, "K", "warming"),
            ("theta_0", temperature, "K", "standard atmosphere"),
        ),
        ("p", warming_pressure_Pa(pressure, WARMING_K, temperature), "Pa"),
    )


def vent(cover: Situation) -> Line:
    """Vent area for a climbing drive."""
    rate, least = figure("cover_climb_rate_mps"), figure("cover_lowest_pressure_Pa")
    difference, discharge = figure("cover_vent_difference_Pa"), figure("cover_vent_discharge_ratio")
    area = vent_area_m2(
        _volume_m3(cover),
        rate,
        pressure_Pa=least,
        difference_Pa=difference,
        discharge_ratio=discharge,
        air_density_kg_per_m3=cover.air_density_kg_per_m3,
    )
    return line(
        Rest("cover vents", "outflow through an orifice", status="practice"),
        "Least open vent area while climbing",
        "A = (V rho g v_z) / (p_0 C_d) sqrt(rho / (2 p))",
        "A = V rho g vz / (p0 Cd) sqrt(rho / (2 p))",
        (
            ("V", _volume_m3(cover), "m3", "air under the cover"),
            air(cover),
            gravity(),
            ("v_z", rate, "m/s", "rate of climb"),
            ("p_0", least, "Pa", "air pressure high on a mountain"),
            ("C_d", discharge, "", "sharp edge"),
            ("p", difference, "Pa", "difference left on the cover"),
        ),
        ("A", area, "m2"),
    )


def _loss_N_per_m(known: tuple[float, float, float], difference_K: float) -> float:
    stiffness, strain, poisson = known
    return tension_change_N_per_m(stiffness, strain, difference_K, poisson)


def _volume_m3(cover: Situation) -> float:
    bowl = float(sagitta_m(cover.mirror_radius_m, cover.curvature_radius_m)) / 2.0
    return float(np.pi * (cover.radius_m**2 * cover.height_m + cover.mirror_radius_m**2 * bowl))
