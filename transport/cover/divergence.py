"""Static instability of the cover: a round membrane over still air, or a sail when the wind gets under it."""

import numpy as np

from shared.arrays import Array
from shared.tables import figure

__all__ = ["circle_speed_mps", "local_speed_ratio", "sail_speed_mps"]


def local_speed_ratio(external_ratio: float) -> float:
    """Wind just above the cover over the free wind: u / U = sqrt(1 - cpe), for cpe up to 0.

    Source: Bernoulli outside the separation bubble (practice)
    """
    return float(np.sqrt(1.0 - external_ratio))


def circle_speed_mps(
    tension_N_per_m: float | Array, radius_m: float, air_density_kg_per_m3: float, speed_ratio: float
) -> Array:
    """Divergence speed over a closed, vented underside: U = sqrt(lambda T / (rho R)) / (u / U).

    All of the rim held, still air below. Vents let the mean pressure even out: the sealed number is not used.
    Source: figures.csv, cover_circle_divergence_ratio (own)
    """
    number = figure("cover_circle_divergence_ratio")
    return np.asarray(np.sqrt(number * np.asarray(tension_N_per_m) / (air_density_kg_per_m3 * radius_m)) / speed_ratio)


def sail_speed_mps(tension_N_per_m: float | Array, chord_m: float, air_density_kg_per_m3: float) -> Array:
    """Divergence speed with wind on both sides: U = sqrt(lambda T / (rho c)); c = 2R for a round cover.

    Source: Thwaites 1961, Nielsen 1963, flexible sail (memory)
    """
    number = figure("cover_sail_divergence_ratio")
    return np.asarray(np.sqrt(number * np.asarray(tension_N_per_m) / (air_density_kg_per_m3 * chord_m)))
