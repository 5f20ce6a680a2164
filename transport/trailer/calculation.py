"""Calculation lines of the trailer's checks, each at the station and wind that govern it."""

from typing import NamedTuple

import numpy as np

from shared.arrays import Array
from shared.calculation import Line
from shared.units import STANDARD_GRAVITY_MPS2
from transport.trailer.lateral import Lateral
from transport.trailer.polygon import Planes
from transport.trailer.resultant import Actions, Body

__all__ = [
    "CLAUSES",
    "REMEDIES",
    "STATES",
    "Spot",
    "axle_line",
    "gust_formula",
    "gust_line",
    "lateral_line",
    "levelling_line",
    "spot_of",
    "tipping_lines",
]

STATES = (TIPPING, AXLE_LINE, LEVELLING, EARTHQUAKE, LATERAL) = (
    "trailer tipping",
    "axle-line load",
    "levelling stroke",
    "trailer tipping, earthquake",
    "mirror acceleration, lateral",
)
CLAUSES = (
    "statics about the edges of the tipping polygon; least angle: common practice, no source",
    "equal pressure in a hydraulic group; capacity of the plate",
    "geometry of the profile; stroke of the axle compensation",
    "EN 1998-1:2004, 4.3.3.5 (100/30), accidental, gamma 1, mean wind; inside the polygon, no least angle: practice",
    "statics of the leaning deck in a bend; allowed acceleration from the mirror's supplier",
)
REMEDIES = (
    "lower the unit, use four groups, go slower in bends, stop and start softly, level closely, or wait for less wind",
    "add axle lines or move the unit towards the lightly loaded group",
    "smooth the road there, pack the deck, or take a trailer with more stroke",
    "lower the unit, use four groups, level more closely, or check the level of shaking for the time of exposure",
    "go slower in bends, level more closely, lower the unit, or take a trailer that is stiffer in roll",
)


class Spot(NamedTuple):
    """Where a check is worst: mass state, station, wind direction, edge or group."""

    state: int
    station: int
    wind: int
    plane: int


def spot_of(limit_mps: Array, at_rest_kNm: Array) -> Spot | None:
    """Indices of the least known limit, among closed places of the least reserve; None if nothing is known.

    Shapes: limit (state, station, wind_from, plane), at_rest_kNm (state, station, plane). Source: search for the least.
    """
    if np.all(np.isnan(limit_mps)):
        return None
    worst = np.where(limit_mps > 0.0, limit_mps, np.minimum(at_rest_kNm, 0.0)[:, :, None, :])
    least = int(np.where(np.isnan(limit_mps), np.inf, worst).argmin())
    return Spot(*(int(part) for part in np.unravel_index(least, limit_mps.shape)))


def tipping_lines(
    at: Spot, tare: tuple[float, float], polygon: Planes, body: Body, actions: Actions
) -> tuple[Line, ...]:
    """Centre of mass, remaining distance and stability angle in still air at the governing place.

    `tare` is mass and height of the bare trailer. Where elastic roll has no limit there is no angle to show.
    Source: the equations of resultant and stability.
    """
    height_m = float(body.height_m[at.state])
    height = _height_line(at.state, tare, body)
    if np.isinf(body.amplification_ratio[at.state]):
        return (height,)
    distance = _distance_line(at, polygon, body, actions)
    left_m = distance.result[1]
    angle = Line(
        TIPPING, "Stability angle after all allowances, still air", "alpha = arctan(d / h)", "alpha = atan(d / h)",
        (("d", left_m, "m", "line above"), ("h", height_m, "m", "height of the centre of mass")),
        ("alpha", float(np.degrees(np.arctan(left_m / height_m))), "deg"),
        "stability angle of platform trailers", "common practice, no source", "practice",
    )  # fmt: skip
    return height, distance, angle


def gust_line(check: str, at: Spot, found: tuple[Array, Array, Array], air_density_kg_per_m3: float) -> Line:
    """The gust that uses up a reserve C whose loss per unit pressure is D.

    `found` is reserve (state, station, plane), change per unit pressure and limit (state, station, wind_from, plane).
    Source: q = rho V^2 / 2, EN 1991-1-4:2005, 4.5 (memory).
    """
    reserve = float(found[0][at.state, at.station, at.plane])
    change, limit_mps = float(found[1][at]), float(found[2][at])
    unit = ("kNm", "m3") if check == TIPPING else ("kN", "m2")
    what = "above the required angle" if check == TIPPING else "of the group below its capacity"
    return Line(
        check, "Gust that uses up the reserve", *gust_formula(change, limit_mps),
        (
            ("C", reserve, unit[0], f"reserve in still air {what}; below 0 nothing is left"),
            ("rho", air_density_kg_per_m3, "kg/m3", "site.air_density_kg_per_m3"),
            ("D", -change, unit[1], "loss of reserve per kPa of gust pressure"),
        ),
        ("V", limit_mps, "m/s"), "EN 1991-1-4:2005", "4.5", "memory",
    )  # fmt: skip


def gust_formula(change: float, limit_mps: float, factor: str = "") -> tuple[str, str]:
    """Formula of the gust, as mathematics and as plain text; where the wind takes nothing it is infinite or 0.

    V = sqrt(2000 max(C, 0) / (rho D)), times a factor. Source: q = rho V^2 / 2, EN 1991-1-4:2005, 4.5 (memory).
    """
    if not change < 0.0:
        constant = "V = infinity" if limit_mps > 0.0 else "V = 0"
        return constant, constant
    return f"V = {factor}sqrt((2000 max(C, 0)) / (rho D))", f"V = {factor}sqrt(2000 max(C, 0) / (rho D))"


