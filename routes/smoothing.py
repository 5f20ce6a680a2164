"""Cubic smoothing splines through points of known accuracy, and what is left uncertain of their derivatives.

The strength of smoothing is given as a bandwidth h in metres: the spline passes a wave of wave number w with
the factor 1 / (1 + (h w)^4), so features much longer than h stay and much shorter ones go. Source: B. W.
Silverman, Spline smoothing: the equivalent variable kernel method, Annals of Statistics 12 (1984) (memory;
checked numerically in the tests).
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.interpolate import BSpline, make_smoothing_spline
from scipy.optimize import brentq

from shared.arrays import Array

__all__ = [
    "Curve",
    "best_for_curvature_m",
    "best_for_slope_m",
    "discrepancy_bandwidth_m",
    "lost_of_curvature",
    "lost_of_direction",
    "lost_of_slope",
    "noise_of_derivatives",
    "penalty_m3",
    "response_of_derivatives",
    "scatter_m",
    "smooth",
    "spacing_m",
    "spline_of",
]

FINEST_RATIO = 0.25  # of the spacing; below it the spline passes through the points
RUNG_RATIO = 2.0**0.25
REACH_RATIO = 10.0  # a point acts as far as this many bandwidths, to about 1 in 1000
BETWEEN_RATIO = (
    0.41  # share of the spacing that a spline through the points loses, found by trial in the tests
)
AT_THE_END_RATIO = 0.2  # the same at the ends
FEWEST_FOR_SCATTER_COUNT = 20
MEDIAN_OF_ONE, MEDIAN_OF_TWO = 0.6745, 1.1774  # of the length of 1 and 2 standard normal numbers


@dataclass(frozen=True)
class Curve:
    """A smoothed line and what it was made from. Shapes: t (point), values (point, n).

    `sigma_m` is the accuracy of a point, `scatter_m` what the points show of it (0 where they are too few),
    `free_count` how many numbers of a point scatter, `best_m` the longest useful bandwidth for a sigma.
    """

    t_m: Array
    values_m: Array
    sigma_m: float
    scatter_m: float
    free_count: int
    bandwidth_m: float
    spline: BSpline
    best_m: Callable[[float], float]

    @property
    def spacing_m(self) -> float:
        """Median distance of the points."""
        return spacing_m(self.t_m)


def spacing_m(t_m: Array) -> float:
    """Median distance between neighbouring points. Source: definition."""
    return float(np.median(np.diff(t_m)))


def penalty_m3(bandwidth_m: float, spacing_m: float) -> float:
    """Weight of the bending term for points of weight 1: lambda = h^4 / d. Source: see the module."""
    return bandwidth_m**4 / spacing_m


def spline_of(t_m: Array, values_m: Array, bandwidth_m: float) -> BSpline:
    """Natural cubic spline that minimises sum (y - f)^2 + lambda int f''^2. Shapes: (point[, n]).

    Source: scipy.interpolate.make_smoothing_spline.
    """
    return make_smoothing_spline(t_m, values_m, lam=penalty_m3(bandwidth_m, spacing_m(t_m)))


def smooth(
    t_m: Array, values_m: Array, sigma_m: float, free_count: int, best_m: Callable[[float], float]
) -> Curve:
    """Smooth as far as the accuracy of the points allows, and no further than is best for the sharpest road.

    Where the points scatter more than declared, their scatter is the accuracy. Shapes: values (point, n).
    Source: discrepancy principle; see discrepancy_bandwidth_m.
    """
    seen_m = scatter_m(t_m, values_m, free_count)
    sigma_m = max(sigma_m, seen_m)
    allowed_m2 = free_count * t_m.size * sigma_m**2
    h_m = discrepancy_bandwidth_m(t_m, values_m, allowed_m2, best_m(sigma_m))
    spline = spline_of(t_m, values_m, h_m)
    return Curve(t_m, values_m, sigma_m, seen_m, free_count, h_m, spline, best_m)


def discrepancy_bandwidth_m(t_m: Array, values_m: Array, allowed_m2: float, longest_m: float) -> float:
    """Bandwidth at which the spline misses the points by what their accuracy allows, at most `longest_m`.

    sum (y - f)^2 = m sigma^2. Below a quarter of the spacing the spline passes through the points.
    Source: V. A. Morozov, discrepancy principle (memory).
    """
    shortest_m = FINEST_RATIO * spacing_m(t_m)

    def excess_m2(logarithm: float) -> float:
        return _misfit_m2(t_m, values_m, float(np.exp(logarithm))) - allowed_m2

    low, high = np.log(shortest_m), np.log(max(longest_m, shortest_m))
    if excess_m2(high) <= 0.0:
        return float(np.exp(high))
    if excess_m2(low) >= 0.0:
        return shortest_m
    return float(np.exp(brentq(excess_m2, low, high, xtol=1e-3)))


def response_of_derivatives(t_m: Array, bandwidth_m: float, at_m: Array) -> tuple[Array, Array]:
    """Variance of the first and second derivative per unit variance of a point. Shapes: (at), (at).

    The spline is linear in the points, f'(t) = sum L_j(t) y_j, so var f' = sigma^2 sum L_j^2. Points so far
    apart that they do not act on the same place are moved together: few splines give all L_j.
    Source: statistics of linear smoothers.
    """
    closest_m = float(np.quantile(np.diff(t_m), 0.05))
    teeth = min(t_m.size, int(np.ceil(2.0 * REACH_RATIO * (bandwidth_m / closest_m + 0.5))))
    combs = np.zeros((t_m.size, teeth))
    combs[np.arange(t_m.size), np.arange(t_m.size) % teeth] = 1.0
    spline = spline_of(t_m, combs, bandwidth_m)
    first, second = (np.sum(spline.derivative(order)(at_m) ** 2, axis=1) for order in (1, 2))
    return np.asarray(first), np.asarray(second)


def noise_of_derivatives(curve: Curve, at_m: Array) -> tuple[Array, Array]:
    """Standard errors of the first and second derivative from the noise of the points. Shapes: (at), (at).

    sigma^2 times the response. A larger sigma may allow a longer bandwidth, which could bring the error down:
    so the largest error on the way there counts, from the scatter that the points show to sigma, on a ladder
    of bandwidths that belong to a sigma between them. Source: own, the law that more noise is never less
    error.
    """
    first, second = (
        curve.sigma_m**2 * part for part in response_of_derivatives(curve.t_m, curve.bandwidth_m, at_m)
    )
    for rung_m, variance_m2 in _passed_rungs(curve):
        less, more = (variance_m2 * part for part in response_of_derivatives(curve.t_m, rung_m, at_m))
        first, second = np.maximum(first, less), np.maximum(second, more)
    return np.sqrt(first), np.sqrt(second)


def _passed_rungs(curve: Curve) -> list[tuple[float, float]]:
    """Shorter bandwidths to which a smaller sigma could lead, each with the variance that leads past it."""
    count = curve.free_count * curve.t_m.size
    found, rung_m = [], FINEST_RATIO * curve.spacing_m
    begins_m2 = 0.0
    while rung_m < curve.bandwidth_m and begins_m2 <= curve.sigma_m**2:
        ends_m2 = _misfit_m2(curve.t_m, curve.values_m, rung_m * RUNG_RATIO) / count
        if ends_m2 >= curve.scatter_m**2 and rung_m <= curve.best_m(float(np.sqrt(ends_m2))):
            found.append((rung_m, min(ends_m2, curve.sigma_m**2)))
        rung_m, begins_m2 = rung_m * RUNG_RATIO, ends_m2
    return found


def lost_of_slope(bandwidth_m: float, spacing_m: float, radius_m: float, to_end_m: Array) -> Array:
    """Error of the slope where the line begins to curve with the sharpest radius R, and near its ends.

    h / (2 sqrt(2) R) inside; sqrt(2) h / R exp(-x / (sqrt(2) h)) at x from an end. Shapes: (at). Source:
    integral of the equivalent kernel, and boundary layer of the spline (derived; checked in the tests).
    """
    inside_m = np.hypot(bandwidth_m, BETWEEN_RATIO * spacing_m) / np.sqrt(8.0)
    return np.asarray(np.maximum(inside_m, _lost_at_end_m(bandwidth_m, spacing_m, to_end_m)) / radius_m)


def lost_of_direction(
    bandwidth_m: float, spacing_m: float, transition_m2: float, curvature_per_m: Array, to_end_m: Array
) -> Array:
    """Error of the direction in plan, rad: h^2 / (6 A^2) where a transition begins, and near the ends.

    Near the ends as for the slope. Shapes: (at). Source: as lost_of_slope; the 6 is rounded down from 6.2
    (derived; checked in the tests).
    """
    inside = (bandwidth_m**2 + (BETWEEN_RATIO * spacing_m) ** 2) / (6.0 * transition_m2)
    return np.asarray(
        np.maximum(inside, _lost_at_end_m(bandwidth_m, spacing_m, to_end_m) * np.abs(curvature_per_m))
    )


def _lost_at_end_m(bandwidth_m: float, spacing_m: float, to_end_m: Array) -> Array:
    layer_m = np.sqrt(2.0) * np.hypot(bandwidth_m, AT_THE_END_RATIO * spacing_m)
    return np.asarray(layer_m * np.exp(-to_end_m / layer_m))


def lost_of_curvature(bandwidth_m: float, spacing_m: float, transition_m2: float) -> float:
    """Error of the curvature where a transition of parameter A^2 begins: h / (2 sqrt(2) A^2).

    Source: integral of the equivalent kernel (derived; checked in the tests).
    """
    return float(np.hypot(bandwidth_m, BETWEEN_RATIO * spacing_m) / np.sqrt(8.0) / transition_m2)


def best_for_slope_m(sigma_m: float, spacing_m: float, radius_m: float) -> float:
    """Bandwidth at which noise and loss of the slope are least together: h^5 = 3 sigma^2 d R^2 / (2 sqrt(2)).

    Source: minimum of sigma^2 d / (8 sqrt(2) h^3) + h^2 / (8 R^2) (derived, as for a straight base).
    """
    return float((3.0 * sigma_m**2 * spacing_m * radius_m**2 / np.sqrt(8.0)) ** 0.2)


def best_for_curvature_m(sigma_m: float, spacing_m: float, transition_m2: float) -> float:
    """Bandwidth at which noise and loss of the curvature are least together.

    h^7 = 5 sigma^2 d A^4 / (2 sqrt(2)). Source: minimum of sigma^2 d / (8 sqrt(2) h^5) + h^2 / (8 A^4)
    (derived).
    """
    return float((5.0 * sigma_m**2 * spacing_m * transition_m2**2 / np.sqrt(8.0)) ** (1.0 / 7.0))


def scatter_m(t_m: Array, values_m: Array, free_count: int) -> float:
    """Noise that the points themselves show: how far each lies from the cubic through its four neighbours.

    median |e| / 0.6745 (1.1774 if both of two columns scatter), e scaled to the variance of one point; bends
    and crests are too few to move a median. Shapes: (point, n). Valid: at least 20 points; below, 0: nothing
    is seen. Source: T. Gasser, L. Sroka, C. Jennen-Steinmetz, Biometrika 73 (1986), with four neighbours
    (memory).
    """
    if t_m.size < FEWEST_FOR_SCATTER_COUNT:
        return 0.0
    around = [slice(0, -4), slice(1, -3), slice(3, -1), slice(4, None)]
    t = [t_m[part] - t_m[2:-2] for part in around]
    weights = [np.prod([t[k] / (t[k] - t[i]) for k in range(4) if k != i], axis=0) for i in range(4)]
    guess = sum(w[:, None] * values_m[part] for w, part in zip(weights, around, strict=True))
    scale = np.sqrt(1.0 + sum(w**2 for w in weights))
    median = np.median(np.linalg.norm(values_m[2:-2] - guess, axis=1) / scale)
    return float(median / (MEDIAN_OF_ONE if free_count == 1 else MEDIAN_OF_TWO))


def _misfit_m2(t_m: Array, values_m: Array, bandwidth_m: float) -> float:
    """Sum of squares of what the spline leaves, over all columns."""
    return float(np.sum((values_m - spline_of(t_m, values_m, bandwidth_m)(t_m)) ** 2))
