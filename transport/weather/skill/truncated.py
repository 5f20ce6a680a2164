"""The normal distribution cut off at 0: chance above a threshold, quantile, moments."""

import numpy as np
from scipy.special import log_ndtr, ndtr, ndtri

from shared.arrays import Array

__all__ = ["exceedance_ratio", "moments_mps", "quantile_mps"]


def exceedance_ratio(location_mps: Array, scale_mps: Array, threshold_mps: Array) -> Array:
    """Chance that the wind is above a threshold; 1 below 0.

    P(V > x) = Phi((mu - x) / s) / Phi(mu / s).      Valid: s > 0; NaN stays NaN.
    Source: truncated normal distribution, definition; Gneiting et al. 2006, J. Am. Stat. Assoc. 101 (memory).
    """
    above = ndtr((location_mps - np.maximum(threshold_mps, 0.0)) / scale_mps)
    return np.asarray(above / ndtr(location_mps / scale_mps))


def quantile_mps(location_mps: Array, scale_mps: Array, probability_ratio: Array) -> Array:
    """The wind that is not passed with a probability.

    x = mu - s Phi^-1[(1 - q) Phi(mu / s)].      Valid: 0 < q < 1, s > 0; NaN stays NaN.
    Source: the inverse of the distribution function, definition.
    """
    above = (1.0 - probability_ratio) * ndtr(location_mps / scale_mps)
    return np.asarray(location_mps - scale_mps * ndtri(above))


def moments_mps(location_mps: Array, scale_mps: Array) -> tuple[Array, Array]:
    """Mean in m/s and variance in m2/s2.

    With a = mu / s and the ratio h = phi(a) / Phi(a): mean = mu + s h, variance = s^2 [1 - h (h + a)].
    Valid: s > 0; NaN stays NaN.      Source: moments of the truncated normal distribution, Johnson and Kotz (memory).
    """
    standard = location_mps / scale_mps
    ratio = np.exp(-0.5 * standard**2 - log_ndtr(standard)) / np.sqrt(2.0 * np.pi)
    variance = scale_mps**2 * (1.0 - ratio * (ratio + standard))
    return np.asarray(location_mps + scale_mps * ratio), np.asarray(variance)
