"""Dew and frost on the mirror: dew point, frost point, temperature of the mirror, margin."""

import numpy as np

from shared.tables import figure, published
from shared.units import celsius_from_kelvin, kelvin_from_celsius
from transport.weather.fields import Values

__all__ = [
    "cooled_down_to_K",
    "deposit_point_K",
    "dew_margin_K",
    "dew_point_K",
    "lapse_corrected_K",
    "saturation_pressure_Pa",
]

WATER, ICE = "WMO water", "WMO ice"


def _fit(fit: str) -> tuple[float, float, float]:
    row = published("saturation").row(fit=fit)
    return 100.0 * float(row["c_hPa"]), float(row["a"]), float(row["b_c"])


def saturation_pressure_Pa(temperature_K: Values, fit: str = WATER) -> Values:
    """Vapour pressure of saturated air.

    es = c exp(a T / (b + T)), T in degC.      Valid: about -45 to 60 degC.
    Source: Magnus form; fits of shared/published/saturation.csv (memory).
    """
    c_Pa, a, b_c = _fit(fit)
    temperature_c = celsius_from_kelvin(temperature_K)
    return c_Pa * np.exp(a * temperature_c / (b_c + temperature_c))


def _point_K(vapour_Pa: Values, fit: str) -> Values:
    c_Pa, a, b_c = _fit(fit)
    exponent = np.log(vapour_Pa / c_Pa)
    return kelvin_from_celsius(b_c * exponent / (a - exponent))


def dew_point_K(temperature_K: Values, humidity_ratio: Values, fit: str = WATER) -> Values:
    """Temperature at which water begins to condense from the air.

    Td = b g / (a - g), g = ln(e / c), e = RH es(T).      Source: Magnus form inverted, WMO-No. 8 (memory).
    """
    return _point_K(humidity_ratio * saturation_pressure_Pa(temperature_K, fit), fit)


def deposit_point_K(dew_K: Values) -> Values:
    """Temperature at which water or frost begins to settle: the higher of dew point and frost point.

    Below 0 degC the frost point lies above the dew point of the same vapour: Tf = b_i g / (a_i - g), g = ln(e / c_i).
    Source: WMO-No. 8, saturation over ice (memory).
    """
    frost_K = _point_K(saturation_pressure_Pa(dew_K), ICE)
    return np.maximum(dew_K, np.where(dew_K < kelvin_from_celsius(0.0), frost_K, dew_K))


def cooled_down_to_K(measured_K: float, air_K: Values, axis: int) -> Values:
    """Coldest the mirror can be after each step: as measured, or as cold as the air has been since.

    Tm(t) = min(T measured, min of T air since).      Source: house rule, a mirror never counts as warmer (practice).
    """
    return np.minimum(measured_K, np.minimum.accumulate(air_K, axis=axis))


def dew_margin_K(mirror_K: Values, dew_K: Values) -> Values:
    """How much warmer the mirror is than the temperature at which it turns wet or white.

    margin = T mirror - max(dew point, frost point).      NaN where the mirror is not known.      Source: definition.
    """
    return mirror_K - deposit_point_K(dew_K)


def lapse_corrected_K(air_K: Values, road_above_model_m: Values) -> Values:
    """Air temperature on a road that lies above the ground of the forecast model; never warmer than the forecast.

    T = T model + L max(dz, 0), L of the standard atmosphere.
    Source: ISO 2533:1975 (memory), one-sided use (practice).
    """
    return air_K + figure("weather_isa_lapse_K_per_m") * np.maximum(road_above_model_m, 0.0)
