"""Thunder: how far away the lightning is that is heard after a count of seconds."""

import numpy as np

from shared.arrays import Array
from shared.tables import figure
from shared.units import kelvin_from_celsius

__all__ = ["sound_speed_mps", "thunder_distance_m"]


def sound_speed_mps(air_K: Array) -> Array:
    """Speed of sound in dry air.

    c = c0 sqrt(T / 273.15 K).      Source: ideal gas (memory).
    """
    return figure("weather_sound_speed_mps") * np.sqrt(air_K / kelvin_from_celsius(0.0))


def thunder_distance_m(count_s: float, air_K: Array) -> Array:
    """Distance of a flash whose thunder comes after the count.

    s = c t.      Source: speed of sound; the 30-30 rule stops work at a count of 30 s (read).
    """
    return count_s * sound_speed_mps(air_K)
