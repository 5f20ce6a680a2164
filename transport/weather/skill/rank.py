"""Rank histogram and spread: whether the members surround what happens as often as they should."""

import numpy as np

from shared.arrays import Array

__all__ = ["error_mps", "rank_counts", "spread_mps"]


def rank_counts(members_mps: Array, observed_mps: Array) -> Array:
    """How often the observation lay below all members, between each two, above all; ties are shared evenly.

    Flat where the members are as good as the truth; high at the right end where gusts come that no member held.
    Shapes: (case, m) and (case,) to (m + 1,). The counts sum to the number of cases.
    Source: Hamill 2001, Mon. Wea. Rev. 129 (memory), who breaks ties at random.
    """
    below = (members_mps < observed_mps[:, None]).sum(axis=1)
    equal = (members_mps == observed_mps[:, None]).sum(axis=1)
    rank = np.arange(members_mps.shape[1] + 1)
    inside = (rank >= below[:, None]) & (rank <= (below + equal)[:, None])
    return np.asarray((inside / (equal + 1.0)[:, None]).sum(axis=0))


def spread_mps(variance_mps2: Array, members_count: float) -> Array:
    """Spread that a reliable ensemble of this size needs to equal the error of its mean.

    s = sqrt[(m + 1) / m mean(var)], var with m - 1. NaN for one member.
    Source: Fortin et al. 2014, J. Hydrometeorol. 15 (memory).
    """
    return np.asarray(np.sqrt((1.0 + 1.0 / members_count) * variance_mps2.mean()))


def error_mps(mean_mps: Array, observed_mps: Array) -> Array:
    """Root of the mean square error of the forecast mean.

    Source: definition.
    """
    return np.asarray(np.sqrt(np.mean((mean_mps - observed_mps) ** 2)))
