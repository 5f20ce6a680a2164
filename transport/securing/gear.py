"""The gear of each lashing line as arrays: what the line carries, what governs it, on which lashing point it hangs."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from shared.arrays import Array
from shared.tables import figure
from transport.securing.anchors import grouped
from transport.securing.inputs import Chain
from transport.securing.weakest import weakest_part

__all__ = ["Gear", "gear_of"]


class Gear(NamedTuple):
    """One row a chain, (n,).

    capacity_kN: the weakest part, undivided; weakest: its name; pretension_kN: STF, at most the capacity, 0 where none
    is given; anchor: the first row of the lashing point on which the chain hangs.
    """

    capacity_kN: Array
    weakest: tuple[str, ...]
    pretension_kN: Array
    anchor: NDArray[np.intp]


def gear_of(chains: Sequence[Chain]) -> Gear:
    """Capacity, weakest part, pretension and lashing point of every chain.

    A shackle or tensioner that is not rated apart does not govern; the remarks say so.
    Source: weakest.weakest_part, CSS Code annex 13, section 4 (read).
    """
    on_deck_m = np.array([chain.on_deck_m for chain in chains])
    group = grouped(on_deck_m, [chain.anchor for chain in chains], figure("securing_same_point_m"))
    capacity_kN, weakest = weakest_part(
        np.array([chain.lc_kN for chain in chains]),
        np.array([chain.edge_ratio for chain in chains]),
        _rated_kN([chain.shackle_rating_kN for chain in chains]),
        _rated_kN([chain.tensioner_rating_kN for chain in chains]),
        np.array([chain.anchor_rating_kN for chain in chains]),
        group,
    )
    stf_kN = np.array([chain.stf_kN or 0.0 for chain in chains])
    return Gear(capacity_kN, weakest, np.minimum(stf_kN, capacity_kN), group)


def _rated_kN(ratings_kN: Sequence[float | None]) -> Array:
    return np.array([np.inf if rating_kN is None else rating_kN for rating_kN in ratings_kN])
