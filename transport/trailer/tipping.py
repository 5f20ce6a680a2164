"""Tipping of trailer and load over an edge of the polygon, at rest and in the wind."""

from typing import NamedTuple

import numpy as np

from shared.arrays import Array
from shared.units import STANDARD_GRAVITY_MPS2
from transport.trailer.polygon import Planes, edge_distance_m
from transport.trailer.resultant import Actions, Body, least_at_rest_kNm
from transport.trailer.stability import (
    gust_limit_mps,
    overturning_ratio,
    remaining_angle_deg,
    reserve_m,
)
from transport.trailer.wind import Wind, least_per_pressure_m3

__all__ = ["Tipping", "angle_at_gust_deg", "tipping"]


class Tipping(NamedTuple):
    """Reserves, limits and angles of every mass state, station, wind direction and edge."""

    at_rest_kNm: Array  # (state, station, edge), above the required angle
    per_pressure_m3: Array  # (state, station, wind_from, edge)
    limit_mps: Array  # (state, station, wind_from, edge)
    angle_deg: Array  # (station,), still air, after all allowances
    utilisation_ratio: Array  # (station,), still air


def tipping(
    polygon: Planes, body: Body, actions: Actions, wind: Wind, angle_deg: float, density_kg_per_m3: float
) -> Tipping:
    """Highest gust, angle and utilisation at every edge.

    The distance d to an edge may not fall below h tan(alpha_min); N (d - h tan(alpha_min)) is linear in the gust
    pressure. Source: statics, moments about the edges; stability angle of platform trailers (practice).
    """
    planes = Planes(polygon.value - reserve_m(body.height_m, angle_deg)[:, None], polygon.gradient)
    at_rest = least_at_rest_kNm(planes, body, actions)
    per_pressure = least_per_pressure_m3(planes, body, wind)
    normal = _normal_kN(body, actions)
    bare = normal * edge_distance_m(polygon, body.centre_m)[:, None, :]
    left = remaining_angle_deg(at_rest, normal, body.height_m[:, None, None], angle_deg)
    return Tipping(
        at_rest,
        per_pressure,
        gust_limit_mps(at_rest, per_pressure, density_kg_per_m3),
        left.min(axis=(0, 2)),
        overturning_ratio(at_rest, bare).max(axis=(0, 2)),
    )


def angle_at_gust_deg(
    found: Tipping, body: Body, actions: Actions, wind: Wind, angle_deg: float, q_kPa: Array
) -> Array:
    """Least stability angle of each station when every direction blows with its own gust pressure.

    alpha = atan((C + q D) / ((N - q L) h) + tan(alpha_min)). Shapes: q (station, wind_from), result (station,).
    An infinite q counts as no wind: it stands where wind acts on no edge. Source: algebra on the reserve.
    """
    pressure = np.where(np.isinf(q_kPa), 0.0, q_kPa)[None, :, :, None]
    reserve = found.at_rest_kNm[:, :, None, :] + pressure * found.per_pressure_m3
    normal = _normal_kN(body, actions)[:, :, None, :] - pressure * wind.lift_m2
    height = body.height_m[:, None, None, None]
    return np.asarray(remaining_angle_deg(reserve, normal, height, angle_deg).min(axis=(0, 2, 3)))


def _normal_kN(body: Body, actions: Actions) -> Array:
    return (body.mass_t * STANDARD_GRAVITY_MPS2)[:, None, None] * actions.normal_ratio[:, None]
