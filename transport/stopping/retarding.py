"""Holding the speed on a descent by gear, hydrostatic drive or retarder, without any service brake."""

import numpy as np
from numpy.typing import ArrayLike

from shared.arrays import Array
from shared.units import STANDARD_GRAVITY_MPS2
from transport.stopping.resistance import grade_force_kN, rolling_force_kN

__all__ = ["descent_energy_MJ", "holding_force_kN", "steepest_held_ratio", "temperature_rise_K"]


def holding_force_kN(mass_t: ArrayLike, descent_ratio: ArrayLike, rolling_ratio: ArrayLike) -> Array:
    """Force that holds the speed on a descent: m g sin(theta) - C_rr m g cos(theta), never below 0.

    `descent_ratio` is positive downhill. Shapes broadcast. Source: statics.
    """
    pull = grade_force_kN(mass_t, descent_ratio) - rolling_force_kN(mass_t, descent_ratio, rolling_ratio)
    return np.maximum(pull, 0.0)


def steepest_held_ratio(
    force_kN: ArrayLike, mass_t: float, rolling_ratio: ArrayLike, adhesion_ratio: ArrayLike, driven_mass_t: float
) -> Array:
    """Steepest descent that a retarding force holds: the lesser of what the force and what the driven wheels allow.

    sin(theta) - C cos(theta) = F / (m g) gives theta = asin(F / (m g sqrt(1 + C^2))) + atan C; the wheels give
    tan(theta) = C + mu m_driven / m. A force above the weight holds every grade of the second kind.
    Shapes broadcast; ratio. Source: statics, solved for the grade.
    """
    rolling = np.asarray(rolling_ratio, dtype=float)
    share = np.asarray(force_kN, dtype=float) / (mass_t * STANDARD_GRAVITY_MPS2 * np.hypot(1.0, rolling))
    angle = np.arcsin(np.minimum(share, 1.0)) + np.arctan(rolling)
    by_force = np.where(angle < np.pi / 2.0, np.tan(np.minimum(angle, 1.57)), np.inf)
    by_force = np.where(np.isnan(angle), np.nan, by_force)
    return np.minimum(by_force, rolling + np.asarray(adhesion_ratio, dtype=float) * driven_mass_t / mass_t)


def descent_energy_MJ(mass_t: float, station_m: Array, grade_ratio: Array, rolling_ratio: Array) -> float:
    """Heat that brakes would take if they held every descent of the road: m g sum(max(-G - C_rr, 0) dx).

    Shapes: (station,), mean of the two ends of each step. Source: energy balance.
    """
    steep = np.maximum(-grade_ratio - rolling_ratio, 0.0)
    return float(mass_t * STANDARD_GRAVITY_MPS2 * np.trapezoid(steep, station_m) / 1000.0)


def temperature_rise_K(energy_MJ: float, iron_t: float, heat_per_kg: float) -> float:
    """Rise of brake iron that takes all the heat and gives none away: E / (m c).

    Validity: no cooling, no melting; an upper bound that shows why a crawl is not held on the service brake.
    Source: calorimetry.
    """
    return energy_MJ * 1e6 / (iron_t * 1000.0 * heat_per_kg)
