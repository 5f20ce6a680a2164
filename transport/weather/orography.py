"""Speed-up of the wind over isolated hills, ridges and cliffs: EN 1991-1-4 annex A.3 and ASCE/SEI 7 figure 26.8-1."""

import numpy as np

from shared.arrays import Array
from shared.tables import figure, published

__all__ = ["asce_ratio", "cliff_location", "crest_location", "effective_length_m", "en_ratio", "hill_location"]

ASCE_EXPOSURE = {"0": "k1_d", "I": "k1_d", "II": "k1_c", "III": "k1_b", "IV": "k1_b"}


def _polynomial(expression: str, value: Array) -> Array:
    row = published("relief_en").row(expression=expression)
    coefficients = np.array([float(row[power]) for power in ("c4", "c3", "c2", "c1", "c0")])
    return np.asarray(np.polyval(coefficients, value), dtype=np.float64)


def effective_length_m(height_m: float, upwind_length_m: float) -> float:
    """Length that scales the speed-up.

    Le = Lu for a slope H / Lu up to 0.3, else H / 0.3.      Source: EN 1991-1-4:2005, annex A.3 (memory).
    """
    return max(upwind_length_m, height_m / figure("weather_relief_slope_steep"))


def crest_location(height_ratio: Array, distance_ratio: Array, expression: str) -> Array:
    """Location factor s that decays from the crest; height ratio a = z / Le, distance ratio x / L.

    s = A(a) exp(B(a) x / L), with x / Lu upwind and x / Ld downwind.      Zero above a = 2.
    Source: EN 1991-1-4:2005, annex A.3, expressions A.4 to A.6 (memory).
    """
    decay = np.exp(_polynomial(expression, height_ratio) * distance_ratio)
    location = np.maximum(_polynomial("crest", height_ratio) * decay, 0.0)
    return np.where(height_ratio <= figure("weather_relief_top"), location, 0.0)


def hill_location(x_m: Array, height_ratio: Array, upwind_length_m: float, downwind_length_m: float) -> Array:
    """Location factor s of a hill or ridge at distance x from the crest (upwind negative).

    Upwind x / Lu from -1.5, downwind x / Ld to 2, zero beyond.      Source: EN 1991-1-4:2005, annex A.3 (memory).
    """
    upwind, downwind = x_m / upwind_length_m, x_m / downwind_length_m
    inside = (upwind >= figure("weather_relief_upwind_end")) & (downwind <= figure("weather_relief_downwind_end"))
    before = crest_location(height_ratio, np.minimum(upwind, 0.0), "upwind")
    behind = crest_location(height_ratio, np.maximum(downwind, 0.0), "downwind")
    return np.where(inside, np.where(x_m <= 0.0, before, behind), 0.0)


def _behind_cliff(height_ratio: Array, distance_ratio: Array) -> Array:
    level, place = np.log10(np.maximum(height_ratio, figure("weather_relief_cliff_start"))), np.log10(distance_ratio)
    square, linear = _polynomial("cliff square", level), _polynomial("cliff linear", level)
    return np.asarray(square * place**2 + linear * place + _polynomial("cliff constant", level))


def cliff_location(x_m: Array, height_ratio: Array, upwind_length_m: float, effective_m: float) -> Array:
    """Location factor s of a cliff at distance x from its edge (upwind negative).

    Behind the edge s = A k^2 + B k + C, k = log10(x / Le), coefficients in l = log10(z / Le); straight line from the
    edge to x / Le = 0.1; zero beyond 3.5.      Source: EN 1991-1-4:2005, annex A.3, expressions A.7 and A.8 (memory).
    """
    start, end = figure("weather_relief_cliff_start"), figure("weather_relief_cliff_end")
    along = x_m / effective_m
    edge = crest_location(height_ratio, np.zeros_like(along), "upwind")
    far = _behind_cliff(height_ratio, np.clip(along, start, end))
    near = edge + np.clip(along / start, 0.0, 1.0) * (far - edge)
    behind = np.where((along <= end) & (height_ratio <= figure("weather_relief_top")), np.maximum(near, 0.0), 0.0)
    return np.where(x_m <= 0.0, hill_location(np.minimum(x_m, 0.0), height_ratio, upwind_length_m, 1.0), behind)


def en_ratio(location_ratio: Array, slope_ratio: Array) -> Array:
    """Orography factor co on the mean wind.

    co = 1 for phi < 0.05; 1 + 2 s phi up to 0.3; 1 + 0.6 s above.      Source: EN 1991-1-4:2005, annex A.3 (memory).
    """
    steep = figure("weather_relief_slope_steep")
    gain = np.where(slope_ratio <= steep, 2.0 * slope_ratio, figure("weather_relief_steep_factor"))
    return np.where(slope_ratio < figure("weather_relief_slope_low"), 1.0, 1.0 + gain * location_ratio)


def asce_ratio(x_m: Array, z_m: Array, height_m: float, half_length_m: float, feature: str, category: str) -> Array:
    """Topographic factor Kzt on the gust PRESSURE; its root acts on speed.

    Kzt = (1 + K1 K2 K3)^2, K1 = c H / Lh, K2 = 1 - |x| / (mu Lh), K3 = exp(-gamma z / Lh); steeper than 0.5: H / Lh =
    0.5 in K1 and Lh = 2 H in K2 and K3.      Source: ASCE/SEI 7-22, figure 26.8-1 (memory).
    """
    row, limit = published("relief_asce").row(feature=feature), figure("weather_asce_slope_limit")
    length_m = max(half_length_m, height_m / limit)
    mu = np.where(x_m < 0.0, float(row["mu_upwind"]), float(row["mu_downwind"]))
    k1 = float(row[ASCE_EXPOSURE[category]]) * min(height_m / half_length_m, limit)
    k2 = np.maximum(1.0 - np.abs(x_m) / (mu * length_m), 0.0)
    return np.square(1.0 + k1 * k2 * np.exp(-float(row["gamma"]) * z_m / length_m))
