"""Calculation lines of the wind at the least gust limit of a load case: force, components and moments."""

import numpy as np

from shared.arrays import Array
from shared.calculation import Line
from transport.load_cases.actions import wind_pressure_kPa
from transport.load_cases.combination import Wind

__all__ = ["gust_lines"]

Value = tuple[str, float, str, str]
SOURCE = ("EN 1991-1-4:2005", "4.5, 5.3", "memory")


def gust_lines(check: str, limit_mps: Array, wind: Wind, station_m: Array, gust_to_mean_ratio: float) -> list[Line]:
    """Wind force at the least gust limit that is neither 0 nor infinite, its components and its moments; or none.

    Source: actions.drag_area_m2 (practice).
    """
    finite = np.isfinite(limit_mps) & (limit_mps > 0.0)
    if not finite.any():
        return []
    row, column = np.unravel_index(int(np.argmin(np.where(finite, limit_mps, np.inf))), limit_mps.shape)
    gust_mps = float(limit_mps[row, column])
    pressure_kPa = float(wind_pressure_kPa(np.array(gust_mps / gust_to_mean_ratio), wind.air_density_kg_per_m3))
    ahead_m2, left_m2 = float(wind.ahead_m2[row, column]), float(wind.left_m2[row, column])
    values = (
        ("rho", wind.air_density_kg_per_m3, "kg/m3", "site.air_density_kg_per_m3"),
        ("V", gust_mps, "m/s", f"least gust limit of this case, station {station_m[row]:.0f} m"),
        ("G", gust_to_mean_ratio, "", "gust over the wind that counts: 1, beside an earthquake the mean"),
        ("A", float(np.hypot(ahead_m2, left_m2)), "m2", "force_coefficient by the area seen from this direction"),
    )
    formula = "F_w = rho / 2 (V / G)^2 A / 1000"
    force = pressure_kPa * float(np.hypot(ahead_m2, left_m2))
    title = "Wind force at the least gust limit, where the use by the polytope is 1"
    whole = Line(check, title, formula, formula, values, ("F_w", force, "kN"), *SOURCE)
    return [
        whole,
        _parts_line(check, wind, (ahead_m2, left_m2), pressure_kPa),
        _moment_line(check, wind, (ahead_m2, left_m2), pressure_kPa),
    ]


def _parts_line(check: str, wind: Wind, area_m2: tuple[float, float], pressure_kPa: float) -> Line:
    ahead_kN, left_kN = (pressure_kPa * part for part in area_m2)
    force_kN = float(np.hypot(ahead_kN, left_kN))
    values = (
        ("F_w", force_kN, "kN", "line above"),
        ("beta", float(np.rad2deg(np.arctan2(left_kN, ahead_kN))), "deg", "towards, 0 forward, 90 to the left"),
        ("q", pressure_kPa, "kPa", "rho / 2 (V / G)^2 / 1000"),
        ("A_z", wind.lift_m2, "m2", "unit.lift_coefficient by unit.plan_area_m2"),
        ("W_y", left_kN, "kN", "to the left"),
        ("W_z", pressure_kPa * wind.lift_m2, "kN", "lift, taken off what is carried"),
    )
    formula = "W_x = F_w cos beta, quad W_y = F_w sin beta, quad W_z = q A_z"
    said = formula.replace(", quad ", "; ")
    return Line(check, "Wind forward, to the left and upwards", formula, said, values, ("W_x", ahead_kN, "kN"), *SOURCE)


def _moment_line(check: str, wind: Wind, area_m2: tuple[float, float], pressure_kPa: float) -> Line:
    ahead_kN, left_kN = (pressure_kPa * abs(part) for part in area_m2)
    lift_kN, (arm_x_m, arm_y_m, arm_z_m) = pressure_kPa * wind.lift_m2, (float(arm) for arm in wind.arm_m)
    arms = "centre of the wind from that of the mass, with its tolerance, along "
    values = (
        ("W_x", ahead_kN, "kN", "line above, without its sign"),
        ("W_y", left_kN, "kN", "line above, without its sign"),
        ("W_z", lift_kN, "kN", "line above"),
        ("l_x", arm_x_m, "m", arms + "x"),
        ("l_y", arm_y_m, "m", arms + "y"),
        ("l_z", arm_z_m, "m", arms + "z"),
        ("M_y", arm_z_m * ahead_kN + arm_x_m * lift_kN, "kNm", "about y"),
        ("M_z", arm_x_m * left_kN + arm_y_m * ahead_kN, "kNm", "about z"),
    )
    formula = "M_x = l_z W_y + l_y W_z, quad M_y = l_z W_x + l_x W_z, quad M_z = l_x W_y + l_y W_x"
    said = formula.replace(", quad ", "; ")
    result = ("M_x", arm_z_m * left_kN + arm_y_m * lift_kN, "kNm")
    title = "Moments of the wind about the centre of mass, all to the bad side"
    return Line(check, title, formula, said, values, result, "statics", "common practice, no source", "practice")
