"""Wind over flat ground: change of mean and turbulence with height, pressure of the peak. EN 1991-1-4, 4.3 to 4.5."""

import numpy as np

from shared.arrays import Array
from shared.ranges import require
from shared.tables import figure, published

__all__ = [
    "effective_height_m",
    "exposure_ratio",
    "log_ratio",
    "mean_wind_mps",
    "peak_pressure_Pa",
    "power_ratio",
    "roughness_length_m",
    "roughness_ratio",
    "terrain_ratio",
    "turbulence_ratio",
]


def roughness_length_m(category: str) -> float:
    """Roughness length z0 of a terrain category.

    Source: EN 1991-1-4:2005, table 4.1 (memory).
    """
    return float(published("terrain").row(category=category)["z0_m"])


def effective_height_m(height_m: Array, category: str) -> Array:
    """Height used in the profile: never below zmin of the terrain.

    z = max(z, zmin).      Valid: 0 to 200 m.      Source: EN 1991-1-4:2005, 4.3.2 (memory).
    """
    require(height_m, 0.0, figure("weather_profile_top_m"), name="height_m", what="the range of EN 1991-1-4 4.3.2")
    return np.maximum(height_m, float(published("terrain").row(category=category)["zmin_m"]))


def terrain_ratio(category: str) -> float:
    """Terrain factor kr.

    kr = 0.19 (z0 / z0,II)^0.07.      Source: EN 1991-1-4:2005, expression 4.5 (read).
    """
    roughness = roughness_length_m(category) / roughness_length_m("II")
    return float(figure("weather_terrain_factor") * roughness ** figure("weather_terrain_exponent"))


def roughness_ratio(height_m: Array, category: str) -> Array:
    """Roughness factor cr: mean wind at height z over flat ground, divided by the basic wind.

    cr = kr ln(z / z0).      Valid: 0 to 200 m.      Source: EN 1991-1-4:2005, expression 4.4 (read).
    """
    height = effective_height_m(height_m, category)
    return terrain_ratio(category) * np.log(height / roughness_length_m(category))


def mean_wind_mps(basic_mps: Array, height_ratio: Array, relief_ratio: Array) -> Array:
    """Mean wind at a height.

    vm = cr co vb.      Source: EN 1991-1-4:2005, expression 4.3 (read).
    """
    return height_ratio * relief_ratio * basic_mps


def turbulence_ratio(height_m: Array, category: str, relief_ratio: Array | float = 1.0) -> Array:
    """Turbulence intensity Iv; relief speeds the mean up and leaves the turbulence.

    Iv = kI / (co ln(z / z0)).      Valid: 0 to 200 m.      Source: EN 1991-1-4:2005, expression 4.7 (read).
    """
    height = effective_height_m(height_m, category)
    return figure("weather_turbulence_factor") / (relief_ratio * np.log(height / roughness_length_m(category)))


def peak_pressure_Pa(mean_mps: Array, intensity_ratio: Array, density_kg_per_m3: float) -> Array:
    """Peak velocity pressure.

    qp = (1 + 7 Iv) rho vm^2 / 2.      Source: EN 1991-1-4:2005, expression 4.8 (read).
    """
    return (1.0 + figure("weather_peak_pressure_factor") * intensity_ratio) * 0.5 * density_kg_per_m3 * mean_mps**2


def exposure_ratio(height_m: Array, category: str) -> Array:
    """Exposure factor ce: peak pressure over flat ground, divided by the basic pressure.

    ce = qp / qb = (1 + 7 Iv) cr^2.      Source: EN 1991-1-4:2005, expressions 4.9 and 4.10 (read).
    """
    basic_pressure_Pa = peak_pressure_Pa(np.asarray(1.0), np.asarray(0.0), 1.0)
    mean_mps = mean_wind_mps(np.asarray(1.0), roughness_ratio(height_m, category), np.asarray(1.0))
    return peak_pressure_Pa(mean_mps, turbulence_ratio(height_m, category), 1.0) / basic_pressure_Pa


def log_ratio(height_m: Array, reference_m: float, roughness_m: float) -> Array:
    """Mean wind at one height divided by that at another, logarithmic profile.

    v / v_ref = ln(z / z0) / ln(z_ref / z0).      Valid: z above z0.      Source: logarithmic law of the wall.
    """
    return np.log(height_m / roughness_m) / float(np.log(reference_m / roughness_m))


def power_ratio(height_m: Array, reference_m: float) -> Array:
    """Mean wind at one height divided by that at another, power law over open ground.

    v / v_ref = (z / z_ref)^a.      Source: common practice, no source (practice).
    """
    return np.asarray(np.power(height_m / reference_m, figure("weather_power_exponent")))
