"""Brier score of the chance that a gust passes a threshold, its skill, and what it is made of.

Chances and events have shape (case,); an event is true where the observed gust was above the threshold.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from shared.arrays import Array
from transport.weather.skill.bins import bin_means, bin_of

__all__ = ["Decomposition", "brier_ratio", "decomposition", "skill_ratio"]

Events = NDArray[np.bool_]


class Decomposition(NamedTuple):
    """score = reliability - resolution + uncertainty + within_variance - within_covariance, exactly."""

    reliability: float
    resolution: float
    uncertainty: float
    within_variance: float
    within_covariance: float


def brier_ratio(chance_ratio: Array, event: Events) -> float:
    """Mean square of chance minus outcome; 0 is perfect; NaN for no case and for an unknown chance.

    BS = 1/n sum (f - o)^2.      Source: Brier 1950, Mon. Wea. Rev. 78 (memory).
    """
    return float(np.mean((chance_ratio - event) ** 2)) if chance_ratio.size else np.nan


def skill_ratio(score_ratio: Array, reference_ratio: Array) -> Array:
    """Share of the reference's score that the forecast saves: 1 perfect, 0 no better, below 0 worse.

    BSS = 1 - BS / BS_ref; NaN where the reference scores 0, as where nothing ever happened.
    Source: definition of a skill score against climatology (memory).
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(np.asarray(reference_ratio) > 0.0, 1.0 - np.asarray(score_ratio) / reference_ratio, np.nan)


def decomposition(chance_ratio: Array, event: Events, edges_ratio: Array) -> Decomposition:
    """Reliability, resolution and uncertainty over bins, and the two parts that lie within the bins.

    REL = 1/n sum n_k (f_k - o_k)^2, RES = 1/n sum n_k (o_k - o)^2, UNC = o (1 - o), with the means f_k, o_k of bin k;
    WBV = 1/n sum (f - f_k)^2, WBC = 2/n sum (f - f_k) (o - o_k). Without the last two the sum closes only where each
    bin holds one value.
    Source: Murphy 1973, J. Appl. Meteorol. 12; Stephenson, Coelho and Jolliffe 2008, Wea. Forecasting 23 (memory;
    RES - WBV + WBC as the generalised resolution read in the authors' slides).
    """
    if not chance_ratio.size:
        return Decomposition(*[np.nan] * 5)
    index, seen = bin_of(chance_ratio, edges_ratio), event.astype(float)
    means = (bin_means(part, index, edges_ratio.size - 1)[index] for part in (chance_ratio, seen))
    forecast, observed = means
    base = seen.mean()
    off = chance_ratio - forecast
    return Decomposition(
        reliability=float(np.mean((forecast - observed) ** 2)),
        resolution=float(np.mean((observed - base) ** 2)),
        uncertainty=float(base * (1.0 - base)),
        within_variance=float(np.mean(off**2)),
        within_covariance=float(2.0 * np.mean(off * (seen - observed))),
    )
