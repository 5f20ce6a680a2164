"""Straight paths of actions under a growing wind, and where they leave the facets of a polytope.

All is seen in one quadrant, mirrored so that both pushes are positive in it. A path counts where it lies in its
quadrant: elsewhere another one, further out along both axes, counts.
"""

from dataclasses import dataclass, replace
from typing import Self

import numpy as np
from numpy.typing import NDArray

from shared.arrays import Array
from transport.load_cases.envelope import Rows

__all__ = ["Quadrant", "Winds", "lines", "lower"]

EDGE_RATIO = 1e-9
ROUNDING = 1e-12


@dataclass(frozen=True)
class Quadrant:
    """Use of a unit push in the sectors from the first axis to the second, (f, k, 2), over vertical factors (f,)."""

    vertical_ratio: Array
    push_per_kN: Array


@dataclass(frozen=True)
class Winds:
    """What each kPa of wind adds to the push at a station (r,): push (2, r), use of its moments (f, r) at each factor.

    The wind takes lift_ratio from the vertical factor with each kPa.
    """

    station: Rows
    wind_m2: Array
    turning_per_kPa: Array
    lift_ratio: float

    def part(self, rows: Rows) -> Self:
        """Some of the rows."""
        wind_m2, turning_per_kPa = (values.take(rows, axis=1) for values in (self.wind_m2, self.turning_per_kPa))
        return replace(self, station=self.station[rows], wind_m2=wind_m2, turning_per_kPa=turning_per_kPa)


def lines(count: int) -> Array:
    """Unit vectors of the fan, exactly 0 and 1 along the axes, (count, 2).

    e = (cos psi, sin psi).
    Source: geometry (read).
    """
    angle_rad = 2.0 * np.pi * np.arange(count) / count
    return np.round(np.stack([np.cos(angle_rad), np.sin(angle_rad)], axis=-1), 15)


