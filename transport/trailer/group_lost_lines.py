"""Calculation lines of one hydraulic group lost: the worst one, at the station that governs it."""

import numpy as np

from shared.arrays import Array
from shared.calculation import Line
from shared.units import STANDARD_GRAVITY_MPS2
from transport.trailer.group_lost import Lost
from transport.trailer.polygon import Planes, edge_distance_m, edges
from transport.trailer.resultant import Body, leaned_gradient, least_place

__all__ = ["LOST", "lost_lines"]

LOST = "one hydraulic group lost"


def lost_lines(
    found: Lost, lever: tuple[float, float] | None, bogies_count: Array, capacity_t: float
) -> tuple[Line, ...]:
    """Tilt onto the stops if they hold, centre of mass to the nearest edge, what is left, and the use of it.

    `lever` is travel and distance of the group to the line that the deck turns about, None where nothing is stated.
    Where the centre of mass stands on or outside the edge there is nothing left to use up. Then the heaviest axle line,
    if the groups that carry share the load; `bogies_count` is that of every group.
    Source: the equations of group_lost, tipping and resultant.
    """
    body, at_rest = found.body, found.tipped.at_rest_kNm
    if np.all(np.isnan(at_rest)):
        return ()
    polygon = edges(found.support_m)
    state, station, edge = _place(found, polygon)
    bare = _bare_line(polygon, body, state, edge)
    tilt = () if lever is None else (_tilt_line(*lever),)
    if not (bare.result[1] > 0.0 and np.isfinite(body.amplification_ratio[state])):
        return *tilt, bare, *_axle_line(found, bogies_count, capacity_t)
    left = _left_line(found, polygon, (state, station, edge))
    used = Line(
        LOST, "Share of that distance that is used up, still air", "U = 1 - d / s", "U = 1 - d / s",
        (("d", left.result[1], "m", "line above"), ("s", bare.result[1], "m", "centre of mass to the edge, bare")),
        ("U", 1.0 - left.result[1] / bare.result[1], "1"), "statics", "common practice, no source", "practice",
    )  # fmt: skip
    return *tilt, bare, left, used, *_axle_line(found, bogies_count, capacity_t)


def _place(found: Lost, polygon: Planes) -> tuple[int, int, int]:
    """State, station and edge with the greatest use; of edges that the centre of mass has passed the furthest."""
    body = found.body
    normal_kN = (body.mass_t * STANDARD_GRAVITY_MPS2)[:, None, None] * found.actions.normal_ratio[:, None]
    bare = normal_kN * edge_distance_m(polygon, body.centre_m)[:, None, :]
    left: Array = found.tipped.at_rest_kNm
    share = np.full(left.shape, -np.inf)
    np.divide(left, bare, out=share, where=bare > 0.0)
    worst = np.where(bare > 0.0, share, -np.inf)
    worst = np.where(np.isneginf(worst), np.minimum(left, 0.0) - 1e9, worst)
    least = int(np.where(np.isnan(left), np.inf, worst).argmin())
    state, station, edge = np.unravel_index(least, left.shape)
    return int(state), int(station), int(edge)


def _axle_line(found: Lost, bogies_count: Array, capacity_t: float) -> tuple[Line, ...]:
    if found.loads is None or not np.all(np.isfinite(found.loads.greatest_t)):
        return ()
    bogies = bogies_count[found.carrying_count]
    greatest_t = found.loads.greatest_t.max(axis=1)
    worst = int(np.argmax(greatest_t / bogies))
    load_t, count = float(greatest_t[worst]), float(bogies[worst])
    line = Line(
        LOST, "Share of the rating that the heaviest axle line uses, still air", "U = (2 F) / (n C)", "U = 2 F / (n C)",
        (
            ("F", load_t, "t", "load of the hydraulic group that has it, one group lost"),
            ("n", count, "1", "bogies of that group"),
            ("C", capacity_t, "t", "trailer.axle_line_capacity_t"),
        ),
        ("U", 2.0 * load_t / (count * capacity_t), "1"), "equal pressure in a hydraulic group",
        "common practice, no source", "practice",
    )  # fmt: skip
    return (line,)


def _tilt_line(travel_m: float, lever_m: float) -> Line:
    return Line(
        LOST, "Tilt of the deck once the group stands on its stops", "delta = arctan(u / l)", "delta = atan(u / l)",
        (
            ("u", travel_m, "m", "trailer.stop_travel_m"),
            ("l", lever_m, "m", "group to the line through the others that the deck turns about"),
        ),
        ("delta", float(np.degrees(np.arctan2(travel_m, lever_m))), "deg"),
        "geometry", "common practice, no source", "practice",
    )  # fmt: skip


def _bare_line(polygon: Planes, body: Body, state: int, edge: int) -> Line:
    x_m, y_m = (float(part) for part in body.centre_m[state])
    along, across, value_m = (float(part) for part in (*polygon.gradient[edge], polygon.value[edge]))
    return Line(
        LOST, "Centre of mass to the edge of the groups that carry", "s = n_x x + n_y y + e", "s = n_x x + n_y y + e",
        (
            ("n_x", along, "1", "inward normal of the edge, forward part"),
            ("x", x_m, "m", "centre of mass, forward"),
            ("n_y", across, "1", "inward normal of the edge, part to the left"),
            ("y", y_m, "m", "centre of mass, to the left"),
            ("e", value_m, "m", "neutral point to the edge, above 0 inside"),
        ),
        ("s", along * x_m + across * y_m + value_m, "m"), "plane geometry", "common practice, no source", "practice",
    )  # fmt: skip


def _left_line(found: Lost, polygon: Planes, at: tuple[int, int, int]) -> Line:
    state, station, edge = at
    body = found.body
    along, across = leaned_gradient(polygon, body)
    normal, actions = (along[edge], across[state, edge]), found.actions
    forces = zip(normal, (actions.forward_mps2, actions.left_mps2), strict=True)
    outward = sum(max(-float(side[station]) * float(n) for side in force) for n, force in forces)
    place_m, height_m = float(least_place(polygon, body)[state, edge]), float(body.height_m[state])
    share = float(actions.normal_ratio[station])
    return Line(
        LOST, "Distance left between the resultant and that edge, still air",
        "d = s_1 - (h f) / (g c)", "d = s_1 - h f / (g c)",
        (
            ("s_1", place_m, "m", "centre of mass to the edge, least, tolerance and elastic roll included"),
            ("h", height_m, "m", "height of the centre of mass above the ground"),
            ("f", outward, "m/s2", "grade, deck tilt, stop or start and bend, outward, elastic roll included"),
            ("g", STANDARD_GRAVITY_MPS2, "m/s2", "standard gravity"),
            ("c", share, "1", "share of gravity normal to the deck"),
        ),
        ("d", place_m - height_m * outward / (STANDARD_GRAVITY_MPS2 * share), "m"),
        "statics", "common practice, no source", "practice",
    )  # fmt: skip
