"""Gust as a normal distribution cut off at 0 whose location and scale follow the mean and variance of the members."""

from typing import NamedTuple

import numpy as np
from scipy.optimize import OptimizeResult, minimize

from shared.arrays import Array
from shared.errors import InputError
from shared.tables import figure
from transport.weather.skill.crps import LEAST_STANDARD_RATIO, crps_truncated_mps

__all__ = ["Coefficients", "Law", "fit", "law_of", "mean_crps_mps"]

FLOOR = 0.995 * LEAST_STANDARD_RATIO
SAME = 1e-6


class Coefficients(NamedTuple):
    """mu = a + b mean, sigma^2 = c + d variance; b, c and d are not negative."""

    a_mps: float
    b_ratio: float
    c_m2_per_s2: float
    d_ratio: float


class Law(NamedTuple):
    """Location and scale of the normal distribution before it is cut off at 0."""

    location_mps: Array
    scale_mps: Array


def law_of(coefficients: Coefficients, mean_mps: Array, variance_m2_per_s2: Array) -> Law:
    """Location and scale for the mean and the variance (divisor n - 1) of the members.

    mu = a + b mean, sigma = sqrt(c + d variance); mu is not taken below -19.9 sigma, where the distribution has
    become an exponential one.
    Source: T. L. Thorarinsdottir and M. S. Johnson, Mon. Wea. Rev. 140, 889 (2012), abstract (read).
    """
    a, b, c, d = coefficients
    scale_mps = np.sqrt(c + d * np.asarray(variance_m2_per_s2, dtype=float))
    location_mps = a + b * np.asarray(mean_mps, dtype=float)
    return Law(np.maximum(location_mps, FLOOR * scale_mps), scale_mps)


def mean_crps_mps(coefficients: Coefficients, mean_mps: Array, variance_m2_per_s2: Array, observed_mps: Array) -> float:
    """Mean CRPS of the cases under these coefficients.

    Source: crps_truncated_mps.
    """
    return float(np.mean(crps_truncated_mps(*law_of(coefficients, mean_mps, variance_m2_per_s2), observed_mps)))


def fit(mean_mps: Array, variance_m2_per_s2: Array, observed_mps: Array, least_sigma_mps: float) -> Coefficients:
    """Coefficients with the least mean CRPS, b, d >= 0 and c >= least_sigma^2.

    Started from the ensemble as it is, from least squares and from the observed distribution alone; the best end
    counts, and a second start from there must not get lower. Shapes: all (case), known values only.
    Errors: InputError if the search does not converge.
    Source: least CRPS estimation, T. Gneiting et al., Mon. Wea. Rev. 133, 1098 (2005) (read in an excerpt).
    """
    centre = float(np.mean(mean_mps))
    data = mean_mps - centre, np.asarray(variance_m2_per_s2, dtype=float), np.asarray(observed_mps, dtype=float)
    ends = [_search(start, data, least_sigma_mps) for start in _starts(*data, centre, least_sigma_mps)]
    best = min(ends, key=lambda end: float(end.fun))
    again = _search(best.x, data, least_sigma_mps)
    if not (np.isfinite(again.fun) and best.fun - again.fun <= SAME * max(best.fun, SAME)):
        best = again
        again = _search(best.x, data, least_sigma_mps)
    if not (np.isfinite(again.fun) and abs(best.fun - again.fun) <= SAME * max(best.fun, SAME)):
        raise InputError(f"the search for the least CRPS did not converge ({best.fun:g}, then {again.fun:g} m/s)")
    a, b, c, d = (float(value) for value in again.x)
    return Coefficients(a - b * centre, b, c, d)


def _search(start: Array, data: tuple[Array, Array, Array], least_sigma_mps: float) -> OptimizeResult:
    mean, variance, observed = data

    def score(values: Array, /) -> float:
        return mean_crps_mps(Coefficients(*values.tolist()), mean, variance, observed)

    bounds = [(None, None), (0.0, None), (least_sigma_mps**2, None), (0.0, None)]
    return minimize(score, start, method="L-BFGS-B", bounds=bounds, options={"ftol": 1e-13, "gtol": 1e-8})


def _starts(mean: Array, variance: Array, observed: Array, centre: float, least_sigma_mps: float) -> list[Array]:
    """The members as they are; least squares, the scatter shared by both terms; what was observed alone."""
    spread = float(np.mean(mean**2))
    slope = max(float(np.mean(mean * observed)) / spread, 0.0) if spread > 0.0 else 0.0
    level = float(np.mean(observed))
    scatter = float(np.mean((observed - level - slope * mean) ** 2))
    share = 0.5 * scatter / max(float(np.mean(variance)), least_sigma_mps**2)
    least = max(least_sigma_mps**2, figure("calibration_least_sigma_mps") ** 2)
    return [
        np.array([centre, 1.0, least, 1.0]),
        np.array([level, slope, max(0.5 * scatter, least), share]),
        np.array([level, 0.0, max(float(np.var(observed)), least), 0.0]),
    ]
