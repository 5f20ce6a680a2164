"""Calculation lines of a reserve and of what a gust takes from it, at the place that governs: C and D of the gust."""

import numpy as np

from shared.arrays import Array
from shared.calculation import Line
from shared.units import STANDARD_GRAVITY_MPS2
from transport.trailer.calculation import AXLE_LINE, TIPPING, Spot
from transport.trailer.polygon import Planes
from transport.trailer.resultant import Actions, Body, leaned_gradient, least_place
from transport.trailer.stability import reserve_m
from transport.trailer.wind import Wind

__all__ = ["axle_reserve_line", "loss_line", "tipping_reserve_lines"]

PLATES = ("equal pressure in a hydraulic group", "common practice, no source", "practice")
STATICS = ("statics", "common practice, no source", "practice")
WIND = ("statics; EN 1991-1-4:2005", "5.3", "memory")


def tipping_reserve_lines(
    at: Spot, polygon: Planes, body: Body, actions: Actions, wind: Wind, angle_deg: float
) -> tuple[Line, ...]:
    """Moment left above the required angle in still air, and its loss per kPa of gust pressure.

    None where elastic roll has no limit: there is nothing left.
    Source: the equations of resultant, stability and wind.
    """
    if np.isinf(body.amplification_ratio[at.state]):
        return ()
    kept = Planes(polygon.value - reserve_m(body.height_m, angle_deg)[:, None], polygon.gradient)
    return _reserve_line(at, polygon, body, actions, angle_deg), loss_line(TIPPING, at, kept, body, wind)


def axle_reserve_line(spare_kN: float, capacity_t: float, bogies_count: float) -> Line:
    """Load that a group may still take in still air, in the mass state that governs.

    Source: equal pressure, equal cylinders (statics).
    """
    load_t = capacity_t * bogies_count / 2.0 - spare_kN / STANDARD_GRAVITY_MPS2
    values = (
        ("g", STANDARD_GRAVITY_MPS2, "m/s2", "standard gravity"),
        ("P", capacity_t, "t", "trailer.axle_line_capacity_t"),
        ("n", bogies_count, "1", "bogies of the group"),
        ("F", load_t, "t", "load of the group with every allowance, in the mass state that governs"),
    )
    formula = "C = g ((P n) / 2 - F)"
    title = "Load that the group may still take, still air"
    return Line(AXLE_LINE, title, formula, "C = g (P n / 2 - F)", values, ("C", spare_kN, "kN"), *PLATES)


def loss_line(check: str, at: Spot, planes: Planes, body: Body, wind: Wind) -> Line:
    """What each kPa of gust pressure takes from a reserve: the overturning moment and the lift, no help counted.

    `planes` is the distance to the edges, less what the required angle keeps, or minus the shares of the groups.
    Source: the equation of wind.
    """
    along, across = leaned_gradient(planes, body)
    n_x, e_y = float(along[at.plane]), float(across[at.state, at.plane])
    growth = 1.0 if np.isinf(body.amplification_ratio[at.state]) else float(body.amplification_ratio[at.state])
    turning = [float(part) for part in wind.moment_m3[at.station, at.wind]]
    value = float(np.broadcast_to(planes.value, (len(body.mass_t), planes.value.shape[-1]))[at.state, at.plane])
    x_m, y_m = (float(place) for place in wind.lift_at_m)
    lifted = value + n_x * x_m + e_y * y_m
    taken = max(-(n_x * turning[0] + e_y * turning[1]), 0.0) + wind.lift_m2 * max(lifted, 0.0)
    unit, per = ("m3", "1") if check != AXLE_LINE else ("m2", "1/m")
    values = (
        (
            "n_x",
            n_x,
            per,
            "slope of the reserve along the trailer" if per != "1" else "inward normal of the edge, along",
        ),
        ("n_y", e_y / growth, per, "the same, across"),
        ("e", growth, "1", "elastic amplification of sideways actions"),
        ("M_x", turning[0], "m3", "sum of c_f A z of unit and platform, along"),
        ("M_y", turning[1], "m3", "the same, across"),
        ("A_l", wind.lift_m2, "m2", "unit.lift_coefficient by unit.plan_area_m2"),
        ("s_0", value, "m" if per == "1" else "1", "at the middle of the deck" + _kept_words(check)),
        ("x", x_m, "m", "where the lift acts, along"),
        ("y", y_m, "m", "where the lift acts, across"),
        ("s_l", lifted, "m" if per == "1" else "1", "where the lift acts"),
    )
    formula = "D = max(-(n_x M_x + e n_y M_y), 0) + A_l max(s_l, 0), quad s_l = s_0 + n_x x + e n_y y"
    said = formula.replace(", quad ", "; ")
    title = (
        "Loss of the reserve per kPa of gust pressure"
        if check in {TIPPING, AXLE_LINE}
        else ("Loss of the reserve per kPa of mean wind")
    )
    return Line(check, title, formula, said, values, ("D", taken, unit), *WIND)


def _kept_words(check: str) -> str:
    if check == AXLE_LINE:
        return ": minus the share of the group in the whole load"
    return ": distance to the edge" + (", less h tan alpha_0" if check == TIPPING else "")


def _reserve_line(at: Spot, polygon: Planes, body: Body, actions: Actions, angle_deg: float) -> Line:
    along, across = leaned_gradient(polygon, body)
    normal = (along[at.plane], across[at.state, at.plane])
    forces = zip(normal, (actions.forward_mps2, actions.left_mps2), strict=True)
    pushed_mps2 = sum(max(-float(side[at.station]) * float(n) for side in force) for n, force in forces)
    mass_t, height_m = float(body.mass_t[at.state]), float(body.height_m[at.state])
    share, place_m = float(actions.normal_ratio[at.station]), float(least_place(polygon, body)[at.state, at.plane])
    kept_m = place_m - height_m * float(np.tan(np.radians(angle_deg)))
    left_kNm = mass_t * (
        STANDARD_GRAVITY_MPS2 * min(share * kept_m, _heaviest(actions, at) * kept_m) - height_m * pushed_mps2
    )
    values = (
        ("m", mass_t, "t", "trailer and unit, with its tolerance"),
        ("g", STANDARD_GRAVITY_MPS2, "m/s2", "standard gravity"),
        ("c", share, "1", "share of gravity normal to the deck"),
        ("s", place_m, "m", "d_0 - r of the line above"),
        ("h", height_m, "m", "height of the centre of mass above the ground"),
        ("alpha_0", angle_deg, "deg", "trailer.minimum_stability_angle_deg"),
        ("s_1", kept_m, "m", "what is left above the required angle"),
        ("f", pushed_mps2, "m/s2", "grade, deck tilt, stop or start and bend, outward, elastic roll included"),
    )
    formula = "C = m (g min(c s_1, s_1) - h f), quad s_1 = s - h tan alpha_0"
    said = formula.replace(", quad ", "; ")
    title = "Moment left about the edge above the required angle, still air"
    return Line(TIPPING, title, formula, said, values, ("C", left_kNm, "kNm"), *STATICS)


def _heaviest(actions: Actions, at: Spot) -> float:
    heaviest: Array = np.broadcast_to(np.asarray(actions.heaviest_ratio, dtype=float), actions.normal_ratio.shape)
    return float(heaviest[at.station])
