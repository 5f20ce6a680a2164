"""Sliding: the balances of EN 12195-1 in any direction of the deck (model A)."""

import numpy as np

from shared.arrays import Array

__all__ = ["blocking_force_kN", "direct_lashing_force_kN", "resistance_kN", "top_over_count"]


def blocking_force_kN(weight_kN: float, acceleration_ratio: float, friction_ratio: float) -> float:
    """Force that a stop must bear when friction and the stop alone hold the load.

    BC = (c - mu) m g; weight in kN, ratios of g; level deck, c_z = 1.
    Source: EN 12195-1:2010, 5.3 (memory).
    """
    return float((acceleration_ratio - friction_ratio) * weight_kN)


def direct_lashing_force_kN(
    weight_kN: float, acceleration_ratio: float, friction_ratio: float, horizontal_ratio: Array, vertical_ratio: Array
) -> float:
    """Equal force in each direct lashing that holds the load against sliding.

    FR = m g (c - f_mu mu) / sum(h + f_mu mu v); h, v (n,) of the lashings that resist; friction is f_mu mu already.
    Source: EN 12195-1:2010, 5.5 (memory).
    """
    efficiency_ratio = np.sum(horizontal_ratio + friction_ratio * vertical_ratio)
    return float(weight_kN * (acceleration_ratio - friction_ratio) / efficiency_ratio)


def top_over_count(
    weight_kN: float,
    excess_ratio: float,
    friction_ratio: float,
    vertical_ratio: float,
    tension_kN: float,
    safety_ratio: float,
) -> float:
    """Number of top-over lashings, two legs each, that hold the load against sliding; round it up.

    n = (c - mu) m g f_s / (2 mu sin(alpha) FT); excess = c - mu, vertical = sin(alpha), FT = STF <= 0.5 LC.
    Source: EN 12195-1:2010, 5.4 (memory).
    """
    return float(excess_ratio * weight_kN * safety_ratio / (2.0 * friction_ratio * vertical_ratio * tension_kN))


def resistance_kN(
    tension_kN: Array,
    horizontal_ratio: Array,
    vertical_ratio: Array,
    friction_ratio: float,
    carried_kN: Array,
    blocked_kN: Array,
) -> Array:
    """Horizontal force that chains, friction and stops hold in each direction.

    R = sum(F (h + mu v)) + mu N + BC; F and h (..., n) with F = 0 for chains not counted, v (n,), N what the pads carry
    without the chains, BC what the stops bear in the direction.
    Source: EN 12195-1:2010, 5.3 and 5.5, eq. (6) for any direction (memory).
    """
    chains_kN = np.sum(tension_kN * (horizontal_ratio + friction_ratio * vertical_ratio), axis=-1)
    return np.asarray(chains_kN + friction_ratio * carried_kN + blocked_kN, dtype=float)
