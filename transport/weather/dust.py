"""Dust: the wind at which loose ground begins to fly onto an uncovered coating."""

import numpy as np

from shared.arrays import Array
from shared.tables import figure
from shared.units import STANDARD_GRAVITY_MPS2

__all__ = ["lifting_wind_mps", "threshold_friction_mps", "wind_from_friction_mps"]


def threshold_friction_mps(diameter_m: Array, density_kg_per_m3: float) -> Array:
    """Friction velocity at which dry grains of one size begin to move.

    u* = sqrt(A (rho_p g d / rho + gamma / (rho d))).      Valid: dry, loose, bare ground.
    Source: Shao and Lu 2000 (memory).
    """
    weight = figure("weather_dust_grain_kg_per_m3") * STANDARD_GRAVITY_MPS2 * diameter_m
    cohesion = figure("weather_dust_cohesion_kg_per_s2") / diameter_m
    return np.sqrt(figure("weather_dust_threshold") * (weight + cohesion) / density_kg_per_m3)


def wind_from_friction_mps(friction_mps: Array, height_m: float, roughness_m: float) -> Array:
    """Mean wind at a height from the friction velocity.

    v = u* ln(z / z0) / kappa.      Valid: neutral air.      Source: logarithmic law of the wall (memory).
    """
    return friction_mps * float(np.log(height_m / roughness_m)) / figure("weather_von_karman")


def lifting_wind_mps(density_kg_per_m3: float) -> float:
    """Mean wind at 10 m at which the most easily moved grain of a bare dirt road begins to fly.

    Least of u*(d) at d = sqrt(gamma / (rho_p g)), carried to 10 m.      Source: Shao and Lu 2000 (memory).
    """
    weight = figure("weather_dust_grain_kg_per_m3") * STANDARD_GRAVITY_MPS2
    easiest_m = np.sqrt(np.asarray(figure("weather_dust_cohesion_kg_per_s2") / weight))
    friction_mps = threshold_friction_mps(easiest_m, density_kg_per_m3)
    height_m, roughness_m = figure("weather_wind_height_m"), figure("weather_dust_roughness_m")
    return float(wind_from_friction_mps(friction_mps, height_m, roughness_m))
