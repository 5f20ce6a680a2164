"""What a chain keeps of its capacity where it runs over an edge."""

import numpy as np

from shared.arrays import Array
from shared.tables import published

__all__ = ["capacity_ratio"]


def capacity_ratio(radius_m: Array, size_m: Array) -> Array:
    """Share of LC that a chain keeps over an edge.

    By rows of the table chain_edge over R / d: the last beyond its own ratio, the middle one from its own up to that,
    the first below; radius R and link diameter d in m, (n,); no edge: infinite R.
    Unknown stays unknown. For short link chain; long link chain never runs over an edge.
    Source: EN 818-6:2000, chain over edges (memory).
    """
    table = published("chain_edge")
    sharp, blunt, round_ = table.numbers("capacity_ratio")
    _, from_ratio, beyond_ratio = table.numbers("radius_over_diameter_ratio")
    over_ratio = radius_m / size_m
    kept = np.where(over_ratio > beyond_ratio, round_, np.where(over_ratio >= from_ratio, blunt, sharp))
    return np.asarray(np.where(np.isnan(over_ratio), np.nan, kept), dtype=float)
