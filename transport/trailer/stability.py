"""Stability angle: what is left between the resultant and an edge of the polygon, and the gust that uses it up."""

import numpy as np
from numpy.typing import ArrayLike

from shared.arrays import Array

__all__ = [
    "gust_limit_mps",
    "gust_pressure_kPa",
    "overturning_ratio",
    "remaining_angle_deg",
    "reserve_m",
    "stability_angle_deg",
    "wind_free_limit_mps",
]


def stability_angle_deg(distance_m: ArrayLike, height_m: ArrayLike) -> Array:
    """Angle by which the ground may tilt before the resultant leaves an edge: alpha = atan(d / h).

    h is counted from the ground, which is lower than the pivot and so gives the smaller angle. Shapes broadcast.
    Source: stability rule of platform trailers (practice); geometry.
    """
    return np.asarray(np.degrees(np.arctan(np.asarray(distance_m) / np.asarray(height_m))))


def reserve_m(height_m: ArrayLike, angle_deg: float) -> Array:
    """Distance to an edge that must be left over so that the stability angle is kept: h tan(alpha).

    Shapes broadcast. Validity: angles up to 45 degrees. Source: inverse of alpha = atan(d / h).
    """
    return np.asarray(np.asarray(height_m) * np.tan(np.radians(angle_deg)))


def gust_limit_mps(at_rest_kNm: Array, per_pressure_m3: Array, air_density_kg_per_m3: float) -> Array:
    """Highest gust at which a reserve C + q D, linear in the gust pressure, is still 0 or more.

    q = C / -D, V = sqrt(2 q / rho); 0 where C < 0 (not fulfilled in still air), inf where D = 0, NaN where either
    is NaN. Shapes: at_rest (state, station, plane), per_pressure and result (state, station, wind_from, plane).
    Source: V from q = rho V^2 / 2, EN 1991-1-4:2005, 4.5 (memory); the rest is algebra.
    """
    still, slope = np.broadcast_arrays(at_rest_kNm[:, :, None, :], per_pressure_m3)
    q_kPa = np.full(slope.shape, np.inf)
    np.divide(np.maximum(still, 0.0), -slope, out=q_kPa, where=slope < 0.0)
    q_kPa = np.where(still < 0.0, 0.0, q_kPa)
    q_kPa = np.where(np.isnan(still) | np.isnan(slope), np.nan, q_kPa)
    return np.asarray(np.sqrt(2000.0 * q_kPa / air_density_kg_per_m3))


def gust_pressure_kPa(gust_mps: ArrayLike, air_density_kg_per_m3: float) -> Array:
    """Pressure of a gust: q = rho V^2 / 2.

    Shapes broadcast; kPa. Source: EN 1991-1-4:2005, 4.5 (memory).
    """
    return np.asarray(0.5e-3 * air_density_kg_per_m3 * np.square(gust_mps))


def remaining_angle_deg(reserve_kNm: Array, normal_kN: Array, height_m: Array, angle_deg: float) -> Array:
    """Stability angle that is left when a reserve above the required angle is known.

    C = N (d - h tan(alpha_min)), so alpha = atan(C / (N h) + tan(alpha_min)). Shapes broadcast.
    Source: algebra on alpha = atan(d / h).
    """
    return np.asarray(np.degrees(np.arctan(reserve_kNm / (normal_kN * height_m) + np.tan(np.radians(angle_deg)))))


def overturning_ratio(reserve_kNm: Array, bare_kNm: Array) -> Array:
    """Share of the bare edge moment that allowances and required angle use up: 1 - C / (N d_0).

    Shapes broadcast; infinite where the centre of mass stands on or outside the edge. Source: statics.
    """
    used = np.full(np.broadcast_shapes(reserve_kNm.shape, bare_kNm.shape), np.inf)
    np.divide(bare_kNm - reserve_kNm, bare_kNm, out=used, where=bare_kNm > 0.0)
    return np.where(np.isnan(reserve_kNm), np.nan, used)


def wind_free_limit_mps(utilisation_ratio: Array) -> Array:
    """Gust limit of a check without wind: infinite where it holds, 0 where it does not, NaN where it is unknown.

    Shapes: any. Source: house design, a check without wind is open or closed (practice).
    """
    return np.where(np.isnan(utilisation_ratio), np.nan, np.where(utilisation_ratio <= 1.0, np.inf, 0.0))
