"""Tipping of trailer and load over an edge of the polygon while the ground shakes, without stop and start.

An accidental situation: every action counts once (gamma 1) and the resultant must only stay inside the polygon; no
least stability angle is asked for (practice). The response of the deck is taken for the whole trailer, axles and all,
which on tyres moves less than its deck (practice, conservative). The bend and the mean wind act beside it.
"""

from typing import NamedTuple

import numpy as np

from shared.arrays import Array
from shared.units import STANDARD_GRAVITY_MPS2
from transport.trailer.polygon import Planes, edge_distance_m
from transport.trailer.resultant import Actions, Body, leaned_gradient, least_at_rest_kNm, least_place
from transport.trailer.stability import gust_limit_mps, overturning_ratio
from transport.trailer.wind import Wind, least_per_pressure_m3

__all__ = ["Shaken", "Shaking", "lifted", "parts_ratio", "shaken", "shaken_at_rest_kNm", "shaking_lever_m"]


class Shaking(NamedTuple):
    """Acceleration of the deck, horizontal any way round and vertical either way; (station,)."""

    horizontal_mps2: Array
    vertical_mps2: Array


class Shaken(NamedTuple):
    """Reserves and limits; a case is a combination of the parts with a mass state, combination first."""

    at_rest_kNm: Array  # (case, station, edge), without wind
    per_pressure_m3: Array  # (case, station, wind_from, edge), per kPa of mean wind
    limit_mps: Array  # (case, station, wind_from, edge), gust
    utilisation_ratio: Array  # (station,), without wind


def parts_ratio(other_ratio: float) -> tuple[tuple[float, float], tuple[float, float]]:
    """Parts of the horizontal and of the vertical acceleration that act together, the horizontal pair as one vector.

    (hypot(1, e), e) and (hypot(e, e), 1) for e = 0.3 of the other directions.
    Source: EN 1998-1:2004, 4.3.3.5 (memory); the vector in the worst direction for each edge (practice).
    """
    return (float(np.hypot(1.0, other_ratio)), other_ratio), (float(np.hypot(other_ratio, other_ratio)), 1.0)


def lifted(actions: Actions, vertical_mps2: Array) -> Actions:
    """Actions with the weight lowered or raised by the vertical shaking, whichever is worse.

    Gravity along the deck is not lowered with it. Source: statics; favourable part left out (practice).
    """
    share = np.abs(vertical_mps2) / STANDARD_GRAVITY_MPS2
    return actions._replace(normal_ratio=actions.normal_ratio - share, heaviest_ratio=actions.heaviest_ratio + share)


def shaking_lever_m(planes: Planes, body: Body, tilted: Actions) -> Array:
    """Lever of a horizontal acceleration about each edge in its worst direction: sqrt(h_n^2 + s^2 - (w . k)^2).

    w = (h n, s) leads from the edge to the centre of mass, h_n = h |n| with elastic roll, k is the world's vertical in
    the frame of the deck and w . k = s c - h f / g the lever of the weight; level it is h_n.
    Shapes: result (state, station, plane). Source: statics, length of w seen along the vertical.
    """
    weight_kN = (body.mass_t * STANDARD_GRAVITY_MPS2)[:, None, None]
    upright = least_at_rest_kNm(planes, body, tilted) / weight_kN
    height = body.height_m[:, None] * np.hypot(*leaned_gradient(planes, body))
    square = np.square(height) + np.square(least_place(planes, body))
    return np.asarray(np.sqrt(np.maximum(square[:, None, :] - np.square(upright), 0.0)))


def shaken_at_rest_kNm(planes: Planes, body: Body, tilted: Actions, rolling: Actions, shaking: Shaking) -> Array:
    """Least reserve about each edge while the deck shakes: what least_at_rest_kNm leaves, less m a_h l.

    `tilted` is the leaning deck alone, `rolling` has the bend too. Shapes: result (state, station, plane).
    Source: statics, moments about the edges; EN 1990:2002, 6.4.3.4, gamma 1 (memory).
    """
    lever_m = shaking_lever_m(planes, body, tilted)
    thrown_kN = body.mass_t[:, None] * np.abs(shaking.horizontal_mps2)
    left_kNm = least_at_rest_kNm(planes, body, lifted(rolling, shaking.vertical_mps2))
    return np.asarray(left_kNm - thrown_kN[:, :, None] * lever_m)


def shaken(
    polygon: Planes, body: Body, actions: tuple[Actions, Actions], wind: Wind, shaking: Shaking,
    *, other_ratio: float, gust_to_mean_ratio: float, density_kg_per_m3: float,
) -> Shaken:  # fmt: skip
    """Highest gust whose mean wind beside the earthquake leaves the resultant inside the polygon.

    V = r sqrt(2 C / (rho D)): the mean wind is the gust over r. `actions` are the tilted deck alone and with the bend.
    Source: statics, moments about the edges; EN 1998-1:2004, 4.3.3.5 (memory); mean wind beside it (practice).
    """
    each = [
        Shaking(part * shaking.horizontal_mps2, up * shaking.vertical_mps2) for part, up in parts_ratio(other_ratio)
    ]
    at_rest = np.concatenate([shaken_at_rest_kNm(polygon, body, *actions, one) for one in each])
    per_pressure = np.concatenate([least_per_pressure_m3(polygon, body, wind)] * len(each))
    weight_kN = (body.mass_t * STANDARD_GRAVITY_MPS2)[:, None, None] * actions[1].normal_ratio[:, None]
    bare = np.concatenate([weight_kN * edge_distance_m(polygon, body.centre_m)[:, None, :]] * len(each))
    limit_mps = gust_to_mean_ratio * gust_limit_mps(at_rest, per_pressure, density_kg_per_m3)
    return Shaken(at_rest, per_pressure, limit_mps, overturning_ratio(at_rest, bare).max(axis=(0, 2)))
