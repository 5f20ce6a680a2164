"""The weather fields that the software understands, and the array type that holds them."""

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from shared.tables import published

__all__ = ["BENT_DIMENSIONS", "DIMENSIONS", "NAMES", "Bounds", "Instants", "Values", "bounds_of"]

Values = NDArray[np.floating[Any]]
Instants = NDArray[np.datetime64]

DIMENSIONS = ("realization", "time", "latitude", "longitude")
BENT_DIMENSIONS = ("realization", "time", "y", "x")

NAMES: dict[str, str] = {
    "wind_speed": "mean_wind_mps",
    "wind_from_direction": "wind_from_deg",
    "eastward_wind": "eastward_wind_mps",
    "northward_wind": "northward_wind_mps",
    "x_wind": "x_wind_mps",
    "y_wind": "y_wind_mps",
    "wind_speed_of_gust": "gust_mps",
    "air_temperature": "air_temperature_K",
    "dew_point_temperature": "dew_point_K",
    "relative_humidity": "relative_humidity_ratio",
    "surface_air_pressure": "surface_pressure_Pa",
    "precipitation_amount": "precipitation_mm_per_h",
    "precipitation_flux": "precipitation_mm_per_h",
    "lwe_thickness_of_precipitation_amount": "precipitation_mm_per_h",
    "lwe_precipitation_rate": "precipitation_mm_per_h",
    "visibility_in_air": "visibility_m",
    "surface_altitude": "surface_altitude_m",
}


class Bounds(NamedTuple):
    """What a field may hold near the ground, and the height above ground it must be given for."""

    low: float
    high: float
    height_low_m: float
    height_high_m: float


def bounds_of(name: str) -> Bounds:
    """The plausible range and height of a field of the normal form.

    Source: practice, shared/published/weather_fields.csv (practice).
    """
    row = published("weather_fields").row(name=name)
    return Bounds(*(float(row[part]) for part in Bounds._fields))
