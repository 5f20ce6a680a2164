"""Cubic smoothing splines through points of known accuracy, and what is left uncertain of their derivatives.

The strength of smoothing is given as a bandwidth h in metres: the spline passes a wave of wave number w with the factor
1 / (1 + (h w)^4), so features much longer than h stay and much shorter ones go. Source: B. W. Silverman, Spline smoothing:
the equivalent variable kernel method, Annals of Statistics 12 (1984) (memory; checked numerically in the tests).
"""

from typing import NamedTuple

import numpy as np
from scipy.interpolate import BSpline, make_smoothing_spline
from scipy.optimize import brentq

from shared.arrays import Array

__all__ = [
    "Uncertainty",
    "bandwidth_m",
    "misfit_m2",
    "noise_of_derivatives",
    "penalty",
    "response_of_derivatives",
    "scatter_m",
    "spline_of",
]

FINEST_RATIO = 0.25  # of the spacing; below it the spline passes through the points
RUNG_RATIO = 2.0**0.25
REACH_RATIO = 10.0  # a point acts as far as this many bandwidths, to about 1 in 1000
BETWEEN_RATIO = 0.41  # share of the spacing that a spline through the points loses, found by trial in the tests
AT_THE_END_RATIO = 0.2  # the same at the ends


class Uncertainty(NamedTuple):
    """Standard errors of the first and second derivative. Shapes: (at)."""

    first: Array
    second: Array


def spacing_m(t_m: Array) -> float:
    """Median distance between neighbouring points."""
    return float(np.median(np.diff(t_m)))


def penalty(bandwidth_m: float, spacing_m: float) -> float:
    """Weight of the bending term for points of weight 1: lambda = h^4 / d. Source: see the module."""
    return bandwidth_m**4 / spacing_m


def spline_of(t_m: Array, values_m: Array, bandwidth_m: float) -> BSpline:
    """Natural cubic spline that minimises sum (y - f)^2 + lambda int f''^2. Shapes: (point[, n]).

    Source: scipy.interpolate.make_smoothing_spline.
    """
    return make_smoothing_spline(t_m, values_m, lam=penalty(bandwidth_m, spacing_m(t_m)))


def misfit_m2(t_m: Array, values_m: Array, bandwidth_m: float) -> float:
    """Sum of squares of what the spline leaves, over all columns."""
    return float(np.sum((values_m - spline_of(t_m, values_m, bandwidth_m)(t_m)) ** 2))


def bandwidth_m(t_m: Array, values_m: Array, allowed_m2: float, longest_m: float) -> float:
    """Bandwidth at which the spline misses the points by as much as their accuracy allows, at most `longest_m`.

    sum (y - f)^2 = m sigma^2 (discrepancy principle). Below a quarter of the spacing the spline passes through the points.
    Source: V. A. Morozov, discrepancy principle; reference run of the smoothing against a known switchback (read).
    """
    shortest_m = FINEST_RATIO * spacing_m(t_m)

    def excess(logarithm: float) -> float:
        return misfit_m2(t_m, values_m, float(np.exp(logarithm))) - allowed_m2

    low, high = np.log(shortest_m), np.log(max(longest_m, shortest_m))
    if excess(high) <= 0.0:
        return float(np.exp(high))
    if excess(low) >= 0.0:
        return shortest_m
    return float(np.exp(brentq(excess, low, high, xtol=1e-3)))


def response_of_derivatives(t_m: Array, bandwidth_m: float, at_m: Array) -> tuple[Array, Array]:
    """Variance of the first and second derivative per unit variance of a point. Shapes: (at), (at).

    The spline is linear in the points, f'(t) = sum L_j(t) y_j, so var f' = sigma^2 sum L_j^2. Points further apart than a
    point acts are moved together, so that a few splines give all L_j. Source: statistics of linear smoothers.
    """
    _, responses = _with_combs(t_m, np.zeros((t_m.size, 0)), bandwidth_m)
    return _squares(responses, at_m, 1), _squares(responses, at_m, 2)


def noise_of_derivatives(
    t_m: Array, values_m: Array, sigma_m: float, columns_count: int, bandwidth_m: float, at_m: Array
) -> Uncertainty:
    """Standard error from the noise of the points: never less than that of a survey declared to be less noisy.

    A larger sigma allows a larger bandwidth, which could bring the error of a derivative down. So the largest of the errors
    on the way there is taken: on each rung of a ladder of bandwidths, the response there times the least sigma that leads
    past it. Shapes: values (point, n), result (at). `columns_count` = how many numbers of a point scatter freely.
    Source: own, a law of this tool: more noise is never less error.
    """
    rungs_m = _rungs_m(FINEST_RATIO * spacing_m(t_m), bandwidth_m)
    first, second = np.zeros(at_m.size), np.zeros(at_m.size)
    reached_m2 = sigma_m**2
    for rung_m in reversed(rungs_m):
        left_m2, responses = _with_combs(t_m, values_m, rung_m)
        first = np.maximum(first, reached_m2 * _squares(responses, at_m, 1))
        second = np.maximum(second, reached_m2 * _squares(responses, at_m, 2))
        reached_m2 = min(reached_m2, left_m2 / (columns_count * t_m.size))
    return Uncertainty(np.sqrt(first), np.sqrt(second))


