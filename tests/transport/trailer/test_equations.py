"""The trailer's equations against tables of check values, and against general libraries."""

import csv
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from shared.tables import figure
from shared.units import STANDARD_GRAVITY_MPS2
from transport.trailer.attitude import levelled_range_deg, specific_force_range_mps2, tilt_range_deg, worse_deg
from transport.trailer.axle_loads import axle_line_load_t, group_load_t, group_shares
from transport.trailer.earthquake import Shaking, shaken_at_rest_kNm, shaking_lever_m
from transport.trailer.ground import (
    borne_line_t,
    boussinesq_pressure_kPa,
    ground_pressures_kPa,
    shadow_pressure_kPa,
    spread_pressure_kPa,
    tyre_side_m,
)
from transport.trailer.group_lost import sunk_lever_m, sunk_tilt_deg
from transport.trailer.groups import bogie_count, centroids_m, halved_groupings, membership
from transport.trailer.hydraulics import cylinder_area_m2, group_pressure_kPa
from transport.trailer.lateral import lateral_mps2
from transport.trailer.polygon import edge_distance_m, edges, on_one_line
from transport.trailer.resultant import (
    Actions,
    Body,
    centrifugal_range_mps2,
    combined_centre_m,
    plan_shift_m,
    wind_shift_m,
)
from transport.trailer.roll import leaned_deg, net_roll_stiffness_MNm_per_rad, roll_amplification_ratio
from transport.trailer.spine import spine_moments_kNm, supported_length_m
from transport.trailer.stability import gust_pressure_kPa, reserve_m, stability_angle_deg, wind_free_limit_mps
from transport.trailer.stroke import crossfall_stroke_m, grade_change_ratio, kink_loss_m
from transport.trailer.twist import twist_force_kN
from transport.trailer.wind import Silhouette, facing_area_m2, force_direction, wind_moment_m3

PUBLISHED = Path(__file__).parents[2] / "published"
G_MPS2 = 9.81  # the tables of check values use it
FOOT_M, INCH_M = 0.3048, 0.0254


def rows(name: str) -> list[Any]:
    lines = (PUBLISHED / name).read_text(encoding="utf-8").splitlines()
    return [pytest.param(row, id=row["id"]) for row in csv.DictReader(lines[1:])]


def combined_height_m(masses_t: list[float], heights_m: list[float]) -> float:
    centre = np.column_stack([np.zeros(2), np.zeros(2), heights_m])
    return float(combined_centre_m(np.array(masses_t, float), centre)[2])


def allowed_angle_deg(
    support_m: Any,
    height_m: float,
    forward_mps2: float,
    left_mps2: float,
    wind_kNm: float,
    mass_t: float,
    tolerance_m: float,
) -> float:
    point = (
        plan_shift_m(height_m, forward_mps2, G_MPS2),
        plan_shift_m(height_m, left_mps2, G_MPS2) + wind_shift_m(wind_kNm, mass_t, G_MPS2) + tolerance_m,
    )
    return float(stability_angle_deg(edge_distance_m(edges(np.array(support_m, float)), point).min(), height_m))


def wind_force_kN(
    gust_mps: float, air_density_kg_per_m3: float, area_m2: float, force_ratio: float, height_m: float
) -> float:
    body = Silhouette(0.0, area_m2, height_m)
    moment = wind_moment_m3(np.array([0.0, -1.0]), force_ratio, (body,))
    return float(-moment[1] * gust_pressure_kPa(gust_mps, air_density_kg_per_m3))


def group_loads_t(support_m: Any, bogies: Any, mass_t: float, point_m: Any) -> Any:
    return group_load_t(group_shares(np.array(support_m, float), bogies), mass_t, point_m)


def hang_up_clearance_in(wheelbase_ft: float, change_percent: float) -> float:
    return float(kink_loss_m(wheelbase_ft * FOOT_M, change_percent / 100.0)) / INCH_M


def pressure_bar(mass_t: float, bogies: float, diameter_mm: float) -> float:
    return float(group_pressure_kPa(mass_t * G_MPS2, bogies, float(cylinder_area_m2(diameter_mm)))) / 100.0


