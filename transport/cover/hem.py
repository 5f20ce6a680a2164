"""The free hem: the part that flaps first; and the hem under its rope between two fastenings."""

import numpy as np

from shared.arrays import Array
from shared.tables import figure, published

__all__ = ["flutter_speed_mps", "speed_ratio"]

LEAST_LENGTH_M = 0.001


def speed_ratio(mass_ratio: float) -> float:
    """Reduced flutter speed U L sqrt(m / D) at the mass ratio rho L / m, log-log in the table, less 3 %.

    A mass ratio below the table takes its first value, which is the least there.
    Above the table is an error. Source: hem_flutter.csv (own)
    """
    table = published("hem_flutter")
    known = table.numbers("mass_ratio")
    held = max(mass_ratio, float(known[0]))
    table.interpolate("mass_ratio", "speed_ratio", held)
    log_speed = np.interp(np.log(held), np.log(known), np.log(table.numbers("speed_ratio")))
    return float(np.exp(log_speed)) / figure("cover_hem_interpolation_ratio")


def flutter_speed_mps(
    length_m: float, areal_mass_kg_per_m2: float, bending_stiffness_Nm: float, air_density_kg_per_m3: float
) -> Array:
    """Onset of flutter of a hem clamped at its windward edge: U = U* sqrt(D / m) / L; inf below 1 mm.

    Two-dimensional linear theory, lower than measured onsets.
    Source: hem_flutter.csv (own); Kornecki, Dowell and O'Brien 1976 (memory)
    """
    if length_m < LEAST_LENGTH_M:
        return np.asarray(np.inf)
    reduced = speed_ratio(air_density_kg_per_m3 * length_m / areal_mass_kg_per_m2)
    return np.asarray(reduced * np.sqrt(bending_stiffness_Nm / areal_mass_kg_per_m2) / length_m)
