"""The smooth centreline through the surveyed points: plan and profile over one running length.

The running length is the distance along the straight lines between the points, or, where these are too short to be more
than noise, the count of the points times their median distance: sums of noisy chords are far too long.
"""

from dataclasses import dataclass

import numpy as np
from scipy.interpolate import BSpline

from routes import smoothing
from shared.arrays import Array
from shared.tables import figure

__all__ = ["Alignment", "fit", "running_length_m"]

NOISY_CHORD_RATIO = 0.1  # of the spacing; at this the chords are 1 % too long, 1 + sigma^2 / d^2


@dataclass(frozen=True)
class Alignment:
    """Splines over the running length t, with what they were made from. Shapes: t (point), plan (point, 2)."""

    t_m: Array
    plan_m: Array
    elevation_m: Array
    plan: BSpline
    profile: BSpline
    plan_bandwidth_m: float
    profile_bandwidth_m: float
    sigma_xy_m: float
    sigma_z_m: float
    free_count: int  # 1: a point scatters across the line only, 2: along it too

    @property
    def spacing_m(self) -> float:
        """Median distance of the points."""
        return smoothing.spacing_m(self.t_m)


def running_length_m(plan_m: Array, sigma_xy_m: float) -> tuple[Array, int]:
    """Running length of each point, and how many numbers of a point scatter freely about the line.

    Chords absorb the scatter along the line, so that only the one across it is left. Source: geometry.
    """
    chord_m = np.linalg.norm(np.diff(plan_m, axis=0), axis=1)
    typical_m = float(np.median(chord_m))
    if sigma_xy_m <= NOISY_CHORD_RATIO * typical_m:
        return np.concatenate([[0.0], np.cumsum(chord_m)]), 1
    return typical_m * np.arange(len(plan_m)), 2


def fit(plan_m: Array, elevation_m: Array, *, sigma_xy_m: float, sigma_z_m: float) -> Alignment:
    """Smooth plan and profile as far as the accuracy of the points allows, and no further than the road may be sharp.

    x and y are smoothed alike, so that a turned road gives the same road turned. Where the points scatter more than
    declared, their scatter is the accuracy. Shapes: plan (point, 2), elevation (point).
    Source: discrepancy principle, see smoothing.
    """
    t_m, free_count = running_length_m(plan_m, sigma_xy_m)
    height_m = elevation_m[:, None]
    sigma_xy_m = max(sigma_xy_m, smoothing.scatter_m(t_m, plan_m) if free_count == 1 else 0.0)
    sigma_z_m = max(sigma_z_m, smoothing.scatter_m(t_m, height_m))
    spacing_m = smoothing.spacing_m(t_m)
    transition_m2, radius_m = figure("routes_sharpest_transition"), figure("routes_sharpest_vertical_radius")
    plan_h_m = smoothing.bandwidth_m(
        t_m,
        plan_m,
        free_count * t_m.size * sigma_xy_m**2,
        smoothing.best_for_curvature_m(sigma_xy_m, spacing_m, transition_m2),
    )
    profile_h_m = smoothing.bandwidth_m(
        t_m, height_m, t_m.size * sigma_z_m**2, smoothing.best_for_slope_m(sigma_z_m, spacing_m, radius_m)
    )
    return Alignment(
        t_m,
        plan_m,
        elevation_m,
        smoothing.spline_of(t_m, plan_m, plan_h_m),
        smoothing.spline_of(t_m, elevation_m, profile_h_m),
        plan_h_m,
        profile_h_m,
        sigma_xy_m,
        sigma_z_m,
        free_count,
    )
