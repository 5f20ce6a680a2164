"""Reliability curve: how often it happened when a chance was forecast, with counts and what they prove."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from shared.arrays import Array
from shared.binomial import lower_bound_ratio, upper_bound_ratio
from transport.weather.skill.bins import bin_counts, bin_means, bin_of

__all__ = ["Curve", "curve"]


class Curve(NamedTuple):
    """Of each bin: cases, days they lie on, mean chance forecast, share observed and its bar. Empty bins are NaN."""

    cases_count: Array
    days_count: Array
    forecast_ratio: Array
    observed_ratio: Array
    low_ratio: Array
    high_ratio: Array


def curve(
    chance_ratio: Array, event: NDArray[np.bool_], day: NDArray[np.int64], edges_ratio: Array, confidence_ratio: float
) -> Curve:
    """Share observed in each bin of forecast chance, with a two-sided exact binomial bar.

    Hours of one day are not independent, so the bar is that of as many trials as there are days in the bin, with the
    share observed: k = n_days o_k. Shapes: chance, event and day (case,), edges (bin + 1).
    Source: Clopper and Pearson 1934 (memory); days as trials are practice.
    """
    bins = edges_ratio.size - 1
    index = bin_of(chance_ratio, edges_ratio)
    days = _days_count(index, day, bins)
    observed = bin_means(event.astype(float), index, bins)
    one_sided = (1.0 + confidence_ratio) / 2.0
    return Curve(
        cases_count=bin_counts(index, bins),
        days_count=days,
        forecast_ratio=bin_means(chance_ratio, index, bins),
        observed_ratio=observed,
        low_ratio=lower_bound_ratio(days * observed, days, one_sided),
        high_ratio=upper_bound_ratio(days * observed, days, one_sided),
    )


def _days_count(index: NDArray[np.intp], day: NDArray[np.int64], bins: int) -> Array:
    pairs = np.unique(np.column_stack([index, day]), axis=0)
    return bin_counts(pairs[:, 0].astype(np.intp), bins)
