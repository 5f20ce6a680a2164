"""What a survey of given accuracy and spacing can support: stability, traction only, or nothing."""

from collections.abc import Mapping
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from routes import bends, grade
from shared.arrays import Array
from shared.tables import figure

__all__ = ["Support", "gap_at", "support_of", "too_sparse", "without_unsupported"]

SHORT_BASE = ("grade_ratio", "grade_se_ratio", "curvature_per_m", "curvature_se_per_m")


class Support(NamedTuple):
    """Class of the survey, why it is not better, and the errors that decide it."""

    survey_class: str
    reason: str
    grade_error_ratio: float
    long_grade_error_ratio: float
    radius_error_ratio: float


def support_of(sigma_xy_m: float, sigma_z_m: float, spacing_m: float) -> Support:
    """Class of the survey from its accuracy and spacing.

    "stability": short-base grade and sharpest radius are known well enough; "traction": the long-base grade
    only; "insufficient": neither. NaN counts as not known. Source: grade.best_base_m,
    bends.noise_of_curvature.
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
    if not np.isfinite(error_ratio):
        return f"{what} is not known at all"
    return f"{what} is known to {100.0 * error_ratio:.2f} % only, needed {100.0 * allowed_ratio:.2f} %"


def gap_at(station_m: Array, point_m: Array) -> Array:
    """Distance of the two points between which each station lies. Shapes: (station). Source: geometry."""
    piece = np.clip(np.searchsorted(point_m, station_m, side="right") - 1, 0, point_m.size - 2)
    return np.asarray(np.diff(point_m)[piece])


def too_sparse(
    gap_m: Array, curvature_per_m: Array, short_base_m: float, share_ratio: float
) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Where the points are too far apart for a short-base grade, and where for the radius of their bend.

    gap > base; gap > share R. Shapes: (station), (station). Source: chord over arc, d^2 / (8 R) (derived).
    """
    grade_unknown = ~(gap_m <= short_base_m)
    return grade_unknown, grade_unknown | ~(gap_m * np.abs(curvature_per_m) <= share_ratio)


def without_unsupported(
    columns: Mapping[str, Array], held: Support, gap_m: Array
) -> tuple[dict[str, Array], list[str]]:
    """Short-base values become unknown where the survey cannot carry them; each reason is a remark.

    Shapes: (station) each. Source: support_of, too_sparse.
    """
    unknown = np.full(gap_m.size, np.nan)
    if held.survey_class != "stability":
        blanked = dict.fromkeys(SHORT_BASE, unknown)
        if held.survey_class == "insufficient":
            blanked["grade_long_ratio"] = unknown
        reason = f"survey class {held.survey_class}: {held.reason}; grade and curvature are unknown"
        return {**columns, **blanked}, [reason]
    base_m, share_ratio = figure("routes_short_base_m"), figure("routes_spacing_over_radius_ratio")
    no_grade, no_bend = too_sparse(gap_m, columns["curvature_per_m"], base_m, share_ratio)
    gone = {name: no_grade if name.startswith("grade") else no_bend for name in SHORT_BASE}
    known = {name: np.where(gone[name], np.nan, columns[name]) for name in SHORT_BASE}
    station_m = columns["station"]
    remarks = [
        _sparse(f"more than {base_m:g} m apart", station_m[no_grade], "grade and curvature are"),
        _sparse(
            f"further apart than {share_ratio:g} of the radius",
            station_m[no_bend & ~no_grade],
            "curvature is",
        ),
    ]
    return {**columns, **known}, [remark for remark in remarks if remark]


def _sparse(how: str, station_m: Array, what: str) -> str:
    if not station_m.size:
        return ""
    where = f"at {station_m.size} stations, first at {station_m[0]:.0f} m in the direction of the survey"
    return f"points are {how} {where}: {what} unknown there"
