"""The rest of the weather over the road, worst station of each step: air, dew, rain, sight. Arrays (member, step)."""

from typing import NamedTuple

import numpy as np

from shared.arrays import Array
from transport.weather.density import dry_density_kg_per_m3, geopotential_height_m, standard_pressure_Pa
from transport.weather.dew import cooled_down_to_K, dew_margin_K, lapse_corrected_K
from transport.weather.fields import Values
from transport.weather.neighbourhood import Neighbourhood
from transport.weather.space import interpolated

__all__ = ["Mirror", "air_temperature_K", "highest_density_kg_per_m3", "margin_K", "over_road"]


class Mirror(NamedTuple):
    """Temperature of the mirror as measured, and when (UTC)."""

    temperature_K: float
    at: np.datetime64


def over_road(near: Neighbourhood, values: Values, pick: np.ufunc) -> Values:
    """Highest (np.maximum) or lowest (np.minimum) value over all stations, (member, step); outside the grid NaN.

    Source: house rule, the worst station counts (practice).
    """
    if near.outside.any() or np.isnan(values).all():
        return np.full(near.shape, np.nan, dtype=np.float32)
    result: Values = pick.reduce(interpolated(near.matrix, values), axis=0).reshape(near.shape)
    return result


def air_temperature_K(near: Neighbourhood, elevation_m: Array) -> Values:
    """Lowest air temperature over the road; where the road lies above the ground of the model it is colder.

    Source: ISO 2533:1975 lapse (memory), one-sided use (practice).
    """
    if near.outside.any() or np.isnan(near.low["air_temperature_K"]).all():
        return np.full(near.shape, np.nan, dtype=np.float32)
    above_m = (elevation_m - near.matrix @ near.altitude_m).astype(np.float32)
    air_K = lapse_corrected_K(interpolated(near.matrix, near.low["air_temperature_K"]), above_m[:, None])
    result: Values = np.min(air_K, axis=0).reshape(near.shape)
    return result


def margin_K(near: Neighbourhood, air_K: Values, mirror: Mirror | None) -> Values:
    """Margin of the mirror against dew and frost; NaN before the measurement, without one, or if it is too old.

    Source: dew_margin_K, cooled_down_to_K.
    """
    result = np.full(near.shape, np.nan, dtype=np.float32)
    if mirror is None or mirror.at < near.start[0]:
        return result
    since = near.end > mirror.at
    mirror_K = cooled_down_to_K(mirror.temperature_K, air_K[:, since], axis=1)
    dew_K = over_road(near, near.high["dew_point_K"], np.maximum)
    result[:, since] = dew_margin_K(mirror_K, dew_K[:, since])
    return result


def highest_density_kg_per_m3(near: Neighbourhood, air_K: Values, elevation_m: Array) -> Values:
    """Highest density of the air over the road, (member, step); dry air is the upper bound of moist air.

    rho = p / (R T lowest); without pressure in the feed that of the standard atmosphere at the lowest station.
    Source: ideal gas law; ISO 2533:1975 (memory).
    """
    pressure_Pa = over_road(near, near.high["surface_pressure_Pa"], np.maximum)
    if np.isnan(near.high["surface_pressure_Pa"]).all():
        lowest_m = np.asarray(np.min(elevation_m))
        pressure_Pa = np.broadcast_to(standard_pressure_Pa(geopotential_height_m(lowest_m)), near.shape)
    return dry_density_kg_per_m3(pressure_Pa, air_K)
