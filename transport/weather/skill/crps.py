"""Continuous ranked probability score: how far a forecast distribution lies from what was observed, in m/s.

CRPS(F, y) = integral of (F(x) - 1[x >= y])^2 dx; 0 is perfect, and for one member it is the absolute error.
Unknown in, unknown out: a NaN among the members or in the observation gives NaN, never a score without them.
"""

import numpy as np
from scipy.special import ndtr

from shared.arrays import Array
from shared.ranges import require

__all__ = ["crps_energy_mps", "crps_fair_mps", "crps_normal_mps", "crps_truncated_mps"]

LEAST_STANDARD_RATIO = -20.0


def crps_energy_mps(members_mps: Array, observed_mps: Array) -> Array:
    """CRPS of the step function of the members, estimator "energy" (NRG): the score of the ensemble as it is issued.

    CRPS = 1/m sum |x_i - y| - 1/(2 m^2) sum sum |x_i - x_j|.      Shapes: (..., m) and (...) to (...).
    Source: Gneiting and Raftery 2007, J. Am. Stat. Assoc. 102, eq. 21 (memory).
    """
    count = members_mps.shape[-1]
    return np.asarray(_mean_distance_mps(members_mps, observed_mps) - _pair_sum_mps(members_mps) / (2.0 * count**2))


def crps_fair_mps(members_mps: Array, observed_mps: Array) -> Array:
    """CRPS that an ensemble of any size would get in the mean, estimator "fair"; NaN for one member.

    CRPS = 1/m sum |x_i - y| - 1/(2 m (m - 1)) sum sum |x_i - x_j|.      Shapes: (..., m) and (...) to (...).
    Source: Ferro, Richardson and Weigel 2008, Meteorol. Appl. 15 (memory).
    """
    count = members_mps.shape[-1]
    if count < 2:
        return np.full(np.shape(observed_mps), np.nan)
    pairs_count = 2.0 * count * (count - 1)
    return np.asarray(_mean_distance_mps(members_mps, observed_mps) - _pair_sum_mps(members_mps) / pairs_count)


def crps_normal_mps(location_mps: Array, scale_mps: Array, observed_mps: Array) -> Array:
    """CRPS of a normal distribution.

    CRPS = s {z [2 Phi(z) - 1] + 2 phi(z) - 1 / sqrt(pi)}, z = (y - mu) / s.      Valid: s > 0.
    Errors: OutOfRangeError for a scale that is not above 0.
    Source: Gneiting et al. 2005, Mon. Wea. Rev. 133, eq. 5 (memory).
    """
    _known_within(scale_mps, np.finfo(float).tiny, np.inf, "scale_mps")
    z = (observed_mps - location_mps) / scale_mps
    return np.asarray(scale_mps * (z * (2.0 * ndtr(z) - 1.0) + 2.0 * _density(z) - 1.0 / np.sqrt(np.pi)))


def crps_truncated_mps(location_mps: Array, scale_mps: Array, observed_mps: Array) -> Array:
    """CRPS of a normal distribution cut off at 0, which is how a wind speed is spread.

    CRPS = s/p^2 {z p [p - 2 Phi(-z)] + 2 phi(z) p - Phi(sqrt(2) mu / s) / sqrt(pi)}, p = Phi(mu / s), z = (y - mu) / s.
    Written with the tails, so that it stays exact where the location lies far below 0.
    Valid: s > 0, y >= 0, mu / s >= -20.
    Errors: OutOfRangeError that names the range; NaN stays NaN.
    Source: Thorarinsdottir and Gneiting 2010, J. R. Stat. Soc. A 173, sec. 3 (memory); the tests integrate it.
    """
    _known_within(scale_mps, np.finfo(float).tiny, np.inf, "scale_mps")
    _known_within(observed_mps, 0.0, np.inf, "observed_mps")
    standard = np.asarray(location_mps / scale_mps, dtype=float)
    _known_within(standard, LEAST_STANDARD_RATIO, np.inf, "location over scale")
    share, z = ndtr(standard), (observed_mps - location_mps) / scale_mps
    near = z * share * (share - 2.0 * ndtr(-z)) + 2.0 * _density(z) * share
    return np.asarray(scale_mps / share**2 * (near - ndtr(np.sqrt(2.0) * standard) / np.sqrt(np.pi)))


def _mean_distance_mps(members_mps: Array, observed_mps: Array) -> Array:
    return np.asarray(np.abs(members_mps - np.asarray(observed_mps)[..., None]).mean(axis=-1))


def _pair_sum_mps(members_mps: Array) -> Array:
    """Sum over all pairs of |x_i - x_j|, from the sorted members: 2 sum (2 i - m - 1) x_(i)."""
    count = members_mps.shape[-1]
    weights = 2.0 * np.arange(1, count + 1) - count - 1.0
    return np.asarray(2.0 * (np.sort(members_mps, axis=-1) * weights).sum(axis=-1))


def _density(z: Array) -> Array:
    return np.asarray(np.exp(-0.5 * z**2) / np.sqrt(2.0 * np.pi))


def _known_within(value: Array, low: float, high: float, name: str) -> None:
    known = np.asarray(value, dtype=float)
    require(known[~np.isnan(known)], low, high, name=name, what="the range of the CRPS in closed form")