def tilted(roll_rad: float) -> Actions:
    """A deck that falls to the right, nothing else."""
    none = np.zeros(1)
    right = np.array([-STANDARD_GRAVITY_MPS2 * np.sin(roll_rad)])
    return Actions((none, none), (right, none), np.array([np.cos(roll_rad)]))


def plain_body(height_m: float) -> Body:
    return Body(np.array([50.0]), np.zeros((1, 2)), np.array([height_m]), np.zeros(1), np.ones(1))


def rollover_ratio(support_m: Any, height_m: float, crossfall_ratio: float, vertical_ratio: float) -> float:
    """Horizontal acceleration over g at which the resultant leaves the polygon; the reserve is linear in it."""
    actions = tilted(np.arctan(crossfall_ratio))

    def reserve_kNm(horizontal_ratio: float) -> float:
        shares = (horizontal_ratio, vertical_ratio)
        shaking = Shaking(*(np.array([STANDARD_GRAVITY_MPS2 * share]) for share in shares))
        polygon = edges(np.array(support_m, float))
        return float(shaken_at_rest_kNm(polygon, plain_body(height_m), actions, actions, shaking).min())

    return float(brentq(reserve_kNm, 0.0, 2.0, xtol=1e-12))


CASES: dict[str, Callable[..., Any]] = {
    "combined height": combined_height_m,
    "stability angle": stability_angle_deg,
    "edge distance": lambda support_m, point_m: edge_distance_m(edges(np.array(support_m, float)), point_m).min(),
    "group loads": group_loads_t,
    "allowed angle": allowed_angle_deg,
    "centrifugal": lambda speed_mps, curvature_per_m: centrifugal_range_mps2(speed_mps, curvature_per_m, 0.0)[1],
    "wind force": wind_force_kN,
    "wind shift": lambda **given: wind_shift_m(**given, gravity_mps2=G_MPS2),
    "roll amplification": lambda **given: roll_amplification_ratio(**given, gravity_mps2=G_MPS2),
    "rollover": rollover_ratio,
    "leaned": lambda roll_deg, **given: leaned_deg(
        (np.array(-roll_deg), np.array(roll_deg)), float(roll_amplification_ratio(**given, gravity_mps2=G_MPS2))
    )[1],
    "lateral": lateral_mps2,
    "shadow": shadow_pressure_kPa,
    "tyre side": tyre_side_m,
    "spread": spread_pressure_kPa,
    "Boussinesq": boussinesq_pressure_kPa,
    "demand angles": lambda ratios: np.sum(stability_angle_deg(ratios, 1.0)),
    "angle left": lambda distance_m, height_m, ratios: (
        stability_angle_deg(distance_m, height_m) - np.sum(stability_angle_deg(ratios, 1.0))
    ),
    "height at angle": lambda distance_m, angle_deg: distance_m / np.tan(np.radians(angle_deg)),
    "line loads": lambda loads_t, bogies: axle_line_load_t(np.array(loads_t), bogies),
    "net roll stiffness": lambda **given: net_roll_stiffness_MNm_per_rad(**given, gravity_mps2=G_MPS2),
    "pressure": pressure_bar,
    "twist": twist_force_kN,
    "spine": spine_moments_kNm,
    "supported length": supported_length_m,
    "lever": lambda support_m, group_count: sunk_lever_m(np.array(support_m, float), group_count),
    "sunk": lambda support_m, group_count, travel_m: sunk_tilt_deg(np.array(support_m, float), group_count, travel_m),
    "borne line": borne_line_t,
    "practice number": figure,
    "hang-up clearance in": hang_up_clearance_in,
}


@pytest.mark.parametrize("row", rows("trailer_published.csv"))
def test_published_values(row: dict[str, str]) -> None:
    found = CASES[row["case"]](**json.loads(row["arguments"]))
    assert found == pytest.approx(float(row["expected"]), abs=float(row["tolerance"])), row["source"]