def lower(least_kPa: Array, quadrant: Quadrant, pushes: Array, rows: Rows, winds: Winds) -> None:
    """Lower the least pressures in place to where any of the pushes (3, p, n) leaves in this quadrant.

    Pushes ahead and to the left in kN and the vertical factor. All together are seen as the one that is further out
    than each; where that one may leave, either half of them is seen alone.
    """
    outer = np.stack([np.max(pushes[0], axis=0), np.max(pushes[1], axis=0), np.min(pushes[2], axis=0)])
    may_leave = np.flatnonzero(~_holds(quadrant, outer, winds, least_kPa[rows]))
    if len(may_leave) == 0:
        return
    rows, winds = rows[may_leave], winds.part(may_leave)
    if (count := pushes.shape[1]) == 1:
        least_kPa[rows] = _first_exit(quadrant, outer, winds, least_kPa[rows])
        return
    for half in (pushes[:, : count // 2], pushes[:, count // 2 :]):
        lower(least_kPa, quadrant, half, rows, winds)


def _first_exit(quadrant: Quadrant, push: Array, winds: Winds, highest_kPa: Array) -> Array:
    """Least pressure at which a push (3, n) leaves in this quadrant, or the highest that was asked for; (r,)."""
    least_kPa, factor = highest_kPa.copy(), push[2].take(winds.station)
    for cell in reversed(range(len(quadrant.vertical_ratio) - 1)):
        low, high = quadrant.vertical_ratio[cell : cell + 2]
        reached = (factor >= low - EDGE_RATIO) & (factor - winds.lift_ratio * least_kPa <= high + EDGE_RATIO)
        if reached.all():
            least_kPa = np.minimum(least_kPa, _in_cell(quadrant, push, winds, cell))
        elif reached.any():
            rows = np.flatnonzero(reached)
            least_kPa[rows] = np.minimum(least_kPa[rows], _in_cell(quadrant, push, winds.part(rows), cell))
    return least_kPa


def _holds(quadrant: Quadrant, push: Array, winds: Winds, pressure_kPa: Array) -> NDArray[np.bool_]:
    """Whether nothing of a path up to a pressure can leave, by the corner that is further out than all of it; (r,).

    H_0 + q max(w_1, 0), c_0 - q L / W, q |M_1|: in the quadrant no push on the path is larger along either axis.
    """
    ahead_kN, left_kN, factor = push.take(winds.station, axis=1)
    ahead_kN += pressure_kPa * np.maximum(winds.wind_m2[0], 0.0)
    left_kN += pressure_kPa * np.maximum(winds.wind_m2[1], 0.0)
    factor -= pressure_kPa * winds.lift_ratio
    nodes, count = quadrant.vertical_ratio, quadrant.push_per_kN.shape[1]
    node = sum((factor >= level for level in nodes[1:-1]), np.zeros(len(factor), dtype=np.intp))
    sector = sum(
        (left_kN * cosine > ahead_kN * sine for cosine, sine in lines(4 * count)[1:count]),
        np.zeros(len(factor), dtype=np.intp),
    )
    share = (factor - nodes[node]) / np.diff(nodes)[node]
    ahead_use, left_use = (table.ravel() for table in np.moveaxis(quadrant.push_per_kN, -1, 0))
    place, column = node * count + sector, node * len(factor) + np.arange(len(factor))
    use = ahead_kN * _along(ahead_use, place, count, share) + left_kN * _along(left_use, place, count, share)
    use += pressure_kPa * _along(winds.turning_per_kPa.ravel(), column, len(factor), share)
    inside = (use <= 1.0 + EDGE_RATIO) & (share > -EDGE_RATIO) & (share < 1.0 + EDGE_RATIO)
    return np.asarray(inside | (ahead_kN < 0.0) | (left_kN < 0.0), dtype=bool)


def _along(table: Array, place: Rows, step_count: int, share: Array) -> Array:
    low = table.take(place)
    return np.asarray(low + share * (table.take(place + step_count) - low), dtype=float)


def _in_cell(quadrant: Quadrant, push: Array, winds: Winds, cell: int) -> Array:
    """Least pressure at which a path leaves between two vertical factors, infinite if it does not; (r,)."""
    low, high = quadrant.vertical_ratio[cell : cell + 2]
    facet, more = quadrant.push_per_kN[cell], quadrant.push_per_kN[cell + 1] - quadrant.push_per_kN[cell]
    turning = winds.turning_per_kPa[cell]
    turning_more = winds.turning_per_kPa[cell + 1] - turning
    push_kN, factor = push[:2].take(winds.station, axis=1), push[2].take(winds.station)
    share, step = (factor - low) / (high - low), winds.lift_ratio / (high - low)
    still_more, climb_more = more @ push_kN, more @ winds.wind_m2 + turning_more
    left = 1.0 - facet @ push_kN - share * still_more
    left = np.where(np.abs(left) < ROUNDING, ROUNDING, left)
    climb = facet @ winds.wind_m2 + turning + share * climb_more - step * still_more
    pressure_kPa = 2.0 * left / (climb + np.sqrt(climb * climb - 4.0 * step * climb_more * left))
    across = lines(4 * len(facet))[: len(facet) + 1, ::-1] * (-1.0, 1.0)
    place_kN, aside_m2 = across @ push_kN, across @ winds.wind_m2
    edge_kN = EDGE_RATIO * (np.abs(push_kN).sum(axis=0) + 1.0)
    met = (pressure_kPa >= 0.0) & (place_kN[:-1] + pressure_kPa * aside_m2[:-1] >= -edge_kN)
    met &= place_kN[1:] + pressure_kPa * aside_m2[1:] <= edge_kN
    there = factor - winds.lift_ratio * pressure_kPa
    met &= (there >= low - EDGE_RATIO) & (there <= high + EDGE_RATIO)
    return np.asarray(np.min(np.where(met, pressure_kPa, np.inf), axis=0), dtype=float)
