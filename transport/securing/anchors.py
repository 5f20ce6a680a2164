"""Lashing points on the deck: which chains hang on the same one, and what each of them may count on."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.sparse.csgraph import connected_components

from shared.arrays import Array

__all__ = ["grouped", "shared_rating_kN"]


def grouped(on_deck_m: Array, anchor: Sequence[str | None], apart_m: float) -> NDArray[np.intp]:
    """The first row of the lashing point on which each chain hangs.

    Two chains share a point when they name the same anchor or meet the deck no more than apart from each other, and so
    do all that share with one of them; points (n, 3) in m, result (n,). A point that is not known shares with nobody.
    Source: geometry (read).
    """
    gap_m = np.linalg.norm(on_deck_m[:, None, :] - on_deck_m[None, :, :], axis=-1)
    named = np.array([[left is not None and left == right for right in anchor] for left in anchor], dtype=bool)
    _, label = connected_components((gap_m <= apart_m) | named.reshape(gap_m.shape), directed=False)
    _, first, back = np.unique(label, return_index=True, return_inverse=True)
    return np.asarray(first[back], dtype=np.intp)


def shared_rating_kN(rating_kN: Array, group: NDArray[np.intp]) -> Array:
    """What each chain may pull at its lashing point, however hard the others on it pull.

    F_i = min(R) / n over the n chains of one point; ratings (n,) in kN, groups as from `grouped`, result (n,).
    Then sum F_i <= min(R), and the point is pulled by no more than that in any direction, for |sum u_i T_i| <= sum T_i.
    It lies inside the truth: chains that never pull together, or not along one line, would leave the point more.
    Source: statics, triangle inequality (read).
    """
    least_kN = np.array([np.min(rating_kN[group == row]) for row in group])
    count = np.array([np.count_nonzero(group == row) for row in group])
    return np.asarray(least_kN / count, dtype=float)
