"""Calculation lines of group pressure, twist, elastic roll and ground pressure, each at the place that governs it."""

import numpy as np

from shared.calculation import Line
from shared.units import STANDARD_GRAVITY_MPS2
from transport.trailer import calculation
from transport.trailer.calculation import TIPPING, Spot
from transport.trailer.ground import shadow_pressure_kPa, spread_pressure_kPa, tyre_side_m
from transport.trailer.hydraulics import Hydraulics, Pressed, group_pressure_kPa
from transport.trailer.loading import Loading
from transport.trailer.resultant import Body

__all__ = [
    "CLAUSES", "GROUND", "HYDRAULIC", "REMEDIES", "STATES", "ground_lines", "pressure_lines", "roll_line", "twist_line",
]  # fmt: skip

STATES = (HYDRAULIC, GROUND) = ("hydraulic group pressure", "ground pressure")
CLAUSES = (
    "equal pressure in a hydraulic group; limits of the circuit from the builder",
    "shadow of the platform, and one tyre spread 2:1: common practice, no source; allowed pressure as given",
)
REMEDIES = (
    (
        "state trailer.cylinder_diameter_mm, cylinders_per_bogie_count and group_pressure_limit_bar if missing; "
        "else add axle lines, move the unit towards the lightly loaded group, or wait for less wind"
    ),
    "lay plates or mats, improve the road there, or take a trailer with more lines or a wider deck",
)


def pressure_lines(
    at: Spot, pressed: Pressed, loads: Loading, bogies_count: tuple[float, ...], hydraulics: Hydraulics, density: float
) -> tuple[Line, ...]:
    """Pressure of the governing group in still air, and the gust that takes it to its limit.

    Source: the equations of hydraulics.
    """
    number = at.plane % len(bogies_count)
    bogies, high = bogies_count[number], at.plane < len(bogies_count)
    found = loads.heaviest_kN if high else loads.lightest_kN
    load_kN = float(found[at.state, at.station, number])
    pressure = _greatest_line(load_kN, bogies, hydraulics) if high else _least_line(load_kN, bogies, hydraulics)
    return pressure, _gust_line(at, pressed, density, high=high)


def twist_line(stiffness_MNm_per_rad: float, warp_rad: float, track_m: float) -> Line:
    """What a twisted deck adds to two groups on one diagonal.

    Source: twist_force_kN.
    """
    return Line(
        HYDRAULIC, "Force that the twisted deck shifts to one diagonal", "Q = (1000 k w) / b", "Q = 1000 k w / b",
        (
            ("k", stiffness_MNm_per_rad, "MNm/rad", "trailer.deck_torsion_stiffness_MNm_per_rad"),
            ("w", warp_rad, "rad", "greatest change of crossfall under the deck, survey error included"),
            ("b", track_m, "m", "twice trailer.bogie_y_m"),
        ),
        ("Q", 1000.0 * stiffness_MNm_per_rad * warp_rad / track_m, "kN"),
        "statics of a deck in torsion", "common practice, no source", "practice",
    )  # fmt: skip


def roll_line(body: Body, stiffness_MNm_per_rad: float) -> Line:
    """Roll stiffness that is left beside the weight that leans out; at 0 or below the platform does not stand upright.

    Source: second-order statics of a body on a rotational spring (practice).
    """
    state = int(np.argmax(body.mass_t * body.height_m))
    mass_t, height_m = float(body.mass_t[state]), float(body.height_m[state])
    return Line(
        TIPPING, "Net roll stiffness; it must stay above 0", "k_n = k - (m g h) / 1000", "k_n = k - m g h / 1000",
        (
            ("k", stiffness_MNm_per_rad, "MNm/rad", "trailer.roll_stiffness_MNm_per_rad"),
            ("m", mass_t, "t", "trailer and unit, with its tolerance"),
            ("g", STANDARD_GRAVITY_MPS2, "m/s2", "standard gravity"),
            ("h", height_m, "m", "height of the centre of mass above the ground"),
        ),
        ("k_n", stiffness_MNm_per_rad - mass_t * STANDARD_GRAVITY_MPS2 * height_m / 1000.0, "MNm/rad"),
        "second-order statics of a body on a rotational spring", "common practice, no source", "practice",
    )  # fmt: skip


