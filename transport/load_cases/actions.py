"""Actions on the unit in the trailer frame: gravity on a tilted deck, stop, start, bend, wind, earthquake."""

import numpy as np

from shared.arrays import Array

__all__ = [
    "bend_kN",
    "deck_normal_ratio",
    "drag_area_m2",
    "gravity_kN",
    "inertia_kN",
    "lift_area_m2",
    "wind_pressure_kPa",
]


def deck_normal_ratio(pitch_deg: Array, roll_deg: Array) -> Array:
    """World vertical in the trailer frame, from the attitude of the deck.

    k = (sin theta, cos theta sin phi, cos theta cos phi); pitch nose up, roll left side up; result (..., 3).
    Source: rotation of axes, ISO 8855 frame (read).
    """
    theta, phi = np.deg2rad(pitch_deg), np.deg2rad(roll_deg)
    parts = np.broadcast_arrays(np.sin(theta), np.cos(theta) * np.sin(phi), np.cos(theta) * np.cos(phi))
    return np.stack(parts, axis=-1)


def gravity_kN(mass_t: float, normal_ratio: Array, gravity_mps2: float) -> Array:
    """Weight resolved along the axes of the deck.

    F = -m g k; mass in t, k (..., 3), result (..., 3).
    Source: statics (read).
    """
    return np.asarray(-mass_t * gravity_mps2 * normal_ratio, dtype=float)


def inertia_kN(mass_t: float, acceleration_mps2: Array) -> Array:
    """Force that the load feels against an acceleration of the trailer.

    F = m a; mass in t, a positive for a stop (the load is pushed forward), any shape.
    Source: statics in the moving frame (read).
    """
    return np.asarray(mass_t * acceleration_mps2, dtype=float)


def bend_kN(mass_t: float, speed_mps: Array, curvature_per_m: Array) -> Array:
    """Sideways force in a bend, positive to the left.

    F = -m v^2 kappa; mass in t, kappa > 0 turns left and pushes the load to the right; any shape.
    Source: kinematics (read).
    """
    return np.asarray(-mass_t * speed_mps**2 * curvature_per_m, dtype=float)


def wind_pressure_kPa(gust_mps: Array, air_density_kg_per_m3: float) -> Array:
    """Dynamic pressure of a gust.

    q = rho V^2 / 2; any shape, result in kPa.
    Source: EN 1991-1-4:2005, 4.5, expression 4.10 (read).
    """
    return np.asarray(0.5e-3 * air_density_kg_per_m3 * np.square(gust_mps), dtype=float)


def drag_area_m2(
    wind_from_deg: Array, heading_deg: Array, front_m2: float, side_m2: float, force_coefficient: float
) -> Array:
    """Wind force on the unit for each kPa of pressure, forward and to the left.

    c_f A (cos rel, -sin rel), A = |cos rel| A_front + |sin rel| A_side (an upper bound), rel = D + 180 - heading.
    Wind direction D clockwise from north, "from" (w,); heading "towards" (n,); result (n, w, 2).
    Source: EN 1991-1-4:2005, 5.3, force on the projected area, projections added (practice).
    """
    relative = np.deg2rad(wind_from_deg[None, :] + 180.0 - heading_deg[:, None])
    ahead, aside = np.cos(relative), np.sin(relative)
    area_m2 = force_coefficient * (np.abs(ahead) * front_m2 + np.abs(aside) * side_m2)
    return np.stack([area_m2 * ahead, -area_m2 * aside], axis=-1)


def lift_area_m2(plan_area_m2: float, lift_coefficient: float) -> float:
    """Upward wind force on the unit for each kPa of pressure.

    c_l A_plan, for wind from any direction.
    Source: EN 1991-1-4:2005, 5.3 (practice).
    """
    return plan_area_m2 * lift_coefficient
