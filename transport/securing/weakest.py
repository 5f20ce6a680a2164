"""The weakest part of a lashing line: chain, edge, tensioner, shackle or lashing point."""

import numpy as np
from numpy.typing import NDArray

from shared.arrays import Array
from transport.securing.anchors import shared_rating_kN

__all__ = ["PARTS", "weakest_part"]

PARTS = ("LC of the chain", "edge", "shackle", "tensioner", "anchor", "shared anchor")


def weakest_part(
    lc_kN: Array,
    edge_ratio: Array,
    shackle_kN: Array,
    tensioner_kN: Array,
    anchor_kN: Array,
    group: NDArray[np.intp],
) -> tuple[Array, tuple[str, ...]]:
    """What each lashing line may carry, undivided, and the name of the part that governs.

    F = min(LC, k_e LC, shackle, tensioner, R, R_shared); forces and results (n,) in kN, edge share k_e, groups of
    chains on one lashing point. A part that is not rated apart is infinite; one that is unknown makes the line unknown
    and is named. Of equal parts the first is named.
    Source: CSS Code annex 13, section 4, weakest part governs (read).
    """
    shared_kN = shared_rating_kN(anchor_kN, group)
    part_kN = np.stack([lc_kN, edge_ratio * lc_kN, shackle_kN, tensioner_kN, anchor_kN, shared_kN])
    governing = np.argmin(part_kN, axis=0)
    return np.asarray(np.min(part_kN, axis=0), dtype=float), tuple(PARTS[row] for row in governing)
