"""Actions put together: a range of pushes in still air, with the wind from any direction on top."""

from dataclasses import dataclass

import numpy as np

from shared.arrays import Array
from transport.load_cases.actions import wind_pressure_kPa
from transport.load_cases.envelope import Demand, Envelope, Rows, first_crossing, push_use_ratio, use_ratio

__all__ = ["Push", "Still", "Wind", "corners", "gust_limit_mps", "worst_push"]

STEPS_COUNT = 16


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


def corners(still: Still) -> list[tuple[Array, Array]]:
    """The four extreme pushes of the range; every other lies between them.

    Source: the set of wrenches that can be held is convex, so its corners govern (read).
    """
    return [(ahead_kN, left_kN) for ahead_kN in still.ahead_kN for left_kN in still.left_kN]


def worst_push(envelope: Envelope, still: Still) -> Push:
    """The corner of the range that uses most of the envelope in still air.

    Source: utilisation = action / resistance, EN 1990:2002, 6.4.2 (memory).
    """
    ahead_kN, left_kN = (np.stack(side) for side in zip(*corners(still), strict=True))
    use = push_use_ratio(envelope, ahead_kN, left_kN, still.carried_kN / envelope.weight_kN)
    worst = np.argmax(np.where(np.isnan(use), np.inf, use), axis=0)[None]
    use, ahead_kN, left_kN = (np.take_along_axis(values, worst, axis=0)[0] for values in (use, ahead_kN, left_kN))
    return Push(use, ahead_kN, left_kN, still.carried_kN)


def gust_limit_mps(
    envelope: Envelope, still: Still, wind: Wind, *, highest_mps: float, gust_to_mean_ratio: float = 1.0
) -> Array:
    """Gust at which the actions leave the envelope, the least over the corners of the range; (n, w).

    First V with use > 1 under q = rho (V / G)^2 / 2; 0 if still air is too much, infinite above the highest gust.
    Source: limit state as a gust, EN 1990:2002, 6.4.2, solved for the wind (memory).
    """
    shape = wind.ahead_m2.shape
    limits_mps = []
    for ahead_kN, left_kN in corners(still):
        demand = Demand(
            ahead_kN=_spread(ahead_kN, shape),
            left_kN=_spread(left_kN, shape),
            carried_kN=_spread(still.carried_kN, shape),
            wind_ahead_m2=wind.ahead_m2.ravel(),
            wind_left_m2=wind.left_m2.ravel(),
            lift_m2=wind.lift_m2,
            arm_m=wind.arm_m,
        )

        def use_at(gust_mps: Array, rows: Rows, demand: Demand = demand) -> Array:
            pressure_kPa = wind_pressure_kPa(gust_mps / gust_to_mean_ratio, wind.air_density_kg_per_m3)
            return use_ratio(envelope, demand.part(rows), pressure_kPa)

        limits_mps.append(first_crossing(use_at, demand.ahead_kN.size, high=highest_mps, steps_count=STEPS_COUNT))
    return np.asarray(np.min(limits_mps, axis=0).reshape(shape), dtype=float)


def _spread(value: Array, shape: tuple[int, ...]) -> Array:
    """One value a station repeated for every wind direction."""
    return np.broadcast_to(value[:, None], shape).ravel()