def lost_of_slope(bandwidth_m: float, spacing_m: float, radius_m: float, to_end_m: Array) -> Array:
    """Error of the slope where the line begins to curve with the sharpest radius R, and near its ends.

    h / (2 sqrt(2) R) inside; sqrt(2) h / R exp(-x / (sqrt(2) h)) at x from an end. Shapes: (at).
    Source: integral of the equivalent kernel, and of the boundary layer of the spline (derived; checked in the tests).
    """
    inside_m, end_m = np.hypot(bandwidth_m, np.array([BETWEEN_RATIO, AT_THE_END_RATIO]) * spacing_m)
    at_end = np.sqrt(2.0) * end_m * np.exp(-to_end_m / (np.sqrt(2.0) * end_m))
    return np.asarray(np.maximum(inside_m / np.sqrt(8.0), at_end) / radius_m)


def lost_of_curvature(bandwidth_m: float, spacing_m: float, transition_m2: float) -> float:
    """Error of the curvature where a transition of parameter A^2 begins: h / (2 sqrt(2) A^2).

    Source: integral of the equivalent kernel (derived; checked in the tests).
    """
    return float(np.hypot(bandwidth_m, BETWEEN_RATIO * spacing_m) / np.sqrt(8.0) / transition_m2)


def best_for_slope_m(sigma_m: float, spacing_m: float, radius_m: float) -> float:
    """Bandwidth at which noise and loss of the slope are least together: h^5 = 3 sigma^2 d R^2 / (2 sqrt(2)).

    Source: minimum of sigma^2 d / (8 sqrt(2) h^3) + h^2 / (8 R^2) (derived; the same trade as for a straight base).
    """
    return float((3.0 * sigma_m**2 * spacing_m * radius_m**2 / np.sqrt(8.0)) ** 0.2)


def best_for_curvature_m(sigma_m: float, spacing_m: float, transition_m2: float) -> float:
    """Bandwidth at which noise and loss of the curvature are least together: h^7 = 5 sigma^2 d A^4 / (2 sqrt(2)).

    Source: minimum of sigma^2 d / (8 sqrt(2) h^5) + h^2 / (8 A^4) (derived).
    """
    return float((5.0 * sigma_m**2 * spacing_m * transition_m2**2 / np.sqrt(8.0)) ** (1.0 / 7.0))


def scatter_m(t_m: Array, values_m: Array) -> float:
    """Noise that the points themselves show: how far each lies from the cubic through its four neighbours.

    median |e| / 0.6745 with e scaled to the variance of one point; bends and crests are too few to move a median.
    Shapes: (point, n), n columns taken as one vector. Valid: at least 5 points; good from about 30.
    Source: T. Gasser, L. Sroka, C. Jennen-Steinmetz, Biometrika 73 (1986), with four neighbours (memory).
    """
    around = [slice(0, -4), slice(1, -3), slice(3, -1), slice(4, None)]
    t = [t_m[part] - t_m[2:-2] for part in around]
    weights = [
        np.prod([t[k] / (t[k] - t[i]) for k in range(4) if k != i], axis=0) for i in range(4)
    ]
    guess = sum(w[:, None] * values_m[part] for w, part in zip(weights, around, strict=True))
    scale = np.sqrt(1.0 + sum(w**2 for w in weights))
    return float(np.median(np.linalg.norm(values_m[2:-2] - guess, axis=1) / scale) / 0.6745)


def _rungs_m(first_m: float, last_m: float) -> Array:
    count = int(np.floor(np.log(max(last_m / first_m, 1.0)) / np.log(RUNG_RATIO) + 1e-9)) + 1
    return first_m * RUNG_RATIO ** np.arange(count)


def _with_combs(t_m: Array, values_m: Array, bandwidth_m: float) -> tuple[float, BSpline]:
    """Misfit of the values, and the spline of combs of unit points so far apart that they do not meet."""
    closest_m = float(np.quantile(np.diff(t_m), 0.05))
    teeth = min(t_m.size, int(np.ceil(2.0 * REACH_RATIO * (bandwidth_m + 0.5 * closest_m) / closest_m)))
    combs = np.zeros((t_m.size, teeth))
    combs[np.arange(t_m.size), np.arange(t_m.size) % teeth] = 1.0
    spline = spline_of(t_m, np.hstack([values_m, combs]), bandwidth_m)
    columns = values_m.shape[1]
    left_m = values_m - spline(t_m)[:, :columns]
    return float(np.sum(left_m**2)), BSpline(spline.t, spline.c[:, columns:], spline.k)


def _squares(responses: BSpline, at_m: Array, order: int) -> Array:
    return np.asarray(np.sum(responses.derivative(order)(at_m) ** 2, axis=1))
