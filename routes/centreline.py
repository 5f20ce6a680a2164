"""Position, direction, grade and curvature of the smooth centreline at the stations, with standard errors."""

import numpy as np

from routes import bends, chainage, grade, heading, smoothing
from routes.alignment import Alignment
from shared.arrays import Array
from shared.tables import figure

__all__ = ["geometry"]

END_LAYER_RATIO = 3.0  # bandwidths from an end within which the spline knows nothing of curvature


def geometry(line: Alignment, station_m: Array) -> dict[str, Array]:
    """Position, direction, grade and curvature with their standard errors, in the plane.

    Shapes: (station) each. Source: the equations of smoothing, grade, heading and bends, put together.
    """
    plan, profile = line.plan.spline, line.profile.spline
    t_m = chainage.running_length_at(plan, line.t_m, station_m)
    slope_ratio = plan.derivative(1)(t_m)
    stretch_ratio = np.linalg.norm(slope_ratio, axis=1)
    to_end_m = np.minimum(station_m, station_m[-1] - station_m)
    noise, _ = smoothing.noise_of_derivatives(line.profile, t_m)
    sharpest_m = figure("routes_sharpest_vertical_radius_m")
    lost = smoothing.lost_of_slope(line.profile.bandwidth_m, line.spacing_m, sharpest_m, to_end_m)
    position_m, elevation_m = plan(t_m), profile(t_m)[:, 0]
    return {
        "station": station_m,
        "east_m": position_m[:, 0],
        "north_m": position_m[:, 1],
        "elevation_m": elevation_m,
        "heading_deg": heading.heading_deg(slope_ratio[:, 0], slope_ratio[:, 1]),
        "grade_ratio": profile.derivative(1)(t_m)[:, 0] / stretch_ratio,
        "grade_se_ratio": np.hypot(noise, lost) / stretch_ratio,
        "grade_long_ratio": grade.grade_over_base(station_m, elevation_m, figure("routes_long_base_m")),
        **_bending(line, station_m, t_m, to_end_m),
    }


def _bending(line: Alignment, station_m: Array, t_m: Array, to_end_m: Array) -> dict[str, Array]:
    """Curvature with its error, and the error of the heading.

    Within three bandwidths of an end the curvature is that of the nearest station inside: the spline is
    straight at its ends by its nature, not by the survey.
    """
    plan, h_m = line.plan.spline, line.plan.bandwidth_m
    transition_m2 = figure("routes_sharpest_transition_m2")
    layer_m = END_LAYER_RATIO * float(np.hypot(h_m, smoothing.BETWEEN_RATIO * line.spacing_m))
    layer_m = min(layer_m, 0.5 * float(station_m[-1]))
    inside_m = np.clip(station_m, layer_m, station_m[-1] - layer_m)
    inside_t_m = chainage.running_length_at(plan, line.t_m, inside_m)
    first, second = smoothing.noise_of_derivatives(line.plan, np.concatenate([t_m, inside_t_m]))
    slope_ratio = plan.derivative(1)(inside_t_m)
    curvature = bends.curvature_per_m(slope_ratio, plan.derivative(2)(inside_t_m))
    lost = smoothing.lost_of_curvature(h_m, line.spacing_m, transition_m2)
    turned = smoothing.lost_of_direction(h_m, line.spacing_m, transition_m2, curvature, to_end_m)
    return {
        "curvature_per_m": curvature,
        "curvature_se_per_m": np.hypot(second[t_m.size :] / np.sum(slope_ratio**2, axis=1), lost),
        "heading_se_deg": np.degrees(np.hypot(first[: t_m.size], turned)),
    }
