"""Bins of forecast chances: fine where the decision falls, and empty where nothing was forecast."""

import numpy as np
from numpy.typing import NDArray

from shared.arrays import Array
from shared.ranges import require

__all__ = ["EDGES_RATIO", "bin_counts", "bin_means", "bin_of"]

EDGES_RATIO = np.array([0.0, 0.005, 0.01, 0.02, 0.035, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0])

Index = NDArray[np.intp]


def bin_of(chance_ratio: Array, edges_ratio: Array) -> Index:
    """Number of the bin of each chance: from its lower edge up to below its upper; the last one holds 1 too.

    Errors: OutOfRangeError for a chance that is unknown or no chance.
    """
    require(chance_ratio, float(edges_ratio[0]), float(edges_ratio[-1]), name="chance", what="the edges of the bins")
    last = edges_ratio.size - 2
    return np.minimum(np.searchsorted(edges_ratio, chance_ratio, side="right") - 1, last)


def bin_counts(index: Index, bins_count: int) -> Array:
    """How many values fall into each bin.

    Source: a count, definition.
    """
    return np.bincount(index, minlength=bins_count).astype(float)


def bin_means(values: Array, index: Index, bins_count: int) -> Array:
    """Mean of the values in each bin; NaN where a bin is empty, never 0.

    Source: a mean, definition.
    """
    total = np.bincount(index, weights=values, minlength=bins_count)
    count = bin_counts(index, bins_count)
    return np.where(count > 0.0, total / np.maximum(count, 1.0), np.nan)
