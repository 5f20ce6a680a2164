"""Curvature, radius, and the bends: where they are, how far they turn, the circle through their points."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from routes.heading import turned_deg
from shared.arrays import Array

__all__ = [
    "Bend",
    "Circle",
    "circle_through",
    "curvature_per_m",
    "listed",
    "mean_radius_m",
    "noise_of_curvature",
    "runs",
    "smallest_radius_m",
]

ONE_SIDED_95 = 1.64
CORE_RATIO = 0.85  # of the typical curvature of a bend; more than this is its arc


class Bend(NamedTuple):
    """A bend in the direction of travel: where, how far it turns (left positive), and how sharp it is."""

    first: int
    last: int
    turned_deg: float
    radius_m: float
    radius_se_m: float
    radius_low_m: float


class Circle(NamedTuple):
    """Radius of the circle through the points of a bend, and its standard error."""

    radius_m: float
    radius_se_m: float


def curvature_per_m(slope_ratio: Array, bend_per_m: Array) -> Array:
    """Curvature, left positive: (x' y'' - y' x'') / (x'^2 + y'^2)^(3/2).

    Shapes: (at, 2) to (at). Source: geometry.
    """
    cross = slope_ratio[:, 0] * bend_per_m[:, 1] - slope_ratio[:, 1] * bend_per_m[:, 0]
    return np.asarray(cross / np.sum(slope_ratio**2, axis=1) ** 1.5)


def noise_of_curvature(sigma_xy_m: float, spacing_m: float, base_m: float) -> float:
    """Standard error of the curvature of a parabola through the points on a base.

    sigma sqrt(720) / (d^2 sqrt(N (N^2 - 1) (N^2 - 4))), N = B / d + 1 points. Valid: N >= 3; inf below.
    Source: least squares of a parabola (derived).
    """
    count = np.floor(base_m / spacing_m + 1e-9) + 1.0
    if not count >= 3.0:
        return float("inf")
    freedom = count * (count**2 - 1.0) * (count**2 - 4.0)
    return float(sigma_xy_m * np.sqrt(720.0 / freedom) / spacing_m**2)


def runs(inside: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """First and last index of each run of true values. Shapes: (station)."""
    edges = np.diff(np.concatenate([[0], np.asarray(inside, dtype=int), [0]]))
    return [
        (int(a), int(b) - 1)
        for a, b in zip(np.flatnonzero(edges > 0), np.flatnonzero(edges < 0), strict=True)
    ]


def mean_radius_m(length_m: float, turned_deg: float) -> float:
    """Radius of a bend as length over angle turned, which noise hardly moves. Source: geometry."""
    return float(
        np.divide(length_m, np.radians(abs(turned_deg)), where=turned_deg != 0.0, out=np.array(np.inf))
    )


def circle_through(points_m: Array, sigma_m: float) -> Circle:
    """Circle that the points lie closest to, by their distance from it; its standard error from sigma.

    Shapes: (point, 2). Valid: at least 4 points; fewer give NaN. Source: geometric least squares.
    """
    if len(points_m) < 4:
        return Circle(float("nan"), float("nan"))
    middle = points_m.mean(axis=0)
    local_m = points_m - middle
    rows = np.column_stack([2.0 * local_m, np.ones(len(local_m))])
    start, *_ = np.linalg.lstsq(rows, np.sum(local_m**2, axis=1), rcond=None)
    radius_m = np.sqrt(max(start[2] + start[0] ** 2 + start[1] ** 2, 1e-6))

    def left_m(circle: Array) -> Array:
        return np.asarray(np.hypot(local_m[:, 0] - circle[0], local_m[:, 1] - circle[1]) - circle[2])

    found = least_squares(left_m, np.array([start[0], start[1], radius_m]), x_scale=radius_m).x
    outward = local_m - found[:2]
    outward /= np.linalg.norm(outward, axis=1, keepdims=True)
    rows = np.column_stack([outward, np.ones(len(outward))])
    return Circle(float(found[2]), float(sigma_m * np.sqrt(np.linalg.pinv(rows.T @ rows)[2, 2])))


def smallest_radius_m(spline_radius_m: float, circle: Circle) -> float:
    """Radius to design for: the lesser of the spline's and of the circle's less 1.64 standard errors.

    Where no circle could be fitted, the spline's. Source: one-sided 95 % bound of a normal error (practice).
    """
    low_m = max(circle.radius_m - ONE_SIDED_95 * circle.radius_se_m, 0.0)
    return spline_radius_m if np.isnan(circle.radius_m) else min(spline_radius_m, low_m)


def listed(
    station_m: Array,
    heading_deg: Array,
    curvature_per_m: Array,
    points: tuple[Array, Array, float],
    *,
    limit_m: float,
    least_deg: float,
) -> list[Bend]:
    """Every bend sharper than the limit that turns by the least angle, in the order of travel.

    Shapes: (station). `points` are the stations (point) and places (point, 2) of the surveyed points, and
    their sigma. NaN is no bend. Source: own.
    """
    point_m, place_m, sigma_m = points
    found = []
    for sign in (1.0, -1.0):
        for first, last in runs(sign * curvature_per_m > 1.0 / limit_m):
            turned = turned_deg(heading_deg[max(first - 1, 0) : last + 2])
            if not sign * turned >= least_deg:
                continue
            part = slice(first, last + 1)
            inside = _core(station_m[part], sign * curvature_per_m[part])
            core = place_m[(point_m >= inside[0]) & (point_m <= inside[1])]
            circle = circle_through(core, sigma_m)
            spline_m = float(1.0 / np.max(sign * curvature_per_m[part]))
            radius_m = spline_m if np.isnan(circle.radius_m) else circle.radius_m
            low_m = smallest_radius_m(spline_m, circle)
            found.append(Bend(first, last, turned, radius_m, circle.radius_se_m, low_m))
    return sorted(found)


def _core(station_m: Array, curvature_per_m: Array) -> tuple[float, float]:
    """Where the arc is: between the first and last station of at least 0.85 of the typical high curvature."""
    typical = float(np.quantile(curvature_per_m, 0.75))
    high = station_m[curvature_per_m >= CORE_RATIO * typical]
    return float(high[0]), float(high[-1])
