"""Curvature, radius, and the bends: where they are, how far they turn, and the circle through their points."""

from typing import NamedTuple

import numpy as np
from scipy.optimize import least_squares

from shared.arrays import Array

__all__ = [
    "Circle",
    "circle_through",
    "curvature_per_m",
    "mean_radius_m",
    "noise_of_curvature",
    "runs",
    "smallest_radius_m",
]

ONE_SIDED_95 = 1.64


class Circle(NamedTuple):
    """Radius of the circle through the points of a bend, and its standard error."""

    radius_m: float
    radius_se_m: float


def curvature_per_m(slope: Array, bend: Array) -> Array:
    """Curvature, left positive: (x' y'' - y' x'') / (x'^2 + y'^2)^(3/2). Shapes: (at, 2) to (at). Source: geometry."""
    cross = slope[:, 0] * bend[:, 1] - slope[:, 1] * bend[:, 0]
    return np.asarray(cross / np.sum(slope**2, axis=1) ** 1.5)


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


def runs(inside: Array) -> list[tuple[int, int]]:
    """First and last index of each run of true values. Shapes: (station)."""
    edges = np.diff(np.concatenate([[0], np.asarray(inside, dtype=int), [0]]))
    return [(int(a), int(b) - 1) for a, b in zip(np.flatnonzero(edges > 0), np.flatnonzero(edges < 0), strict=True)]


def mean_radius_m(length_m: float, turned_deg: float) -> float:
    """Radius of a bend as length over angle turned; an integral, so noise hardly moves it. Source: geometry."""
    return float(np.divide(length_m, np.radians(abs(turned_deg)), where=turned_deg != 0.0, out=np.array(np.inf)))


def circle_through(points_m: Array, sigma_m: float) -> Circle:
    """Circle that the points lie closest to, by their distance from it; the standard error from sigma and the geometry.

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
        return np.hypot(local_m[:, 0] - circle[0], local_m[:, 1] - circle[1]) - circle[2]

    found = least_squares(left_m, [start[0], start[1], radius_m], x_scale=radius_m)
    spread = np.linalg.pinv(found.jac.T @ found.jac)
    return Circle(float(found.x[2]), float(sigma_m * np.sqrt(spread[2, 2])))


def smallest_radius_m(spline_radius_m: Array, circle: Circle) -> Array:
    """Radius to design for: the lesser of the spline's and of the circle's less 1.64 standard errors; NaN circle is left out.

    Shapes: (station). Source: one-sided 95 % bound of a normal error (practice).
    """
    low_m = circle.radius_m - ONE_SIDED_95 * circle.radius_se_m
    return spline_radius_m if np.isnan(low_m) else np.minimum(spline_radius_m, max(low_m, 0.0))
