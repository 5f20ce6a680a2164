"""Hydraulic groups: which bogies share a pressure, and where the one support they make stands."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from shared.arrays import Array

__all__ = ["bogie_count", "centroids_m", "halved_groupings", "membership"]


def membership(lines: Sequence[Sequence[int]], sides: Sequence[str], line_count: int) -> Array:
    """1 where a group feeds a bogie, else 0.

    Shapes: result (group, line, 2), the last axis left, right; lines are counted from the rear, 1 first.
    Source: all cylinders of a group share one pressure (statics).
    """
    member_count = np.zeros((len(lines), line_count, 2))
    for number, (own, side) in enumerate(zip(lines, sides, strict=True)):
        rows = np.asarray(own, dtype=int) - 1
        columns = {"left": [0], "right": [1], "both": [0, 1]}[side]
        member_count[number, rows[:, None], columns] = 1.0
    return member_count


def bogie_count(member_count: Array) -> Array:
    """Number of bogies of each group.

    Shapes: member_count (group, line, 2), result (group).
    Source: counting.
    """
    return np.asarray(member_count.sum(axis=(1, 2)))


def centroids_m(member_count: Array, line_x_m: ArrayLike, bogie_y_m: float) -> Array:
    """Plan position of the support that each group makes: mean of its bogie pivots, not of its tyres.

    x_g = mean(x_i), y_g = mean(y_i). Shapes: member_count (group, line, 2), line_x (line), result (group, 2) in m.
    Validity: equal cylinders. Source: statics of equal pressures (practice).
    """
    x_m = np.broadcast_to(np.asarray(line_x_m, dtype=float)[:, None], member_count.shape[1:])
    y_m = np.broadcast_to(np.array([bogie_y_m, -bogie_y_m]), member_count.shape[1:])
    pivots = np.stack([x_m, y_m], axis=-1)
    sums: Array = np.einsum("gls,lsc->gc", member_count, pivots)
    return sums / bogie_count(member_count)[:, None]


def halved_groupings(line_count: int) -> dict[str, Array]:
    """The three usual groupings of lines cut in the middle, to compare with the declared one.

    Shapes: each (group, line, 2). An odd middle line belongs to the front half.
    Source: grouping of platform trailers (practice).
    """
    rear, front = range(1, line_count // 2 + 1), range(line_count // 2 + 1, line_count + 1)
    plans: dict[str, tuple[Sequence[Sequence[int]], Sequence[str]]] = {
        "four groups, lines halved": ((front, front, rear, rear), ("left", "right", "left", "right")),
        "three groups, single in front": ((front, rear, rear), ("both", "left", "right")),
        "three groups, single at the rear": ((front, front, rear), ("left", "right", "both")),
    }
    return {name: membership(lines, sides, line_count) for name, (lines, sides) in plans.items()}