@pytest.mark.parametrize("row", rows("trailer_check_values.csv"))
def test_check_values(row: dict[str, str]) -> None:
    """Worked by hand for this project: they guard against slips, they prove nothing."""
    found = np.asarray(CASES[row["case"]](**json.loads(row["arguments"])))
    np.testing.assert_allclose(found, json.loads(row["expected"]), rtol=0, atol=float(row["tolerance"]))


COORDINATE = st.floats(-6.0, 6.0, allow_nan=False)


@given(st.lists(st.tuples(COORDINATE, COORDINATE), min_size=3, max_size=8), st.tuples(COORDINATE, COORDINATE))
def test_polygon_agrees_with_a_geometry_library(points: list[tuple[float, float]], place: tuple[float, float]) -> None:
    """Inside the hull the least edge distance is the distance to its boundary; outside it is negative."""
    support = np.array(points)
    hull = shapely.convex_hull(shapely.MultiPoint(support))
    if hull.area < 1e-3:
        return
    least = float(edge_distance_m(edges(support), place).min())
    point = shapely.Point(place)
    if hull.contains(point):
        assert least == pytest.approx(hull.exterior.distance(point), abs=1e-9)
    elif hull.distance(point) > 1e-9:
        assert least < 1e-9


@given(st.floats(-0.2, 0.2), st.floats(0.5, 4.0), st.sampled_from(["x", "y"]))
def test_lever_of_the_shaking_is_the_worst_of_all_directions(tilt_rad: float, height_m: float, axis: str) -> None:
    """Moments of a horizontal unit force, turned round the compass in the frame of a deck that is tilted."""
    polygon = edges(np.array([[3.0, 0.9], [3.0, -0.9], [-3.0, 0.9], [-3.0, -0.9]]))
    pull = np.array([-STANDARD_GRAVITY_MPS2 * np.sin(tilt_rad)])
    none, share = (np.zeros(1), np.zeros(1)), np.array([np.cos(tilt_rad)])
    actions = Actions((pull, pull), none, share) if axis == "x" else Actions(none, (pull, pull), share)
    found = shaking_lever_m(polygon, plain_body(height_m), actions)[0, 0]
    angle = np.linspace(0.0, 2.0 * np.pi, 721)
    level = np.array([np.cos(tilt_rad), 0.0, -np.sin(tilt_rad)])  # horizontal, along the tilt, in the frame of the deck
    along_tilt = level if axis == "x" else level[[1, 0, 2]]
    across_tilt = np.array([0.0, 1.0, 0.0]) if axis == "x" else np.array([1.0, 0.0, 0.0])
    push = np.cos(angle)[:, None] * along_tilt + np.sin(angle)[:, None] * across_tilt
    moments = height_m * push[:, :2] @ polygon.gradient.T - push[:, 2:] * polygon.value
    np.testing.assert_allclose(found, np.max(-moments, axis=0), rtol=1e-4)


def test_leaned_roll_ends_on_its_side() -> None:
    ends = leaned_deg((np.array([-1.0, np.nan]), np.array([1.0, np.nan])), np.inf)
    np.testing.assert_allclose(ends, [[-90.0, np.nan], [90.0, np.nan]])
    np.testing.assert_allclose(leaned_deg((np.array(-2.0), np.array(3.0)), 80.0), [-90.0, 90.0])


def test_two_supports_hold_nothing_upright() -> None:
    line = edges(np.array([[3.0, 0.0], [-3.0, 0.0]]))
    np.testing.assert_allclose(np.sort(edge_distance_m(line, (0.0, 0.2))), [-0.2, 0.2])
    assert on_one_line(np.array([[3.0, 0.0], [0.0, 0.0], [-3.0, 0.0]]))
    assert not on_one_line(np.array([[3.0, 0.0], [-3.0, 0.9], [-3.0, -0.9]]))


@given(st.tuples(COORDINATE, COORDINATE), st.floats(1.0, 200.0))
def test_four_group_loads_are_the_least_squares_solution(place: tuple[float, float], mass_t: float) -> None:
    """Equal groups: minimum-norm solution of equilibrium by the pseudo-inverse of numpy."""
    support = np.array([[3.0, 0.9], [3.0, -0.9], [-2.0, 0.9], [-4.0, -0.9]])
    balance = np.vstack([np.ones(4), support.T])
    expected = np.linalg.pinv(balance) @ (mass_t * np.array([1.0, *place]))
    np.testing.assert_allclose(group_loads_t(support, np.ones(4), mass_t, place), expected, atol=1e-8 * mass_t)


