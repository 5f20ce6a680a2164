"""The envelope as a polytope: facets a . w <= 1, and the wind pressure at which actions reach the first one.

Between two neighbouring directions of the fan the edge runs straight, so at each vertical factor the set is a polygon
that is star-shaped about no push, with one facet a sector: a_k . H <= 1 where H lies in sector k. It is not convex and
must not be made so: keyed stops hold along the deck, chains across it, and never together. The largest convex set
inside gives away half of the one or of the other, and the hull outside holds what nothing holds.

Between two vertical factors a runs straight, so that resistance runs below its straight line, and whatever holds for
the facets at both holds between: what is smaller along both axes uses no more (a has the signs of its quadrant), less
weight holds no more. Moments of the wind use 1 / m each. All of it is linear in the actions, the use continuous, and
every cut is towards less: a larger resistance anywhere never lowers a limit.
"""

from dataclasses import dataclass

import numpy as np

from shared.arrays import Array
from transport.load_cases.envelope import Envelope, between
from transport.load_cases.paths import Quadrant, Winds, lines, lower

__all__ = ["SIGNS", "Actions", "Facets", "Gale", "facets", "first_pressure_kPa", "push_use_ratio"]

SIGNS = ((1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0))
CLOSED_PER_kN = 1e9
ENDLESS_kPa = 1e9


@dataclass(frozen=True)
class Facets:
    """Use of a unit push in each sector (f, d, 2) and of a unit moment (f, 3), over vertical factors (f,)."""

    vertical_ratio: Array
    push_per_kN: Array
    moment_per_kNm: Array
    weight_kN: float


@dataclass(frozen=True)
class Actions:
    """Pushes in still air that cover all others, for each quadrant of SIGNS: (4, p, n); carried across the deck (p, n).

    A push counts in its own quadrant only: there it is the largest along both axes.
    """

    ahead_kN: Array
    left_kN: Array
    carried_kN: Array


@dataclass(frozen=True)
class Gale:
    """What each kPa of wind adds: push (n, w), upward force, and moments about x, y, z without their sign (3, n, w)."""

    ahead_m2: Array
    left_m2: Array
    lift_m2: float
    moment_m3: Array


def facets(envelope: Envelope) -> Facets:
    """The facets of an envelope that rising and without_favour have cut; a closed direction holds next to nothing.

    a . e_k = 1 / R_k and a . e_(k+1) = 1 / R_(k+1): the line through both ends of the sector. NaN stays NaN.
    Source: polygon through given points (read).
    """
    per_kN, per_kNm = (_use_of_one(held) for held in (envelope.force_kN, envelope.moment_kNm))
    fan, width_rad = lines(per_kN.shape[1]), 2.0 * np.pi / per_kN.shape[1]
    turned, after = np.roll(fan, -1, axis=0), np.roll(per_kN, -1, axis=1)
    ahead = per_kN * turned[:, 1] - after * fan[:, 1]
    left = after * fan[:, 0] - per_kN * turned[:, 0]
    push_per_kN = np.stack([ahead, left], axis=-1) / np.sin(width_rad)
    return Facets(envelope.vertical_ratio, push_per_kN, per_kNm, envelope.weight_kN)


def push_use_ratio(inside: Facets, ahead_kN: Array, left_kN: Array, vertical_ratio: Array) -> Array:
    """How much of the resistance a push uses: 1 on the edge; any shape.

    u = a_k . H, k the sector of H, a straight between vertical factors. Below the lowest or above the highest vertical
    factor nothing is held: infinite. NaN stays NaN.
    Source: gauge of a star-shaped set (read).
    """
    count = inside.push_per_kN.shape[1]
    within, row, share = between(inside.vertical_ratio, vertical_ratio)
    sector = np.floor(np.nan_to_num(np.arctan2(left_kN, ahead_kN)) / (2.0 * np.pi / count)).astype(np.intp) % count
    lower, upper = (inside.push_per_kN[node, sector] for node in (row, row + 1))
    facet = lower + (upper - lower) * share[..., None]
    use = facet[..., 0] * ahead_kN + facet[..., 1] * left_kN
    return np.where(within | np.isnan(use + vertical_ratio), use, np.inf)


