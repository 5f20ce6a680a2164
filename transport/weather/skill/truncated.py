"""The normal distribution cut off at 0: chance above a threshold, quantile."""

import numpy as np
from scipy.special import ndtr, ndtri

from shared.arrays import Array

__all__ = ["exceedance_ratio", "quantile_mps"]


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