@given(st.tuples(COORDINATE, COORDINATE), st.lists(st.integers(1, 9), min_size=4, max_size=4))
def test_group_loads_balance_whatever_the_bogies(place: tuple[float, float], bogies: list[int]) -> None:
    support = np.array([[3.0, 0.9], [3.0, -0.9], [-3.0, 0.9], [-3.0, -0.9]])
    loads = group_loads_t(support, bogies, 10.0, place)
    assert loads.sum() == pytest.approx(10.0)
    np.testing.assert_allclose(loads @ support / 10.0, place, atol=1e-9)


def test_axle_line_load_of_equal_pressures() -> None:
    """34 t on four lines of two bogies, 17 t on one side of four lines: 8.5 t on a line either way."""
    np.testing.assert_allclose(axle_line_load_t(np.array([34.0, 17.0]), [8, 4]), [8.5, 8.5])


def test_groups_stand_at_the_mean_of_their_pivots() -> None:
    member = membership([(5, 6, 7, 8), (1, 2), (1, 2)], ["both", "left", "right"], 8)
    line_x_m = (-5.25, -3.75, -2.25, -0.75, 0.75, 2.25, 3.75, 5.25)
    np.testing.assert_allclose(centroids_m(member, line_x_m, 0.9), [[3.0, 0.0], [-4.5, 0.9], [-4.5, -0.9]])
    np.testing.assert_array_equal(bogie_count(member), [8, 2, 2])


@pytest.mark.parametrize("count", [2, 7, 8])
def test_compared_groupings_use_every_bogie_once(count: int) -> None:
    for member in halved_groupings(count).values():
        np.testing.assert_array_equal(member.sum(axis=0), np.ones((count, 2)))


@pytest.mark.parametrize(
    ("wind_from_deg", "heading_deg", "force"),
    [
        (0.0, 0.0, (-1.0, 0.0)),  # from ahead: pushes back
        (180.0, 0.0, (1.0, 0.0)),  # from behind: pushes forward
        (270.0, 0.0, (0.0, -1.0)),  # from the left: pushes to the right
        (90.0, 0.0, (0.0, 1.0)),  # from the right: pushes to the left
        (0.0, 90.0, (0.0, -1.0)),  # north wind on a convoy that goes east comes from the left
    ],
)
def test_wind_pushes_the_right_way(wind_from_deg: float, heading_deg: float, force: tuple[float, float]) -> None:
    np.testing.assert_allclose(force_direction(wind_from_deg, heading_deg), force, atol=1e-12)


@given(st.floats(0.0, 360.0), st.floats(0.1, 50.0), st.floats(0.1, 50.0))
def test_facing_area_is_never_below_a_box_seen_at_an_angle(
    wind_from_deg: float, front_m2: float, side_m2: float
) -> None:
    """A box of unit height shows exactly this area; a cylinder shows less."""
    area = float(facing_area_m2(force_direction(wind_from_deg, 0.0), front_m2, side_m2))
    assert area >= min(front_m2, side_m2) * (1.0 - 1e-9)
    assert area <= np.hypot(front_m2, side_m2) * (1.0 + 1e-9)


def test_deck_follows_grade_and_levels_crossfall() -> None:
    """atan 0.12 = 6.8428 degrees; the range reaches from there to level, with the allowances at both ends."""
    low, high = tilt_range_deg([0.12, -0.12], [0.0, 0.0], 0.0, 2.0)
    np.testing.assert_allclose(low, [0.0, -6.8428], atol=1e-4)
    np.testing.assert_allclose(high, [6.8428, 0.0], atol=1e-4)
    low, high = tilt_range_deg(0.06, 0.005, 1.0, 2.0)
    assert low == pytest.approx(-np.degrees(np.arctan(0.01)) - 1.0)
    assert high == pytest.approx(np.degrees(np.arctan(0.07)) + 1.0)
    low, high = levelled_range_deg([0.04, np.nan], 1.0)
    np.testing.assert_array_equal(low, [-1.0, np.nan])
    np.testing.assert_array_equal(high, [1.0, np.nan])


