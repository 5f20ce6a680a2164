"""What a survey of given accuracy and spacing can support: stability, traction only, or nothing."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from routes import bends, grade
from shared.arrays import Array
from shared.tables import figure

__all__ = ["Support", "gap_at", "support_of", "too_sparse"]


class Support(NamedTuple):
    """Class of the survey, why it is not better, and the errors that decide it."""

    survey_class: str
    reason: str
    grade_error_ratio: float
    long_grade_error_ratio: float
    radius_error_ratio: float


def support_of(sigma_xy_m: float, sigma_z_m: float, spacing_m: float) -> Support:
    """Class of the survey from its accuracy and spacing.

    "stability": short-base grade and sharpest radius are known well enough; "traction": the long-base grade only;
    "insufficient": neither. NaN counts as not known. Source: grade.best_base_m, bends.noise_of_curvature.
    """
    short = grade.error_over_best_base(sigma_z_m, spacing_m, figure("routes_sharpest_vertical_radius_m"))
    long = grade.noise_of_base(sigma_z_m, spacing_m, figure("routes_long_base_m"))
    radius_m = figure("routes_sharpest_bend_radius_m")
    radius = bends.noise_of_curvature(sigma_xy_m, spacing_m, radius_m) * radius_m
    faults = [
        _fault("the grade over the best short base", short, figure("routes_stability_grade_error_ratio")),
        _fault(f"a radius of {radius_m:g} m", radius, figure("routes_stability_radius_error_ratio")),
    ]
    long_fault = _fault("the grade over the long base", long, figure("routes_traction_grade_error_ratio"))
    name = "insufficient" if long_fault else "traction" if any(faults) else "stability"
    said = "; ".join(fault for fault in (*faults, long_fault) if fault)
    given = f" (sigma_xy {sigma_xy_m:.3f} m, sigma_z {sigma_z_m:.3f} m, a point every {spacing_m:.1f} m)"
    return Support(name, said + given if said else "", short, long, radius)


def _fault(what: str, error_ratio: float, allowed_ratio: float) -> str:
    if error_ratio <= allowed_ratio:
        return ""
    return f"{what} is known to {100.0 * error_ratio:.2f} % only, needed {100.0 * allowed_ratio:.2f} %"


def gap_at(station_m: Array, point_m: Array) -> Array:
    """Distance of the two points between which each station lies. Shapes: (station). Source: geometry."""
    piece = np.clip(np.searchsorted(point_m, station_m, side="right") - 1, 0, point_m.size - 2)
    return np.asarray(np.diff(point_m)[piece])


def too_sparse(
    gap_m: Array, curvature_per_m: Array, short_base_m: float, share_ratio: float
) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Where the points are too far apart for a short-base grade, and where for the radius of the bend they are in.

    gap > base; gap > share R. Shapes: (station), (station). Source: chord over arc, d^2 / (8 R) (derived).
    """
    grade_unknown = ~(gap_m <= short_base_m)
    return grade_unknown, grade_unknown | ~(gap_m * np.abs(curvature_per_m) <= share_ratio)
