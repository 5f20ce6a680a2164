"""What a count of members proves about a chance."""

import numpy as np

from shared.arrays import Array
from shared.binomial import upper_bound_ratio

__all__ = ["chance_bound_ratio", "members_allowed"]


def chance_bound_ratio(over: Array, members: int, confidence_ratio: float) -> Array:
    """Upper bound of the chance of exceedance when `over` of `members` exceed, and 1 when all exceed.

    Valid: 0 <= k <= m.      Source: exact one-sided binomial bound, see shared.binomial.
    """
    return upper_bound_ratio(over, np.asarray(float(members)), confidence_ratio)


def members_allowed(members: int, acceptable_ratio: float, confidence_ratio: float) -> int:
    """Largest number of members that may exceed; -1 when even none proves the acceptable chance."""
    bounds = chance_bound_ratio(np.arange(members + 1.0), members, confidence_ratio)
    return int(np.count_nonzero(bounds <= acceptable_ratio)) - 1