def test_worse_end_of_a_tilt() -> None:
    low, high = np.array([-1.0, 2.0, -5.0, -1.0, np.nan]), np.array([1.0, 4.0, -3.0, 1.0, np.nan])
    np.testing.assert_array_equal(
        worse_deg(low, high, np.array([1.0, -1.0, 1.0, -1.0, 1.0])), [1.0, 4.0, -5.0, -1.0, np.nan]
    )


def test_gravity_pulls_back_on_a_climb_and_forward_on_a_descent() -> None:
    """9.81 sin(atan 0.12) = 1.1688 m/s2."""
    level, up = np.array([0.0]), np.array([6.8428])
    low, high = specific_force_range_mps2(level, up, G_MPS2)
    assert (float(low[0]), float(high[0])) == pytest.approx((-1.1688, 0.0), abs=1e-4)
    low, high = specific_force_range_mps2(-up, level, G_MPS2)
    assert (float(low[0]), float(high[0])) == pytest.approx((0.0, 1.1688), abs=1e-4)


def test_a_left_bend_pushes_to_the_right() -> None:
    low, high = centrifugal_range_mps2(2.0, 0.05, 0.0)
    assert (float(low), float(high)) == pytest.approx((-0.2, 0.0))


def test_platform_that_does_not_stand_upright() -> None:
    """m g h equal to the stiffness: 100 t x 9.81 x 2 m = 1.962 MNm."""
    found = roll_amplification_ratio([100.0, 100.0, np.nan], 2.0, 1.962, G_MPS2)
    np.testing.assert_array_equal(np.isinf(found), [True, True, False])
    assert np.isnan(found[2])
    assert np.isinf(roll_amplification_ratio(100.0, 3.0, 1.962, G_MPS2))


def test_reserve_is_the_inverse_of_the_angle() -> None:
    assert stability_angle_deg(reserve_m(1.9, 7.0), 1.9) == pytest.approx(7.0)


@given(st.lists(st.floats(-0.15, 0.15), min_size=3, max_size=9))
def test_kink_bound_covers_every_profile(grades: list[float]) -> None:
    """Profile of equal steps against its chord: never further away than L A / 4."""
    height_m = np.concatenate([[0.0], np.cumsum(grades)])
    station = np.arange(height_m.size, dtype=float)
    chord = height_m[0] + (height_m[-1] - height_m[0]) * station / station[-1]
    bound = float(kink_loss_m(station[-1], max(grades) - min(grades)))
    assert np.max(np.abs(height_m - chord)) <= bound + 1e-12


def test_grade_change_looks_under_the_whole_length() -> None:
    station, grade = 5.0 * np.arange(7), np.array([0.0, 0.0, 0.0, 0.1, 0.0, 0.0, np.nan])
    found = grade_change_ratio(station, grade, 10.0)
    np.testing.assert_allclose(found, [0.0, 0.0, 0.1, 0.1, 0.1, np.nan, np.nan])
    np.testing.assert_array_equal(grade_change_ratio(np.zeros(1), np.array([0.1]), 10.0), [0.0])


def test_crossfall_takes_track_times_slope() -> None:
    np.testing.assert_allclose(crossfall_stroke_m(1.8, [0.06, -0.06], 0.0), 0.108)  # by hand


def test_ground_pressures_in_their_order() -> None:
    found = ground_pressures_kPa(8.0 * 10.42, 1.5, 3.0, (8, 900.0), 0.5)
    np.testing.assert_allclose(found, [8.0 * 10.42 / 4.5, 28.23, 8.50, 19.55], rtol=0.002)


def test_check_without_wind_is_open_closed_or_unknown() -> None:
    np.testing.assert_array_equal(
        wind_free_limit_mps(np.array([0.9, 1.0, 1.1, np.inf, np.nan])), [np.inf, np.inf, 0, 0, np.nan]
    )
