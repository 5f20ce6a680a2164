"""Calculation lines of tipping in an earthquake, at the combination, station and wind that govern it."""

import numpy as np

from shared.arrays import Array
from shared.calculation import Line
from shared.units import STANDARD_GRAVITY_MPS2
from transport.trailer.calculation import EARTHQUAKE, Spot, gust_formula
from transport.trailer.earthquake import Shaken, Shaking, parts_ratio, shaking_lever_m
from transport.trailer.polygon import Planes
from transport.trailer.resultant import Actions, Body, leaned_gradient, least_place

__all__ = ["shaken_lines"]

Values = tuple[tuple[str, float, str, str], ...]


def shaken_lines(
    at: Spot,
    found: Shaken,
    polygon: Planes,
    body: Body,
    actions: tuple[Actions, Actions],
    shaking: Shaking,
    *,
    other_ratio: float,
    gust_to_mean_ratio: float,
    density_kg_per_m3: float,
) -> tuple[Line, ...]:
    """Lever of the shaking, moment left, and the gust that uses it up; the last alone where elastic roll has no limit.

    Source: the equations of earthquake.
    """
    gust = _gust_line(at, found, gust_to_mean_ratio, density_kg_per_m3)
    combination, state = divmod(at.state, len(body.mass_t))
    if np.isinf(body.amplification_ratio[state]):
        return (gust,)
    part, up = parts_ratio(other_ratio)[combination]
    spot = at._replace(state=state)
    lever_m = float(shaking_lever_m(polygon, body, actions[0])[state, at.station, at.plane])
    shares: Values = (
        ("a_h", part * abs(float(shaking.horizontal_mps2[at.station])), "m/s2", f"{part:g} of the deck, horizontal"),
        ("a_v", up * abs(float(shaking.vertical_mps2[at.station])), "m/s2", f"{up:g} of the deck, vertical"),
    )
    reserve_kNm = float(found.at_rest_kNm[at.state, at.station, at.plane])
    return (
        _lever_line(spot, polygon, body, actions[0], lever_m),
        _reserve_line(spot, polygon, body, actions[1], (lever_m, reserve_kNm), shares),
        gust,
    )


def _place(at: Spot, polygon: Planes, body: Body, actions: Actions) -> tuple[Values, Values]:
    """Distance, height, gravity and share, the same in both lines; and the outward force."""
    along, across = leaned_gradient(polygon, body)
    normal = (along[at.plane], across[at.state, at.plane])
    forces = zip(normal, (actions.forward_mps2, actions.left_mps2), strict=True)
    outward = sum(max(-float(side[at.station]) * float(n) for side in force) for n, force in forces)
    place = (
        ("s", float(least_place(polygon, body)[at.state, at.plane]), "m", "edge to the centre of mass, least"),
        ("h", float(body.height_m[at.state]), "m", "height of the centre of mass above the ground"),
        ("g", STANDARD_GRAVITY_MPS2, "m/s2", "standard gravity"),
        ("c", float(actions.normal_ratio[at.station]), "1", "share of gravity normal to the deck"),
    )
    return place, (("f", outward, "m/s2", "outward along the deck, elastic roll included"),)


def _lever_line(at: Spot, polygon: Planes, body: Body, tilted: Actions, lever_m: float) -> Line:
    along, across = leaned_gradient(polygon, body)
    place, outward = _place(at, polygon, body, tilted)
    stretch = float(np.hypot(along[at.plane], across[at.state, at.plane]))
    return Line(
        EARTHQUAKE, "Lever of the horizontal shaking about the edge",
        "l = sqrt((n h)^2 + s^2 - (s c - h f / g)^2)", "l = sqrt((n h)^2 + s^2 - (s c - h f / g)^2)",
        (("n", stretch, "1", "elastic roll, across the edge"), *place, (*outward[0][:3], "grade and tilt, outward")),
        ("l", lever_m, "m"), "statics", "common practice, no source", "practice",
    )  # fmt: skip


def _reserve_line(
    at: Spot, polygon: Planes, body: Body, rolling: Actions, found: tuple[float, float], shares: Values
) -> Line:
    place, outward = _place(at, polygon, body, rolling)
    return Line(
        EARTHQUAKE, "Moment left about the edge beside the earthquake, no wind",
        "C = m (min((g c - a_v) s, (g + a_v) s) - h f - a_h l)",
        "C = m (min((g c - a_v) s, (g + a_v) s) - h f - a_h l)",
        (
            ("m", float(body.mass_t[at.state]), "t", "trailer and unit, with its tolerance"),
            *place,
            (*outward[0][:3], "grade, tilt and bend, outward, elastic roll included"),
            *shares,
            ("l", found[0], "m", "line above"),
        ),
        ("C", found[1], "kNm"), "EN 1998-1:2004", "4.3.3.5", "memory",
    )  # fmt: skip


def _gust_line(at: Spot, found: Shaken, gust_to_mean_ratio: float, density_kg_per_m3: float) -> Line:
    reserve_kNm = float(found.at_rest_kNm[at.state, at.station, at.plane])
    loss_m3: Array = -found.per_pressure_m3[at.state, at.station, at.wind, at.plane]
    limit_mps = float(found.limit_mps[at.state, at.station, at.wind, at.plane])
    return Line(
        EARTHQUAKE, "Gust whose mean wind uses up the reserve",
        *gust_formula(-float(loss_m3), limit_mps, "r "),
        (
            ("r", gust_to_mean_ratio, "1", "gust over mean wind"),
            ("C", reserve_kNm, "kNm", "line above; below 0 nothing is left"),
            ("rho", density_kg_per_m3, "kg/m3", "site.air_density_kg_per_m3"),
            ("D", float(loss_m3), "m3", "loss of reserve per kPa of mean wind"),
        ),
        ("V", limit_mps, "m/s"),
        "EN 1991-1-4:2005", "4.5", "memory",
    )  # fmt: skip
