"""How the ground at each station changes the wind: relief by wind sector, height, turbulence.

Tables have one row a station and 361 columns: one a degree of wind direction, and a last one for "any direction".
"""

from typing import NamedTuple

import numpy as np

from shared.arrays import Array
from shared.tables import figure
from shared.units import wrap_180_deg
from transport.weather.gust import crane_gust_ratio, gust_ratio, peak_factor
from transport.weather.inputs import Relief, Shape, Site
from transport.weather.orography import (
    asce_ratio,
    cliff_location,
    effective_length_m,
    en_ratio,
    hill_location,
)
from transport.weather.profile import (
    effective_height_m,
    log_ratio,
    power_ratio,
    roughness_length_m,
    roughness_ratio,
    turbulence_ratio,
)

__all__ = ["Exposure", "exposure", "flat_ratio", "relief_ratio", "relief_table", "shape_ratio"]

ANY = 360


class Exposure(NamedTuple):
    """Ratios on the forecast wind, (station, 361): relief; mean at the load; 3 s gust at the load from the mean."""

    relief: Array
    mean: Array
    gust_from_mean: Array
    height_m: float
    factor: float


def shape_ratio(shape: Shape, load_height_m: float, category: str) -> float:
    """Relief factor of an isolated hill, ridge or cliff: the larger of EN 1991-1-4 and ASCE/SEI 7.

    max(co, sqrt(Kzt)); the half length of ASCE is half the upwind slope.
    Source: EN 1991-1-4:2005, annex A.3 (memory); ASCE/SEI 7-22, figure 26.8-1 (memory); the larger (practice).
    """
    x_m, length_m = np.asarray(shape.crest_distance_m), effective_length_m(shape.height_m, shape.upwind_length_m)
    a = np.asarray(load_height_m / length_m)
    if shape.feature == "cliff":
        location = cliff_location(x_m, a, shape.upwind_length_m, length_m)
    else:
        location = hill_location(x_m, a, shape.upwind_length_m, shape.downwind_length_m)
    slope = np.asarray(shape.height_m / shape.upwind_length_m)
    half_m = shape.upwind_length_m / 2.0
    pressure = asce_ratio(x_m, np.asarray(load_height_m), shape.height_m, half_m, shape.feature, category)
    return float(np.maximum(en_ratio(location, slope), np.sqrt(pressure)))


def relief_ratio(relief: Relief, load_height_m: float, category: str) -> float:
    """Relief factor as stated, or worked out from the stated shape.

    Source: input of the move, or shape_ratio.
    """
    if relief.shape is not None:
        return shape_ratio(relief.shape, load_height_m, category)
    return float("nan") if relief.factor_ratio is None else relief.factor_ratio


def _in_sector(sector_deg: tuple[float, float], spread_deg: float) -> np.ndarray:
    width_deg = (sector_deg[1] - sector_deg[0]) % 360.0 or 360.0
    off_deg = np.abs(wrap_180_deg(np.arange(ANY) + 0.5 - (sector_deg[0] + width_deg / 2.0)))
    return np.asarray(off_deg <= width_deg / 2.0 + spread_deg + 0.5)


def relief_table(site: Site, station_m: Array, load_height_m: float, spread_deg: float) -> Array:
    """Relief factor for each station and degree of direction; each sector is widened by the spread of direction.

    Where stretches overlap the largest counts.      Source: EN 1991-1-4:2005, 4.3.3 (memory); widening (practice).
    """
    table = np.ones((len(station_m), ANY + 1))
    for relief in site.relief:
        rows = (station_m >= relief.from_station_m) & (station_m <= relief.to_station_m)
        columns = np.append(_in_sector(relief.wind_from_deg, spread_deg), False)
        factor = relief_ratio(relief, load_height_m, site.terrain_category)
        table[np.ix_(rows, columns)] = np.maximum(table[np.ix_(rows, columns)], factor)
    table[:, ANY] = table[:, :ANY].max(axis=1)
    return table


def flat_ratio(site: Site, load_height_m: float) -> float:
    """Mean wind at the load over flat ground, divided by the forecast wind at 10 m.

    max(cr(z), 1) at 10 m or above; below 10 m only if measured: times max(logarithmic, power law).
    Source: EN 1991-1-4:2005, 4.3.2 (read); no shelter counted (practice).
    """
    reference_m, category = figure("weather_wind_height_m"), site.terrain_category
    ratio = np.maximum(roughness_ratio(np.asarray(max(load_height_m, reference_m)), category), 1.0)
    if site.height_reduction_measured and load_height_m < reference_m:
        height_m = np.minimum(effective_height_m(np.asarray(load_height_m), category), reference_m)
        by_log = log_ratio(height_m, reference_m, roughness_length_m(category))
        ratio = ratio * np.maximum(by_log, power_ratio(height_m, reference_m))
    return float(ratio)


def exposure(site: Site, station_m: Array, load_height_m: float, spread_deg: float, step_s: float) -> Exposure:
    """Ratios on the forecast wind at each station and for each direction.

    mean = flat x co; gust from mean = mean x max(1 + g Iv / co, floor).
    Source: EN 1991-1-4:2005, 4.3 to 4.5 (read).
    """
    relief = relief_table(site, station_m, load_height_m, spread_deg)
    lowest_m = 0.0 if site.height_reduction_measured else figure("weather_wind_height_m")
    height_m = np.asarray(max(load_height_m, lowest_m))
    mean = flat_ratio(site, load_height_m) * relief
    factor = peak_factor(height_m, np.asarray(step_s))
    floor = np.maximum(site.minimum_gust_ratio, crane_gust_ratio(height_m))
    turbulence = turbulence_ratio(height_m, site.terrain_category, relief)
    return Exposure(relief, mean, mean * gust_ratio(turbulence, factor, floor), float(height_m), float(factor))
