"""The box of the road, so that a reader need not take a whole continent into memory."""

from typing import NamedTuple

import numpy as np

from shared.arrays import Array

__all__ = ["Box", "box_of", "box_text"]


class Box(NamedTuple):
    """Least box that holds every station of the road, WGS 84, longitude from -180 to 180.

    Readers take two grid cells more on every side, and everything where the axes of a file are not plain.
    """

    west_deg: float
    east_deg: float
    south_deg: float
    north_deg: float


def box_of(longitude_deg: Array, latitude_deg: Array) -> Box | None:
    """The box of a road; None, which means the whole world, if a place is unknown or the road crosses 180 degrees.

    Source: definition.
    """
    sides = longitude_deg.min(), longitude_deg.max(), latitude_deg.min(), latitude_deg.max()
    box = Box(*map(float, sides))
    if not np.isfinite(box).all() or box.east_deg - box.west_deg > 180.0:
        return None
    return box


def box_text(box: Box | None) -> str:
    """The box as an argument of a reading script: west,east,south,north, or all."""
    return "all" if box is None else ",".join(map(repr, box))
