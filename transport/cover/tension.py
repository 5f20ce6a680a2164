"""The measured tension that each limit state needs at a given gust."""

from dataclasses import replace

import numpy as np

from shared.arrays import Array
from transport.cover.situation import Situation
from transport.cover.states import LIMIT_STATES

__all__ = ["tension_needed_kN_per_m"]

GRID_KN_PER_M = np.arange(1, 101) / 10.0


def tension_needed_kN_per_m(
    cover: Situation, *, thermal_loss_N_per_m: float, vertical_mps2: float, gusts_mps: Array
) -> Array:
    """Least measured tension, to the next 0.1 kN/m, for each state and gust; shape (state, gust).

    0 where any tension will do, infinite where none up to 10 kN/m helps, NaN where it is unknown.
    Source: the limit states at a row of tensions (practice)
    """
    grid = GRID_KN_PER_M[thermal_loss_N_per_m < GRID_KN_PER_M * 1000.0]
    tried = replace(cover, tension_low_N_per_m=grid * 1000.0 - thermal_loss_N_per_m)
    shaken = np.asarray(vertical_mps2)
    return np.array([_least(state.gust_mps(tried, shaken), grid, gusts_mps) for state in LIMIT_STATES])


def _least(limit_mps: Array, grid_kN_per_m: Array, gusts_mps: Array) -> Array:
    limit = np.broadcast_to(limit_mps, grid_kN_per_m.shape)
    bears = gusts_mps[:, None] <= limit
    needed = np.where(bears.any(axis=1), grid_kN_per_m[bears.argmax(axis=1)], np.inf)
    needed = np.where(bears[:, 0], 0.0, needed)
    return np.where(np.isnan(limit).any(), np.nan, needed)
