"""Envelope of what the securing holds, and the first gust at which actions leave it.

The resistance at the fan of directions spans a polygon in the plane of the pushes, for each of a few vertical factors.
What the securing holds is a convex set, so straight lines between known points of it stay inside: between directions,
between vertical factors, and between a push and a pure moment. Each such line takes too little, never too much.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Self

import numpy as np
from numpy.typing import NDArray

from shared.arrays import Array

__all__ = [
    "CLOSED",
    "Demand",
    "Envelope",
    "Rows",
    "between",
    "first_crossing",
    "push_use_ratio",
    "rising",
    "use_ratio",
    "without_favour",
]

Rows = NDArray[np.intp]
HALVINGS_COUNT = 13
CLOSED = -1e30


@dataclass(frozen=True)
class Envelope:
    """Resistance over vertical factors (f) and directions (d): force (f, d), pure moment about x, y, z (f, 3).

    spent_ratio (f,): the part of the moment that is taken up beforehand, by an earthquake; none if absent.
    """

    vertical_ratio: Array
    force_kN: Array
    moment_kNm: Array
    weight_kN: float
    spent_ratio: Array | None = None


@dataclass(frozen=True)
class Demand:
    """Actions at the centre of mass in still air, and what each kPa of wind adds, one row a place and direction (p,).

    arm_m: how far the wind's centre may lie from the centre of mass along x, y, z, (3,).
    """

    ahead_kN: Array
    left_kN: Array
    carried_kN: Array
    wind_ahead_m2: Array
    wind_left_m2: Array
    lift_m2: float
    arm_m: Array

    def part(self, rows: Rows) -> Self:
        """Some of the rows."""
        names = ("ahead_kN", "left_kN", "carried_kN", "wind_ahead_m2", "wind_left_m2")
        return replace(self, **{name: getattr(self, name)[rows] for name in names})


def rising(envelope: Envelope) -> Envelope:
    """The envelope cut so that less weight on the pads never holds more.

    min(R(c), R(c_max)), so that the lowest vertical factor of an action governs; concave as before.
    Source: the least over a range of a concave function lies at its ends (read).
    """
    return replace(
        envelope,
        force_kN=np.minimum(envelope.force_kN, envelope.force_kN[-1]),
        moment_kNm=np.minimum(envelope.moment_kNm, envelope.moment_kNm[-1]),
    )


def without_favour(envelope: Envelope) -> Envelope:
    """The envelope cut so that a push that is smaller along both axes never uses more.

    R_k' = min over j of the same quadrant of max(|R_j cos psi_j / cos psi_k|, |R_j sin psi_j / sin psi_k|): the largest
    push whose whole rectangle down to no push stays inside. Without it a harder stop could turn the push away from
    a weak direction and so allow more wind.
    Source: favourable actions are not counted, EN 1990:2002, 6.4.2 (memory).
    """
    angle_rad = 2.0 * np.pi * np.arange(envelope.force_kN.shape[1]) / envelope.force_kN.shape[1]
    along, aside = np.round(np.cos(angle_rad), 12), np.round(np.sin(angle_rad), 12)
    beside = (np.outer(along, along) >= 0.0) & (np.outer(aside, aside) >= 0.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        reach = np.fmax(np.abs(along / along[:, None]), np.abs(aside / aside[:, None]))
    reach = np.where(beside, reach, np.inf)
    held_kN = np.maximum(envelope.force_kN, 0.0)[:, None, :]
    least_kN = np.min(np.where(np.isinf(reach), np.inf, held_kN * np.where(np.isinf(reach), 1.0, reach)), axis=-1)
    force_kN = np.where(np.isnan(envelope.force_kN), np.nan, np.where(least_kN > 0.0, least_kN, CLOSED))
    return replace(envelope, force_kN=force_kN)


def push_use_ratio(envelope: Envelope, ahead_kN: Array, left_kN: Array, vertical_ratio: Array) -> Array:
    """How much of the resistance a push uses: 1 on the edge of the polygon.

    H = a e_k + b e_(k+1), use = a / R_k + b / R_(k+1), R linear between vertical factors. Any shape.
    Below the lowest or above the highest vertical factor nothing is held: infinite. NaN stays NaN.
    Source: convexity of the wrenches that can be held (read).
    """
    round_kN = np.concatenate([envelope.force_kN, envelope.force_kN[:, :1]], axis=1)
    count = envelope.force_kN.shape[1]
    turn_rad = 2.0 * np.pi * np.arange(count + 1) / count
    part, row, weight = between(envelope.vertical_ratio, vertical_ratio)
    sector = np.floor(np.nan_to_num(np.arctan2(left_kN, ahead_kN)) / turn_rad[1]).astype(np.intp)
    sector = np.where(sector < 0, sector + count, np.minimum(sector, count - 1))
    cosine, sine = np.cos(turn_rad), np.sin(turn_rad)
    first_part = ahead_kN * sine.take(sector + 1) - left_kN * cosine.take(sector + 1)
    second_part = left_kN * cosine.take(sector) - ahead_kN * sine.take(sector)
    first_kN, second_kN = _at(round_kN, row, sector, weight), _at(round_kN, row, sector + 1, weight)
    with np.errstate(divide="ignore", invalid="ignore"):
        use = (first_part / first_kN + second_part / second_kN) / sine[1]
    held = part & (first_kN > 0.0) & (second_kN > 0.0)
    return np.where(held | np.isnan(ahead_kN + left_kN + vertical_ratio), use, np.inf)


def use_ratio(envelope: Envelope, demand: Demand, pressure_kPa: Array) -> Array:
    """How much of the envelope the demand uses under a wind pressure; (p,).

    Use of the push, plus |M_x| / m_x + |M_y| / m_y + |M_z| / m_z of the wind about the centre of mass, where m is what
    is left of the moment of the pads, (1 - spent) m.
    Source: gauge of a convex set is subadditive (read).
    """
    ahead_kN = pressure_kPa * demand.wind_ahead_m2
    left_kN = pressure_kPa * demand.wind_left_m2
    lift_kN = pressure_kPa * demand.lift_m2
    vertical_ratio = (demand.carried_kN - lift_kN) / envelope.weight_kN
    use = push_use_ratio(envelope, demand.ahead_kN + ahead_kN, demand.left_kN + left_kN, vertical_ratio)
    arm_x_m, arm_y_m, arm_z_m = demand.arm_m
    moment_kNm = (
        arm_z_m * np.abs(left_kN) + arm_y_m * lift_kN,
        arm_z_m * np.abs(ahead_kN) + arm_x_m * lift_kN,
        arm_x_m * np.abs(left_kN) + arm_y_m * np.abs(ahead_kN),
    )
    _, row, weight = between(envelope.vertical_ratio, vertical_ratio)
    left = 1.0 if envelope.spent_ratio is None else 1.0 - _at(envelope.spent_ratio[:, None], row, 0, weight)
    for axis, turning_kNm in enumerate(moment_kNm):
        held_kNm = left * _at(envelope.moment_kNm, row, axis, weight)
        with np.errstate(divide="ignore", invalid="ignore"):
            use = use + np.where(held_kNm > 0.0, turning_kNm / held_kNm, np.inf)
    return use


def first_crossing(use_at: Callable[[Array, Rows], Array], count: int, *, high: float, steps_count: int) -> Array:
    """Lowest value at which a use exceeds 1: 0 if it does at 0, infinite if it never does, NaN if unknown.

    Even steps upwards, the first crossing counts; then halving, and the side that holds is returned.
    use_at takes values and the rows they belong to and returns uses; result (count,), in the unit of the values.
    Source: bracketing and bisection (read).
    """
    rows, step = np.arange(count), high / steps_count
    still = use_at(np.zeros(count), rows)
    limit = np.where(np.isnan(still), np.nan, np.where(still <= 1.0, np.inf, 0.0))
    inside, crossed = rows[still <= 1.0], [rows[:0]]
    for number in range(1, steps_count + 1):
        holds = use_at(np.full(len(inside), number * step), inside) <= 1.0
        limit[inside[~holds]] = (number - 1) * step
        crossed.append(inside[~holds])
        inside = inside[holds]
    found = np.concatenate(crossed)
    for _ in range(HALVINGS_COUNT):
        step /= 2.0
        holds = use_at(limit[found] + step, found) <= 1.0
        limit[found[holds]] += step
    return limit


def between(nodes: Array, value: Array) -> tuple[NDArray[np.bool_], Rows, Array]:
    """Whether values lie among the nodes, the node below, and the share of the next one.

    t = (v - n_r) / (n_(r+1) - n_r); nodes (f,) rising, any shape of values.
    Source: linear interpolation (read).
    """
    row = np.clip(np.searchsorted(nodes, value, side="right") - 1, 0, len(nodes) - 2)
    weight = (value - nodes[row]) / np.diff(nodes)[row]
    return (weight > -1e-9) & (weight < 1.0 + 1e-9), row, weight


def _at(table: Array, row: Rows, column: Rows | int, weight: Array) -> Array:
    flat, columns = table.ravel(), table.shape[1]
    place = row * columns + column
    below = flat.take(place)
    return np.asarray(below + (flat.take(place + columns) - below) * weight, dtype=float)