def ground_lines(
    line_t: float, pitch_m: float, width_m: float, tyre: tuple[int, float], depth_m: float
) -> tuple[Line, Line]:
    """Pressure under the shadow of the heaviest axle line, and at a depth below one of its tyres.

    `tyre` is the count on a line and the tyre pressure in kPa. Source: shadow_pressure_kPa, spread_pressure_kPa.
    """
    count, pressure_kPa = tyre
    line_kN = line_t * STANDARD_GRAVITY_MPS2
    side_m = float(tyre_side_m(line_kN / count, pressure_kPa))
    load = (
        ("P", line_t, "t", "heaviest axle line, trailer included"),
        ("g", STANDARD_GRAVITY_MPS2, "m/s2", "standard gravity"),
    )
    shadow = Line(
        GROUND, "Pressure under the shadow of the heaviest axle line, still air",
        "p = (P g) / (a B)", "p = P g / (a B)",
        (*load, ("a", pitch_m, "m", "least pitch of the axle lines"), ("B", width_m, "m", "trailer.deck_width_m")),
        ("p", float(shadow_pressure_kPa(line_kN, pitch_m, width_m)), "kPa"),
        "shadow area rule", "common practice, no source", "practice",
    )  # fmt: skip
    spread = Line(
        GROUND, "Pressure below one tyre, spread 2:1, still air",
        "p = (P g / t) / (sqrt((P g) / (t q)) + z)^2", "p = (P g / t) / (sqrt(P g / (t q)) + z)^2",
        (
            *load,
            ("t", float(count), "1", "trailer.tyres_per_line_count"),
            ("q", pressure_kPa, "kPa", "trailer.tyre_pressure_kPa"),
            ("z", depth_m, "m", "depth at which pressures are compared"),
        ),
        ("p", float(spread_pressure_kPa(line_kN / count, side_m, depth_m, 1.0)), "kPa"),
        "load spread of foundation practice", "", "memory",
    )  # fmt: skip
    return shadow, spread


def _greatest_line(load_kN: float, bogies_count: float, hydraulics: Hydraulics) -> Line:
    return Line(
        HYDRAULIC, "Greatest pressure of the governing group, still air", "p = F / (n A)", "p = F / (n A)",
        (("F", load_kN, "kN", "load of the group with grade, stop or start, bend, tilt, twist and tolerance"),
         *_cylinders(bogies_count, hydraulics)),
        ("p", float(group_pressure_kPa(load_kN, bogies_count, hydraulics.cylinder_m2)), "kPa"),
        "equal pressure in a hydraulic group", "common practice, no source", "practice",
    )  # fmt: skip


def _least_line(load_kN: float, bogies_count: float, hydraulics: Hydraulics) -> Line:
    carried_kN = load_kN - bogies_count * hydraulics.hanging_kN
    return Line(
        HYDRAULIC, "Least pressure of the governing group, still air", "p = (F - n W) / (n A)", "p = (F - n W) / (n A)",
        (("F", load_kN, "kN", "least load of the group with grade, stop or start, bend, tilt, twist and tolerance"),
         ("W", hydraulics.hanging_kN, "kN", "weight of one bogie below its cylinders"),
         *_cylinders(bogies_count, hydraulics)),
        ("p", float(group_pressure_kPa(carried_kN, bogies_count, hydraulics.cylinder_m2)), "kPa"),
        "equal pressure in a hydraulic group", "common practice, no source", "practice",
    )  # fmt: skip


def _cylinders(bogies_count: float, hydraulics: Hydraulics) -> tuple[tuple[str, float, str, str], ...]:
    return (
        ("n", bogies_count, "1", "bogies of the group"),
        ("A", hydraulics.cylinder_m2, "m2", "cylinders of one bogie, from trailer.cylinder_diameter_mm"),
    )


def _gust_line(at: Spot, pressed: Pressed, density_kg_per_m3: float, *, high: bool) -> Line:
    side = "below the limit of its circuit" if high else "above its least pressure"
    spare_kN = float(pressed.spare_kN[at.state, at.station, at.plane])
    change, limit_mps = float(pressed.per_pressure_m2[at]), float(pressed.limit_mps[at])
    return Line(
        HYDRAULIC, "Gust that uses up the reserve of pressure", *calculation.gust_formula(change, limit_mps),
        (
            ("C", spare_kN, "kN", f"reserve of the group {side} in still air; below 0 nothing is left"),
            ("rho", density_kg_per_m3, "kg/m3", "site.air_density_kg_per_m3"),
            ("D", -change, "m2", "loss of reserve per kPa of gust pressure"),
        ),
        ("V", limit_mps, "m/s"), "EN 1991-1-4:2005", "4.5", "memory",
    )  # fmt: skip
