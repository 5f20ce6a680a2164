"""Pressure on the ground: under the whole platform, and spread below one tyre."""

import numpy as np
from numpy.typing import ArrayLike

from shared.arrays import Array
from shared.units import STANDARD_GRAVITY_MPS2

__all__ = [
    "GROUND_RULES",
    "borne_line_t",
    "boussinesq_pressure_kPa",
    "ground_pressures_kPa",
    "ground_use_ratio",
    "shadow_pressure_kPa",
    "spread_pressure_kPa",
    "tyre_side_m",
]

GROUND_RULES = (
    "shadow of the heaviest axle line",
    "below one tyre, spread 2:1",
    "below one tyre, spread at 45 degrees",
    "below one tyre, Boussinesq",
)


def shadow_pressure_kPa(weight_kN: ArrayLike, length_m: float, width_m: float) -> Array:
    """Mean pressure under the shadow of the platform: W / (L B).

    L counts one pitch for each axle line. Shapes broadcast. Validity: only where the surface can spread the wheels;
    the weight includes the trailer. Source: shadow area rule of heavy transport (practice).
    """
    return np.asarray(weight_kN, dtype=float) / (length_m * width_m)


def tyre_side_m(load_kN: ArrayLike, pressure_kPa: float) -> Array:
    """Side of the square footprint of a tyre: sqrt(F / p).

    Shapes broadcast. Validity: footprint pressure equal to tyre pressure, no carcass stiffness.
    Source: statics of an inflated tyre (practice).
    """
    return np.sqrt(np.asarray(load_kN, dtype=float) / pressure_kPa)


def spread_pressure_kPa(load_kN: ArrayLike, side_m: ArrayLike, depth_m: float, spread_ratio: float) -> Array:
    """Mean pressure at a depth below a square footprint that spreads with depth: F / (b + k z)^2.

    k = 1 for the 2:1 rule, 2 for 45 degrees. Shapes broadcast. Validity: one tyre, neighbours not added.
    Source: load spread rules of foundation practice (memory).
    """
    return np.asarray(load_kN, dtype=float) / np.square(np.asarray(side_m, dtype=float) + spread_ratio * depth_m)


def boussinesq_pressure_kPa(pressure_kPa: float, radius_m: ArrayLike, depth_m: float) -> Array:
    """Vertical stress below the middle of a uniformly loaded circle: p (1 - (1 + (a/z)^2)^-1.5).

    Shapes broadcast. Validity: elastic half space, z > 0. Source: Boussinesq (1885), circular load (memory).
    """
    return pressure_kPa * (1.0 - (1.0 + np.square(np.asarray(radius_m, dtype=float) / depth_m)) ** -1.5)


def borne_line_t(
    bearing_kPa: float, pitch_m: float, width_m: float, tyres_count: int, tyre_kPa: float, depth_m: float
) -> float:
    """Axle-line load at which the ground meets its allowed pressure, under the shadow or below one tyre spread 2:1.

    Shadow: p a b. Tyres: n p z^2 / (1 - sqrt(p / q))^2, from F = p (sqrt(F / q) + z)^2, q the tyre pressure; no
    limit where p reaches q. The lesser of the two, in t. Validity: as the two rules, one depth, neighbours only through
    the shadow. Source: inverse of shadow_pressure_kPa and spread_pressure_kPa (algebra).
    """
    shadow_kN, tyre_kN = bearing_kPa * pitch_m * width_m, np.inf
    if bearing_kPa < tyre_kPa:
        tyre_kN = tyres_count * bearing_kPa * (depth_m / (1.0 - np.sqrt(bearing_kPa / tyre_kPa))) ** 2
    return float(min(shadow_kN, tyre_kN) / STANDARD_GRAVITY_MPS2)


def ground_use_ratio(
    line_t: Array, bearing_kPa: float, pitch_m: float, width_m: float, tyre: tuple[int, float], depth_m: float
) -> Array:
    """Greater of the shadow and of one tyre spread 2:1 over the allowed pressure.

    `tyre` is the count on a line and the tyre pressure in kPa. Shapes: line (station,), result (station,); an infinite
    load is infinite. It reaches 1 at borne_line_t. Source: the functions above.
    """
    line_kN, (count, pressure_kPa) = line_t * STANDARD_GRAVITY_MPS2, tyre
    finite_kN = np.where(np.isinf(line_kN), 0.0, line_kN) / count
    spread_kPa = spread_pressure_kPa(finite_kN, tyre_side_m(finite_kN, pressure_kPa), depth_m, 1.0)
    greater = np.maximum(shadow_pressure_kPa(line_kN, pitch_m, width_m), spread_kPa)
    return np.asarray(greater / bearing_kPa)


def ground_pressures_kPa(
    line_kN: float, pitch_m: float, width_m: float, tyre: tuple[int, float], depth_m: float
) -> Array:
    """Pressures below the heaviest axle line: shadow, one tyre spread 2:1 and at 45 degrees, and Boussinesq.

    `tyre` is the count on a line and the tyre pressure in kPa.
    Shapes: result (4,); infinite for a platform that falls over.
    Source: the four functions above.
    """
    count, pressure_kPa = tyre
    if np.isinf(line_kN):
        return np.full(4, np.inf)
    load_kN = line_kN / count
    side_m = float(tyre_side_m(load_kN, pressure_kPa))
    return np.array(
        [
            float(shadow_pressure_kPa(line_kN, pitch_m, width_m)),
            float(spread_pressure_kPa(load_kN, side_m, depth_m, 1.0)),
            float(spread_pressure_kPa(load_kN, side_m, depth_m, 2.0)),
            float(boussinesq_pressure_kPa(pressure_kPa, side_m / np.sqrt(np.pi), depth_m)),
        ]
    )
