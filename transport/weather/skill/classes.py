"""Classes of cases: how far ahead, from which direction, and which of them belong to one storm."""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from shared.arrays import Array

__all__ = ["SECTORS", "UNKNOWN_SECTOR", "lead_class", "lead_names", "sector", "spell"]

SECTORS = ("N", "NE", "E", "SE", "S", "SW", "W", "NW")
UNKNOWN_SECTOR = "not known"
Index = NDArray[np.intp]


def lead_names(edges_h: Sequence[float]) -> tuple[str, ...]:
    """Names of the lead classes: those between the edges, then the leads outside."""
    return (*(f"{low:g}-{high:g} h" for low, high in pairwise(edges_h)), "other leads")


def lead_class(lead_h: Array, edges_h: Sequence[float]) -> Index:
    """Number of the class of each lead: above its lower edge up to and with its upper; the first holds its lower too.

    A lead outside every class belongs to the last, "other leads".
    """
    edges = np.asarray(edges_h)
    index = np.searchsorted(edges, lead_h, side="left") - 1
    index = np.where(lead_h == edges[0], 0, index)
    outside = (index < 0) | (index >= edges.size - 1)
    return np.where(outside, edges.size - 1, index).astype(np.intp)


def sector(wind_from_deg: Array) -> Index:
    """Number of the sector, 45 degrees wide and centred on its name; an unknown direction has a sector of its own."""
    known = np.isfinite(wind_from_deg)
    turned = (np.where(known, wind_from_deg, 0.0) + 22.5) % 360.0 / 45.0
    return np.where(known, np.minimum(turned.astype(np.intp), len(SECTORS) - 1), len(SECTORS)).astype(np.intp)


def spell(time: NDArray[np.datetime64], gap_h: float) -> Index:
    """Number of the spell that each time belongs to: a spell ends where nothing follows for longer than the gap.

    Cases of one spell, from whatever run, are one piece of weather and prove as much as one case.
    """
    if not time.size:
        return np.empty(0, dtype=np.intp)
    stamps, place = np.unique(time, return_inverse=True)
    gaps_h = np.diff(stamps) / np.timedelta64(1, "s") / 3600.0
    numbers: Index = np.concatenate([[0], np.cumsum(gaps_h > gap_h)]).astype(np.intp)
    return numbers[place]
