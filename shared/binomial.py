"""What a count proves about a chance: exact binomial bounds."""

import numpy as np
from scipy.special import betaincinv

from shared.arrays import Array

__all__ = ["lower_bound_ratio", "upper_bound_ratio"]


def upper_bound_ratio(hit: Array, of: Array, confidence_ratio: float) -> Array:
    """Upper bound of the chance when `hit` of `of` trials hit; 1 where all hit, and where nothing was tried.

    p_up = B^-1(confidence; k + 1, n - k), one-sided.      Valid: 0 <= k <= n, also where they are no whole numbers.
    Source: Clopper and Pearson 1934, exact binomial bound (memory).
    """
    count, trials = np.broadcast_arrays(np.asarray(hit, dtype=float), np.asarray(of, dtype=float))
    left = trials - count
    bound = betaincinv(count + 1.0, np.where(left > 0.0, left, 1.0), confidence_ratio)
    return np.where(np.isnan(left), np.nan, np.where(left > 0.0, bound, 1.0))


def lower_bound_ratio(hit: Array, of: Array, confidence_ratio: float) -> Array:
    """Lower bound of the chance when `hit` of `of` trials hit; 0 where none hit, and where nothing was tried.

    p_low = 1 - p_up(n - k of n), one-sided.      Valid: 0 <= k <= n, also where they are no whole numbers.
    Source: Clopper and Pearson 1934, exact binomial bound (memory).
    """
    return 1.0 - upper_bound_ratio(np.asarray(of) - np.asarray(hit), of, confidence_ratio)
