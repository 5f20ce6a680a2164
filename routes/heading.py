"""Heading of the road: clockwise from true north, in the direction of travel."""

import numpy as np

from shared.arrays import Array

__all__ = ["heading_deg", "turned_deg"]


def heading_deg(east_ratio: Array, north_ratio: Array) -> Array:
    """Direction of a slope (x', y'): atan2(x', y') in [0, 360). Shapes: (station). Source: geometry."""
    return np.asarray(np.degrees(np.arctan2(east_ratio, north_ratio)) % 360.0)


def turned_deg(heading_deg: Array) -> float:
    """Angle turned from the first to the last station, left positive; each step is taken the short way round.

    Shapes: (station). Source: geometry.
    """
    step_deg = (np.diff(heading_deg) + 180.0) % 360.0 - 180.0
    return float(-np.sum(step_deg))