def axle_line(load_t: float, bogies_count: float) -> Line:
    """Load of the heaviest axle line in still air.

    Source: equal pressure, equal cylinders (statics).
    """
    return Line(
        AXLE_LINE, "Heaviest axle line, still air", "P = (2 F) / n", "P = 2 F / n",
        (
            ("F", load_t, "t", "load of its hydraulic group with grade, stop or start, bend, tilt and tolerance"),
            ("n", bogies_count, "1", "bogies of the group"),
        ),
        ("P", 2.0 * load_t / bogies_count, "t"),
        "equal pressure in a hydraulic group", "common practice, no source", "practice",
    )  # fmt: skip


def levelling_line(across_m: float, length_m: float, change_ratio: float) -> Line:
    """Stroke that crossfall and profile take together.

    Source: the equations of stroke.
    """
    return Line(
        LEVELLING, "Stroke needed by crossfall and profile", "u = u_c + (L A) / 4", "u = u_c + L A / 4",
        (
            ("u_c", across_m, "m", "track times crossfall, survey error included"),
            ("L", length_m, "m", "first to last axle line"),
            ("A", change_ratio, "1", "change of grade under the platform, survey error included"),
        ),
        ("u", across_m + length_m * change_ratio / 4.0, "m"), "Eck and Kang, TRR 1356", "p. 80", "read",
    )  # fmt: skip


def lateral_line(at: Lateral, station_count: int) -> Line:
    """Sideways acceleration of the mirror at the station of that number.

    Source: the equation of lateral.
    """
    felt_mps2 = float(at.felt_mps2[station_count])
    formula = "a = infinity" if np.isinf(felt_mps2) else "a = g sin phi + e v^2 (kappa + s)"
    return Line(
        LATERAL, "Sideways acceleration in the plane of the deck", formula, formula,
        (
            ("g", STANDARD_GRAVITY_MPS2, "m/s2", "standard gravity"),
            ("phi", float(at.lean_deg[station_count]), "deg", "roll of the deck with tolerance and elastic lean"),
            ("e", at.amplification_ratio, "1", "elastic amplification of sideways actions"),
            ("v", float(at.speed_mps[station_count]), "m/s", "planned speed"),
            ("kappa", float(np.abs(at.curvature_per_m[station_count])), "1/m", "curvature of the bend"),
            ("s", float(at.reach_per_m[station_count]), "1/m", "two standard errors of the curvature"),
        ),
        ("a", felt_mps2, "m/s2"), "statics", "common practice, no source", "practice",
    )  # fmt: skip


def _distance_line(at: Spot, polygon: Planes, body: Body, actions: Actions) -> Line:
    normal = polygon.gradient[at.plane] * np.array([1.0, body.amplification_ratio[at.state]])
    height_m, share = float(body.height_m[at.state]), float(actions.normal_ratio[at.station])
    bare_m = float(polygon.value[at.plane] + normal @ body.centre_m[at.state])
    tolerance_m = float(body.tolerance_m[at.state] * np.hypot(*normal))
    forces = zip(normal, (actions.forward_mps2, actions.left_mps2), strict=True)
    pushed_mps2 = sum(max(-float(side[at.station]) * float(n) for side in force) for n, force in forces)
    left_m = bare_m - tolerance_m - height_m * pushed_mps2 / (STANDARD_GRAVITY_MPS2 * share)
    return Line(
        TIPPING, "Distance left between the resultant and the edge, still air",
        "d = d_0 - r - (h f) / (g c)", "d = d0 - r - h f / (g c)",
        (
            ("d_0", bare_m, "m", "centre of mass to the edge, elastic roll included"),
            ("r", tolerance_m, "m", "tolerance of the centre of mass"),
            ("h", height_m, "m", "height of the centre of mass above the ground"),
            ("f", pushed_mps2, "m/s2", "grade, deck tilt, stop or start and bend, outward, elastic roll included"),
            ("g", STANDARD_GRAVITY_MPS2, "m/s2", "standard gravity"),
            ("c", share, "1", "share of gravity normal to the deck"),
        ),
        ("d", left_m, "m"), "statics, moments about the ground", "common practice, no source", "practice",
    )  # fmt: skip


def _height_line(state: int, tare: tuple[float, float], body: Body) -> Line:
    mass_t, height_m = float(body.mass_t[state]), float(body.height_m[state])
    unit_t, nominal_t = mass_t - tare[0], float(np.mean(body.mass_t)) - tare[0]
    reach_m, high_m = float(body.tolerance_m[state]) * mass_t / unit_t, (mass_t * height_m - tare[0] * tare[1]) / unit_t
    sign, taken = ("-", "least") if unit_t < nominal_t else ("+", "most")
    formula = "h = (m_u z_u + m_t z_t) / (m_u + m_t)"
    parts = (f"m_u = m_0 {sign} m_1", "z_u = z_0 + z_1")
    return Line(
        TIPPING, "Height of the combined centre of mass",
        ", quad ".join((formula, *parts)), "; ".join((formula, *parts)),
        (
            ("m_0", nominal_t, "t", "unit.mass_t"),
            ("m_1", abs(unit_t - nominal_t), "t", "unit.mass_tolerance_t"),
            ("m_u", unit_t, "t", f"unit, taken: the {taken} that it may be is worse here"),
            ("z_0", high_m - reach_m, "m", "unit above the ground: deck_height_m and its centre_of_mass_m"),
            ("z_1", reach_m, "m", "unit.centre_of_mass_tolerance_m"),
            ("z_u", high_m, "m", "unit, taken: at the highest that it may be"),
            ("m_t", tare[0], "t", "trailer.tare_t"),
            ("z_t", tare[1], "m", "trailer.tare_centre_of_mass_height_m"),
        ),
        ("h", height_m, "m"), "statics", "common practice, no source", "practice",
    )  # fmt: skip
