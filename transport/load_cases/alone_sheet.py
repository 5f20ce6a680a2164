"""Calculation lines of the load by itself: whether it stands, the tilt test that proves it, top-over lashings alone."""

import numpy as np

from shared.calculation import Line
from shared.tables import figure
from transport.load_cases.statutory import NAME, Row
from transport.securing import sliding, tipping
from transport.securing.arrangement import DIRECTION_DEG, Arrangement, direction_ratio
from transport.securing.friction import tilt_test_angle_deg

__all__ = ["alone_lines"]

EN = "EN 12195-1:2010"


def alone_lines(row: Row, arrangement: Arrangement, weight_kN: float) -> list[Line]:
    """The load alone, the tilt that proves it, and how many top-over lashings would hold it alone.

    Source: tipping, friction and sliding of the securing package (memory).
    """
    return [*_alone_lines(row, arrangement), *_top_over_lines(row, arrangement, weight_kN)]


def _alone_lines(row: Row, arrangement: Arrangement) -> list[Line]:
    height_m, inward_m = _reach_m(row, arrangement)
    values = (
        ("c_t", row.tipping_ratio, "", f"tipping {row.direction}"),
        ("t", arrangement.tolerance_m, "m", "unit.centre_of_mass_tolerance_m"),
        ("d_0", height_m - arrangement.tolerance_m, "m", "height of the centre of mass above the pads"),
        ("b_0", inward_m + arrangement.tolerance_m, "m", "centre of mass to the edge of the pads"),
        ("d", height_m, "m", "height with the tolerance"),
        ("b", inward_m, "m", "distance less the tolerance"),
    )
    result = ("s", tipping.overturning_ratio(row.tipping_ratio, height_m, inward_m), "")
    title = f"The unit alone {row.direction}: it stands below 1"
    formula = "s = (c_t d) / b, quad d = d_0 + t, quad b = b_0 - t"
    spoken = "s = c_t d / b; d = d_0 + t; b = b_0 - t"
    stands = Line(NAME, title, formula, spoken, values, result, EN, "5.2", "memory")
    return [stands, *_tilt_line(row, arrangement, inward_m / height_m)]


def _tilt_line(row: Row, arrangement: Arrangement, slenderness_ratio: float) -> list[Line]:
    hold = min(_whole_friction_ratio(arrangement), slenderness_ratio)
    if not hold < row.sliding_ratio:
        return []
    values = (
        ("c_s", row.sliding_ratio, "", f"sliding {row.direction}"),
        ("eta", hold, "", "lesser of friction and b / d"),
    )
    formula = "alpha = arcsin((c_s - eta) / sqrt(1 + eta^2)) + arctan eta"
    spoken = "alpha = asin((c_s - eta) / sqrt(1 + eta^2)) + atan(eta)"
    result = ("alpha", tilt_test_angle_deg(row.sliding_ratio, hold), "deg")
    title = f"Tilt of a test that would prove it {row.direction}"
    return [Line(NAME, title, formula, spoken, values, result, "CTU Code 2014", "annex 7 appendix 5", "memory")]


def _top_over_lines(row: Row, arrangement: Arrangement, weight_kN: float) -> list[Line]:
    legs = arrangement.fixed_kN > 0.0
    if not legs.any():
        return []
    forward = row.angle_deg == 0.0
    safety = figure(f"securing_safety_factor_{'forward' if forward else 'other'}_ratio")
    tension_kN = float(np.min(arrangement.fixed_kN[legs])) * figure("securing_safety_factor_forward_ratio")
    steep = float(np.min(-arrangement.restraint.pull_ratio[legs, 2]))
    friction = _whole_friction_ratio(arrangement)
    count = sliding.top_over_count(weight_kN, row.sliding_ratio - friction, friction, steep, tension_kN, safety)
    values = (
        ("c_s", row.sliding_ratio, "", f"sliding {row.direction}"),
        ("mu", friction, "", "least friction_ratio of the pads" + arrangement.friction_words),
        ("W", weight_kN, "kN", "mass with its tolerance, 9.81 m/s2"),
        ("f_s", safety, "", "safety factor of frictional lashing"),
        ("s", steep, "", "least sin(alpha) of the top-over legs"),
        ("F_T", tension_kN, "kN", "least STF of the top-over legs"),
    )
    formula = "n = ((c_s - mu) W f_s) / (2 mu s F_T)"
    spoken = "n = (c_s - mu) W f_s / (2 mu s F_T)"
    title = f"Top-over lashings that would hold alone {row.direction}, rounded up"
    line = Line(NAME, title, formula, spoken, values, ("n", count, ""), EN, "5.4", "memory")
    return [line, *_top_over_tipping_line(row, arrangement, weight_kN, tension_kN, safety)]


def _top_over_tipping_line(
    row: Row, arrangement: Arrangement, weight_kN: float, tension_kN: float, safety: float
) -> list[Line]:
    legs = arrangement.fixed_kN > 0.0
    height_m, inward_m = _reach_m(row, arrangement)
    across = direction_ratio()[_index(row)]
    reach_m = arrangement.restraint.on_load_m[legs][:, :2] @ across
    width_m, steep = float(np.ptp(reach_m)), float(np.min(-arrangement.restraint.pull_ratio[legs, 2]))
    excess_m = row.tipping_ratio * height_m - inward_m
    if not (excess_m > 0.0 and width_m > 0.0):
        return []
    count = tipping.top_over_count(weight_kN, excess_m, width_m, steep, tension_kN, safety)
    values = (
        ("e", excess_m, "m", "c_t d - b of the line above"),
        ("W", weight_kN, "kN", "mass with its tolerance, 9.81 m/s2"),
        ("f_s", safety, "", "safety factor of frictional lashing"),
        ("w", width_m, "m", f"between the top-over legs, seen {row.direction}"),
        ("s", steep, "", "least sin(alpha) of the top-over legs"),
        ("F_T", tension_kN, "kN", "least STF of the top-over legs"),
    )
    text = ("n = (W e f_s) / (F_T w s)", "n = W e f_s / (F_T w s)")
    title = f"Top-over lashings that would keep it from tipping {row.direction}, rounded up"
    return [Line(NAME, title, *text, values, ("n", count, ""), EN, "5.4, tilting", "memory")]


def _whole_friction_ratio(arrangement: Arrangement) -> float:
    """Friction without the conversion for direct lashings."""
    return arrangement.pad_friction_ratio / figure("securing_friction_conversion_ratio")


def _index(row: Row) -> int:
    return int(np.flatnonzero(row.angle_deg == DIRECTION_DEG)[0])


def _reach_m(row: Row, arrangement: Arrangement) -> tuple[float, float]:
    """Height of the centre of mass above the edge it would tip about, and its distance to it, tolerance included."""
    restraint = arrangement.restraint
    edge_m, outward = tipping.outline_m(restraint.contact_m[arrangement.is_pad])
    side = int(np.argmax(outward @ direction_ratio()[_index(row)]))
    height_m = float(restraint.reference_m[2] - edge_m[side, 2]) + arrangement.tolerance_m
    inward_m = float((edge_m[side, :2] - restraint.reference_m[:2]) @ outward[side]) - arrangement.tolerance_m
    return height_m, inward_m
