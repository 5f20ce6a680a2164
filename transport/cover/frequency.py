"""Natural frequency of the cover with the air it carries, and the speed of the screening line."""

import numpy as np
from scipy.special import jn_zeros

from shared.arrays import Array
from shared.tables import figure, published

__all__ = ["added_mass_kg_per_m2", "membrane_frequency_hz", "watch_speed_mps"]


def added_mass_kg_per_m2(radius_m: float, air_density_kg_per_m3: float, diameters_count: int = 0) -> float:
    """Air that moves with the lowest mode of a number of nodal diameters, both sides: m_air = 2 c rho R.

    Air deep on both sides, rim in a baffle. Source: added_mass.csv (own)
    """
    row = published("added_mass").row(diameters_count=str(diameters_count), circles_count="1")
    return 2.0 * float(row["added_mass_ratio"]) * air_density_kg_per_m3 * radius_m


def membrane_frequency_hz(
    tension_N_per_m: float | Array, mass_kg_per_m2: float, radius_m: float, diameters_count: int = 0
) -> Array:
    """Lowest frequency of a round membrane: f = j_m1 / (2 pi R) sqrt(T / m), m with the added air.

    Source: theory of membranes, zeros of Bessel functions (memory)
    """
    zero = float(jn_zeros(diameters_count, 1)[0])
    return np.asarray(zero / (2.0 * np.pi * radius_m) * np.sqrt(np.asarray(tension_N_per_m) / mass_kg_per_m2))


def watch_speed_mps(frequency_hz: float | Array, radius_m: float) -> Array:
    """Gust above which the cover must be watched: U = V_r f 2R with the reduced velocity V_r = 1.

    Source: screening line (practice)
    """
    return np.asarray(figure("cover_reduced_velocity_ratio") * np.asarray(frequency_hz) * 2.0 * radius_m)
