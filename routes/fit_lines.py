"""The calculation lines of the fit of the vehicle to the road, at the station that governs each."""

import numpy as np
import xarray as xr

from routes import grade
from routes.inputs import Route
from shared.calculation import Line
from shared.tables import figure

__all__ = ["lines"]


def lines(road: xr.Dataset, fit: xr.Dataset, route: Route, size_m: tuple[float, float]) -> list[Line]:
    """One line for the grade, two for the width, one for the survey."""
    use = fit["utilisation_ratio"]
    worst = {
        str(name): int(np.argmax(np.nan_to_num(use.sel(limit_state=name), nan=np.inf)))
        for name in use["limit_state"].values
    }
    return [
        _grade_line(road.isel(station=worst["road grade"]), route),
        *_width_lines(road.isel(station=worst["road width"]), fit.isel(station=worst["road width"]), route, size_m),
        _survey_line(road),
    ]


def _grade_line(here: xr.Dataset, route: Route) -> Line:
    slope, error = float(here["grade_ratio"]), float(here["grade_se_ratio"])
    count = figure("routes_standard_errors_count")
    return Line(
        check="road grade",
        title="Steepest grade that the survey does not exclude",
        formula="G_d = abs(G) + n s_G",
        spoken="G_d = |G| + n s_G",
        values=(
            ("x", float(here["station"]), "m", "station"),
            ("G", slope, "1", "grade over the short base, climbing positive"),
            ("s_G", error, "1", "its standard error, noise and smoothing"),
            ("n", count, "1", "number of standard errors"),
            ("G_lim", route.grade_limit_ratio, "1", "route.grade_limit_ratio: G_d is allowed up to it"),
        ),
        result=("G_d", abs(slope) + count * error, "1"),
        source="limit of the move; two standard errors as allowance",
        clause="",
        status="practice",
    )


def _width_lines(here: xr.Dataset, fit: xr.Dataset, route: Route, size_m: tuple[float, float]) -> list[Line]:
    """The side that is used more; unknown counts as more."""
    use = {side: float(fit[f"width_needed_{side}_m"] / here[f"width_{side}_m"]) for side in ("left", "right")}
    side = max(use, key=lambda name: np.nan_to_num(use[name], nan=np.inf))
    return [_reach_line(fit, side, size_m), _needed_line(here, fit, route, side)]


def _reach_line(fit: xr.Dataset, side: str, size_m: tuple[float, float]) -> Line:
    other = "right" if side == "left" else "left"
    curvature = float(fit[f"curvature_{other}_max_per_m"])
    return Line(
        check="road width",
        title=f"Reach of the deck to the {side}, in the sharpest bend to the {other} near there",
        formula="w = (W + k (W^2 + L^2) / 4) / (1 + sqrt((1 + k W / 2)^2 + (k L / 2)^2))",
        spoken="w = (W + k (W^2 + L^2) / 4) / (1 + sqrt((1 + k W / 2)^2 + (k L / 2)^2))",
        values=(
            ("x", float(fit["station"]), "m", "station"),
            (
                "k",
                float(np.maximum(curvature, 0.0)),
                "1/m",
                "sharpest within half a deck, with n standard errors",
            ),
            ("W", size_m[0], "m", "width of the deck"),
            ("L", size_m[1], "m", "length of the deck"),
        ),
        result=("w", float(fit[f"swept_{side}_m"]), "m"),
        source="rectangle on a circle: sqrt((R + W/2)^2 + (L/2)^2) - R, R = 1 / k, rearranged",
        clause="",
        status="own",
    )


def _needed_line(here: xr.Dataset, fit: xr.Dataset, route: Route, side: str) -> Line:
    return Line(
        check="road width",
        title=f"Width needed to the {side} of the centreline",
        formula="b = w + c + n s",
        spoken="b = w + c + n s",
        values=(
            ("w", float(fit[f"swept_{side}_m"]), "m", "reach of the deck"),
            ("c", route.side_clearance_m, "m", "route.side_clearance_m"),
            ("n", figure("routes_standard_errors_count"), "1", "number of standard errors"),
            ("s", float(fit.attrs["sigma_xy_m"]), "m", "standard deviation of a surveyed point"),
            (
                "b_road",
                float(here[f"width_{side}_m"]),
                "m",
                f"width to the {side}, the lesser of two points: b is allowed up to it",
            ),
        ),
        result=("b", float(fit[f"width_needed_{side}_m"]), "m"),
        source="common practice, no source",
        clause="",
        status="practice",
    )


def _survey_line(road: xr.Dataset) -> Line:
    radius_m, spacing_m = figure("routes_sharpest_vertical_radius_m"), float(road.attrs["spacing_m"])
    sigma_m = float(road.attrs["sigma_z_m"])
    base_m = grade.best_base_m(sigma_m, spacing_m, radius_m)
    return Line(
        check="survey",
        title="Least error of a short-base grade that the survey can give",
        formula="e = sqrt(12 s^2 d / B^3 + (3 B / (32 R))^2), quad B = (2048 s^2 d R^2)^(1 / 5)",
        spoken="e = sqrt(12 s^2 d / B^3 + (3 B / (32 R))^2); B = (2048 s^2 d R^2)^(1 / 5)",
        values=(
            ("s", sigma_m, "m", "standard deviation of an elevation"),
            ("d", spacing_m, "m", "median spacing of the points"),
            ("R", radius_m, "m", "sharpest vertical curve to be seen"),
            ("B", base_m, "m", "best base"),
            (
                "e_lim",
                figure("routes_stability_grade_error_ratio"),
                "1",
                "allowed for stability statements: e is allowed up to it",
            ),
        ),
        result=("e", grade.error_over_best_base(sigma_m, spacing_m, radius_m), "1"),
        source="least squares of a line; minimum of noise and rounding",
        clause="",
        status="own",
    )
