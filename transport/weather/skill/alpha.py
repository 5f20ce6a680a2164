"""The operational factor on the limit, fitted on the site: how much the control member falls short of the mast."""

from typing import NamedTuple

import numpy as np
from scipy.special import chdtri, ndtri

from shared.arrays import Array
from shared.tables import figure

__all__ = ["LEVELS", "ErrorOf", "allowance_mps", "alpha_ratio", "error_of", "sigma_bound_mps"]

LEVELS = (0.5, 0.6, 0.7, 0.8, 0.85, 0.9, 0.95, 0.98, 0.99, 1.0)


class ErrorOf(NamedTuple):
    """Error of the control member, observed minus forecast: how much is known, mean, deviation, its bound, quantiles.

    `quantiles_mps` belong to LEVELS; the last is the largest error seen.
    """

    cases: int
    days: int
    mean_mps: float
    sigma_mps: float
    sigma_bound_mps: float
    quantiles_mps: tuple[float, ...]


def alpha_ratio(z_ratio: float, sigma_mps: Array, limit_mps: Array, bias_mps: Array) -> Array:
    """Factor on the limit that leaves the accepted chance of exceeding it.

    alpha = 1 - (max(bias, 0) + z sigma) / limit.      Valid: limit > 0; a forecast that is too high earns nothing.
    Source: criterion OP_WF = alpha OP_LIM of marine operations (memory), fitted to a normal error (practice).
    """
    return 1.0 - (np.maximum(bias_mps, 0.0) + z_ratio * sigma_mps) / limit_mps


def sigma_bound_mps(sigma_mps: float, count: int, confidence_ratio: float) -> float:
    """Upper confidence bound of a standard deviation; infinite for fewer than two independent values.

    s sqrt((n - 1) / chi2(1 - confidence; n - 1)).      Valid: normal, independent values.
    Source: chi-square distribution of the sample variance (memory).
    """
    if count < 2:
        return float("inf")
    return float(sigma_mps * np.sqrt((count - 1) / chdtri(count - 1, confidence_ratio)))


def error_of(forecast_mps: Array, observed_mps: Array, day: np.ndarray) -> ErrorOf:
    """Error of the control member over some cases; the days, not the cases, count as independent.

    Source: calibration_sigma_confidence_ratio (practice).
    """
    error = np.asarray(observed_mps - forecast_mps, dtype=float)
    days, sigma = len(np.unique(day)), float(np.std(error, ddof=1))
    bound = sigma_bound_mps(sigma, days, figure("calibration_sigma_confidence_ratio"))
    quantiles = np.quantile(error, LEVELS, method="higher")
    return ErrorOf(len(error), days, float(np.mean(error)), sigma, bound, tuple(float(value) for value in quantiles))


def allowance_mps(found: ErrorOf, chance_ratio: float) -> float:
    """How far the gust may lie above the control member at an accepted chance.

    max(max(bias, 0) + z sigma_bound, error observed at the next level kept from 1 - chance on), never below 0.
    Source: alpha_ratio; the observed error where it has a longer tail than the normal one (practice).
    """
    z = float(ndtri(1.0 - chance_ratio))
    normal = max(found.mean_mps, 0.0) + z * found.sigma_bound_mps
    kept = next(level for level in range(len(LEVELS)) if LEVELS[level] >= min(1.0 - chance_ratio, 1.0))
    return max(normal, found.quantiles_mps[kept], 0.0)