def first_pressure_kPa(inside: Facets, actions: Actions, gale: Gale) -> Array:
    """Least wind pressure at which any of the pushes leaves the polytope; (n, w).

    In a sector and between two vertical factors u(q) = F_0 + F_1 q + F_2 q^2 with w = w_0 + q w_1, c = c_0 - q L / W;
    q = 2 (1 - F_0) / (F_1 + sqrt(F_1^2 + 4 F_2 (1 - F_0))), of all sectors the least whose push lies in the sector.
    Zero if still air is too much, infinite if nothing limits, NaN if anything is not known.
    Source: root of a quadratic equation in the form without cancellation (read).
    """
    factor = np.broadcast_to(actions.carried_kN / inside.weight_kN, actions.ahead_kN.shape)
    use = push_use_ratio(inside, actions.ahead_kN, actions.left_kN, factor)
    signs = np.array(SIGNS)[:, :, None, None]
    seen = np.stack([signs[:, 0] * actions.ahead_kN, signs[:, 1] * actions.left_kN, factor], axis=1)
    own = ~np.any(seen[:, :2] < 0.0, axis=1)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        least = _least_kPa(inside, seen, np.where(own, use, -1.0), gale)
    closed = np.any(own & ~(use <= 1.0), axis=(0, 1))[:, None]
    known = np.sum(actions.ahead_kN + actions.left_kN + factor, axis=(0, 1))[:, None] + np.sum(gale.moment_m3, axis=0)
    known = known + gale.ahead_m2 + gale.left_m2 + gale.lift_m2 + np.sum(inside.push_per_kN)
    return np.where(np.isnan(known + np.sum(inside.moment_per_kNm)), np.nan, np.where(closed, 0.0, least))


def _least_kPa(inside: Facets, seen: Array, use: Array, gale: Gale) -> Array:
    """The least over quadrants and pushes, seen (4, 3, p, n) from each quadrant; (n, w).

    First the push that uses most in the quadrant that the wind blows to; then only what that pressure may drive out.
    """
    stations, winds = gale.ahead_m2.shape
    station = np.repeat(np.arange(stations), winds)
    lift_ratio = gale.lift_m2 / inside.weight_kN
    lifted_kPa = (np.min(seen[:, 2], axis=(0, 1)) - inside.vertical_ratio[0]) / lift_ratio
    least = np.fmin(lifted_kPa, ENDLESS_kPa).take(station)
    wind_m2 = np.stack([gale.ahead_m2.ravel(), gale.left_m2.ravel()])
    turning = inside.moment_per_kNm @ gale.moment_m3.reshape(3, -1)
    sides = [
        (_quadrant(inside, number), Winds(station, wind_m2 * np.array(sign)[:, None], turning, lift_ratio))
        for number, sign in enumerate(SIGNS)
    ]
    for (quadrant, air), pushes, used in zip(sides, seen, use, strict=True):
        towards = np.flatnonzero(np.all(air.wind_m2 >= 0.0, axis=0))
        worst = pushes[:, np.argmax(used, axis=0), np.arange(stations)]
        lower(least, quadrant, worst[:, None], towards, air.part(towards))
    for (quadrant, air), pushes in zip(sides, seen, strict=True):
        lower(least, quadrant, pushes, np.arange(len(least)), air)
    return np.where(least < ENDLESS_kPa, least, np.inf).reshape(stations, winds)


def _quadrant(inside: Facets, number: int) -> Quadrant:
    """One quadrant with its sectors from the axis along the deck to the axis across it."""
    count = inside.push_per_kN.shape[1] // len(SIGNS)
    sectors = number * count + np.arange(count)[:: 1 if number % 2 == 0 else -1]
    return Quadrant(inside.vertical_ratio, inside.push_per_kN[:, sectors] * SIGNS[number])


def _use_of_one(held: Array) -> Array:
    with np.errstate(divide="ignore"):
        return np.where((held > 0.0) | np.isnan(held), np.minimum(1.0 / held, CLOSED_PER_kN), CLOSED_PER_kN)
