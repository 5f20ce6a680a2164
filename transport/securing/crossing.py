"""Whether the straight run of a chain crosses the unit instead of leaving it on its own side."""

import numpy as np

from shared.arrays import Array
from shared.tables import figure
from transport.securing.tipping import outline_m

__all__ = ["crossing_height_m"]


def crossing_height_m(on_load_m: Array, on_deck_m: Array, pad_m: Array) -> float:
    """Height at which a chain crosses the middle of the unit, infinite if it leaves on its own side.

    The run A to B leaves the outline of the pads over one edge. It crosses the unit if A, or where it comes in, lies
    behind that edge by more than securing_far_side_ratio times what the middle does. Points (3,), pads
    (p, 3), result in m above the deck.
    Source: geometry; that ratio lets a chain begin near the middle, common practice, no source (practice).
    """
    edge_m, outward = outline_m(pad_m)
    start_m, end_m, middle_m = (
        np.einsum("ei,ei->e", outward, point_m[:2] - edge_m[:, :2])
        for point_m in (on_load_m, on_deck_m, edge_m.mean(axis=0))
    )
    along = np.divide(-start_m, end_m - start_m, out=np.full_like(start_m, np.nan), where=end_m != start_m)
    inwards = (start_m > 0.0) & (end_m < start_m)
    outside = (start_m > 0.0) & (end_m >= 0.0)
    leaving = (start_m <= 0.0) & (end_m > 0.0)
    enters = float(np.max(along[inwards], initial=0.0))
    if outside.any() or not leaving.any() or not float(np.min(along[leaving])) > enters:
        return np.inf
    edge = int(np.flatnonzero(leaving)[np.argmin(along[leaving])])
    begins_m = start_m[edge] + enters * (end_m[edge] - start_m[edge])
    if not begins_m < figure("securing_far_side_ratio") * middle_m[edge]:
        return np.inf
    share = (middle_m[edge] - start_m[edge]) / (end_m[edge] - start_m[edge])
    return float(on_load_m[2] + share * (on_deck_m[2] - on_load_m[2]))
