"""Actions put together: a range of pushes in still air, with the wind from any direction on top."""

from dataclasses import dataclass

import numpy as np

from shared.arrays import Array
from transport.load_cases.polytope import SIGNS, Actions, Facets, Gale, first_pressure_kPa, push_use_ratio

__all__ = ["Push", "Still", "Wind", "corners", "gust_limit_mps", "worst_push"]


@dataclass(frozen=True)
class Still:
    """Range of the push in still air at each station (n,): most backward and forward, most right and left."""

    ahead_kN: tuple[Array, Array]
    left_kN: tuple[Array, Array]
    carried_kN: Array


@dataclass(frozen=True)
class Wind:
    """Wind on the unit for each kPa, (n, w), its lift, and how far its centre lies from the centre of mass (3,)."""

    ahead_m2: Array
    left_m2: Array
    lift_m2: float
    arm_m: Array
    air_density_kg_per_m3: float


@dataclass(frozen=True)
class Push:
    """The push of the range that uses most, at each station (n,)."""

    use_ratio: Array
    ahead_kN: Array
    left_kN: Array
    carried_kN: Array


def corners(still: Still) -> Actions:
    """The extreme push of the range in each quadrant; in its quadrant every other is smaller along both axes.

    Source: a push that is smaller along both axes uses no more, envelope.without_favour (memory).
    """
    sides = [(int(ahead > 0.0), int(left > 0.0)) for ahead, left in SIGNS]
    ahead_kN, left_kN = (
        np.stack([values[side[axis]] for side in sides])[:, None]
        for axis, values in enumerate((still.ahead_kN, still.left_kN))
    )
    return Actions(ahead_kN, left_kN, still.carried_kN[None])


def worst_push(inside: Facets, actions: Actions) -> Push:
    """The push that uses most in still air.

    Source: utilisation = action / resistance, EN 1990:2002, 6.4.2 (memory).
    """
    carried_kN = np.broadcast_to(actions.carried_kN, actions.ahead_kN.shape)
    use = push_use_ratio(inside, actions.ahead_kN, actions.left_kN, carried_kN / inside.weight_kN)
    every = (use, actions.ahead_kN, actions.left_kN, carried_kN)
    use, ahead_kN, left_kN, carried_kN = (values.reshape(-1, values.shape[-1]) for values in every)
    worst = (np.argmax(np.where(np.isnan(use), np.inf, use), axis=0), np.arange(use.shape[1]))
    return Push(use[worst], ahead_kN[worst], left_kN[worst], carried_kN[worst])


def gust_limit_mps(inside: Facets, actions: Actions, wind: Wind, *, gust_to_mean_ratio: float = 1.0) -> Array:
    """Gust at which the actions leave the envelope, the least over the pushes in still air; (n, w).

    V = G sqrt(2 q / rho) with the first q of polytope.first_pressure_kPa; 0 if still air is too much, infinite if
    nothing limits, NaN if anything is not known.
    Source: limit state as a gust, EN 1990:2002, 6.4.2, solved for the wind; EN 1991-1-4:2005, 4.5 (memory).
    """
    pressure_kPa = first_pressure_kPa(inside, actions, _gale(wind))
    return np.asarray(gust_to_mean_ratio * np.sqrt(2e3 * pressure_kPa / wind.air_density_kg_per_m3), dtype=float)


def _gale(wind: Wind) -> Gale:
    """Each kPa turns by |arm| times the push and the lift, with the worst sign of each."""
    ahead, aside, (x, y, z) = np.abs(wind.ahead_m2), np.abs(wind.left_m2), wind.arm_m
    moment_m3 = np.stack([z * aside + y * wind.lift_m2, z * ahead + x * wind.lift_m2, x * aside + y * ahead])
    return Gale(wind.ahead_m2, wind.left_m2, wind.lift_m2, moment_m3)
