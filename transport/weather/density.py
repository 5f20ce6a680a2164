"""Density of the air: standard atmosphere and dry air."""

from shared.ranges import require
from shared.tables import figure
from shared.units import STANDARD_GRAVITY_MPS2
from transport.weather.fields import Values

__all__ = [
    "dry_density_kg_per_m3",
    "geopotential_height_m",
    "standard_pressure_Pa",
    "standard_temperature_K",
]


def geopotential_height_m(height_m: Values) -> Values:
    """Height that gives the same potential energy under constant gravity.

    H = r h / (r + h), heights in m.      Source: ISO 2533:1975 (memory).
    """
    radius_m = figure("weather_isa_earth_radius_m")
    return radius_m * height_m / (radius_m + height_m)


def standard_temperature_K(height_m: Values) -> Values:
    """Temperature of the standard atmosphere at geopotential height H.

    T = T0 + L H.      Valid: -500 to 11 000 m.      Source: ISO 2533:1975 (memory).
    """
    require(height_m, -500.0, 11_000.0, name="height_m", what="the troposphere of the standard atmosphere")
    return figure("weather_isa_temperature_K") + figure("weather_isa_lapse_K_per_m") * height_m


def standard_pressure_Pa(height_m: Values) -> Values:
    """Pressure of the standard atmosphere at geopotential height H.

    p = p0 (T / T0)^(-g / (R L)).      Valid: -500 to 11 000 m.      Source: ISO 2533:1975 (memory).
    """
    ratio = standard_temperature_K(height_m) / figure("weather_isa_temperature_K")
    gas_lapse = figure("weather_isa_gas_constant_J_per_kgK") * figure("weather_isa_lapse_K_per_m")
    return figure("weather_isa_pressure_Pa") * ratio ** (-STANDARD_GRAVITY_MPS2 / gas_lapse)


def dry_density_kg_per_m3(pressure_Pa: Values, temperature_K: Values) -> Values:
    """Density of dry air, an upper bound for moist air.

    rho = p / (R T).      Source: ideal gas law.
    """
    return pressure_Pa / (figure("weather_isa_gas_constant_J_per_kgK") * temperature_K)
