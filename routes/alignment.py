"""The smooth centreline through the surveyed points: plan and profile over one running length.

The running length is the distance along the straight lines between the points, or, where these are too short
to be more than noise, the count of the points times their median distance: sums of noisy chords are far too
long.
"""

from dataclasses import dataclass
from functools import partial

import numpy as np

from routes import smoothing
from shared.arrays import Array
from shared.tables import figure

__all__ = ["Alignment", "fit", "running_length_m"]

NOISY_CHORD_RATIO = 0.1  # of the spacing; at this the chords are 1 % too long, 1 + sigma^2 / d^2


@dataclass(frozen=True)
class Alignment:
    """Plan (two columns, metres east and north) and profile over the same running length."""

    plan: smoothing.Curve
    profile: smoothing.Curve

    @property
    def t_m(self) -> Array:
        """Running length of each surveyed point."""
        return self.plan.t_m

    @property
    def spacing_m(self) -> float:
        """Median distance of the points."""
        return self.plan.spacing_m


def running_length_m(plan_m: Array) -> tuple[Array, int]:
    """Running length of each point, and how many numbers of a point scatter freely about the line.

    Chords absorb the scatter along the line, so that only the one across it is left. Shapes: (point, 2) to
    (point). Source: geometry.
    """
    chord_m = np.linalg.norm(np.diff(plan_m, axis=0), axis=1)
    along_m = np.asarray(np.concatenate([np.zeros(1), np.cumsum(chord_m)]), dtype=float)
    typical_m = float(np.median(chord_m))
    if smoothing.scatter_m(along_m, plan_m, 1) <= NOISY_CHORD_RATIO * typical_m:
        return along_m, 1
    return typical_m * np.arange(len(plan_m), dtype=float), 2


def fit(plan_m: Array, elevation_m: Array, *, sigma_xy_m: float, sigma_z_m: float) -> Alignment:
    """Smooth plan and profile.

    East and north are smoothed alike, so that a turned road gives the same road turned. Shapes: plan (point,
    2), elevation (point). Source: see smoothing.
    """
    t_m, free_count = running_length_m(plan_m)
    spacing_m = smoothing.spacing_m(t_m)
    transition_m2, radius_m = (
        figure("routes_sharpest_transition_m2"),
        figure("routes_sharpest_vertical_radius_m"),
    )
    for_plan = partial(smoothing.best_for_curvature_m, spacing_m=spacing_m, transition_m2=transition_m2)
    for_profile = partial(smoothing.best_for_slope_m, spacing_m=spacing_m, radius_m=radius_m)
    return Alignment(
        smoothing.smooth(t_m, plan_m, sigma_xy_m, free_count, for_plan),
        smoothing.smooth(t_m, elevation_m[:, None], sigma_z_m, 1, for_profile),
    )
