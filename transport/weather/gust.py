"""From a mean wind to a 3 s gust: peak factors, gust factors, floors."""

import numpy as np

from shared.arrays import Array
from shared.ranges import require
from shared.tables import figure
from transport.weather.fields import Values

__all__ = [
    "convective_gust_mps",
    "crane_gust_ratio",
    "gust_ratio",
    "largest_value_factor",
    "peak_factor",
    "pressure_gust_ratio",
    "sampled_peak_factor",
    "zero_crossing_hz",
]


def largest_value_factor(rate_hz: Array, duration_s: Array) -> Array:
    """How many standard deviations the largest value of a normal process lies above its mean.

    g = sqrt(2 ln(nu T)) + 0.5772 / sqrt(2 ln(nu T)).      Valid: nu T >= e.
    Source: Davenport 1964 (memory).
    """
    require(rate_hz * duration_s, np.e, np.inf, name="nu T", what="the range of the largest-value formula")
    root = np.sqrt(2.0 * np.log(rate_hz * duration_s))
    return root + figure("weather_euler_gamma") / root


def _time_scale_s(height_m: Array) -> Array:
    return figure("weather_td1555_scale_m") * height_m ** figure("weather_td1555_scale_exponent")


def zero_crossing_hz(height_m: Array, gust_duration_s: float) -> Array:
    """How often a wind averaged over the gust duration crosses its mean upwards.

    nu = [0.007 + 0.213 (Tu / tau)^0.654] / Tu, Tu = 3.13 z^0.2.      Source: WMO/TD-No. 1555, appendix D (memory).
    """
    scale_s = _time_scale_s(height_m)
    slope = figure("weather_td1555_rate_slope") * (scale_s / gust_duration_s) ** figure("weather_td1555_rate_exponent")
    return (figure("weather_td1555_rate_base") + slope) / scale_s


def sampled_peak_factor(height_m: Array, gust_duration_s: float, exposure_s: Array) -> Array:
    """Peak factor of a gust of given length within a longer time.

    g = largest(nu, T) [1 - 0.193 (Tu / tau + 0.1)^-0.68].      Valid: strong, neutral wind.
    Source: WMO/TD-No. 1555, appendix D (memory).
    """
    loss = figure("weather_td1555_spread_loss") * (
        _time_scale_s(height_m) / gust_duration_s + figure("weather_td1555_spread_shift")
    ) ** figure("weather_td1555_spread_exponent")
    return largest_value_factor(zero_crossing_hz(height_m, gust_duration_s), exposure_s) * (1.0 - loss)


def peak_factor(height_m: Array, exposure_s: Array) -> Array:
    """Peak factor of the 3 s gust: that of EN 1991-1-4, or more where a long step lets a larger peak happen.

    g = max(3.5, sampled).      Source: EN 1991-1-4:2005, 4.5 (memory); WMO/TD-No. 1555 (memory).
    """
    sampled = sampled_peak_factor(height_m, figure("weather_gust_duration_s"), exposure_s)
    return np.maximum(figure("weather_peak_factor"), sampled)


def crane_gust_ratio(height_m: Array) -> Array:
    """3 s gust over the 10 min mean at 10 m, as crane rules take it.

    v(3 s) / v(10 min) = (z / 10)^0.14 + 0.4.      Source: EN 13001-2 (memory).
    """
    return (height_m / figure("weather_wind_height_m")) ** figure("weather_crane_exponent") + figure(
        "weather_crane_gust"
    )


def pressure_gust_ratio(intensity_ratio: Array) -> Array:
    """Speed that gives the peak pressure, over the mean; about 12 % below the peak that an anemometer sees.

    G = sqrt(1 + 7 Iv).      Source: EN 1991-1-4:2005, expression 4.8 (read).
    """
    return np.sqrt(1.0 + figure("weather_peak_pressure_factor") * intensity_ratio)


def gust_ratio(intensity_ratio: Array, peak_ratio: Array, floor_ratio: Array) -> Array:
    """3 s gust over mean: from turbulence, and never below a floor.

    G = max(1 + g Iv, floor).      Source: EN 1991-1-4:2005, 4.5 (memory); floor (practice).
    """
    return np.maximum(1.0 + peak_ratio * intensity_ratio, floor_ratio)


def convective_gust_mps(mean_mps: Values, added_mps: float) -> Values:
    """Gust of rising air that a factor on a light mean cannot foresee.

    gust = mean + added.      Source: common practice, no source (practice).
    """
    return mean_mps + np.asarray(added_mps, dtype=mean_mps.dtype)
