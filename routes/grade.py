"""Grade over a short and a long base, and what the profile does to a long stiff deck."""

import numpy as np

from shared.arrays import Array

__all__ = [
    "best_base_m",
    "deck_rise_m",
    "error_over_best_base",
    "grade_over_base",
    "noise_of_base",
]


def noise_of_base(sigma_z_m: float, spacing_m: float, base_m: float) -> float:
    """Standard error of the grade of a straight line through the points on a base.

    sigma_G = sigma_z sqrt(12) / (d sqrt(N (N^2 - 1))), N = B / d + 1 points. Valid: N >= 2.
    Source: least squares of a line (derived).
    """
    count = base_m / spacing_m + 1.0
    return float(sigma_z_m * np.sqrt(12.0) / (spacing_m * np.sqrt(count * (count**2 - 1.0))))


def best_base_m(sigma_z_m: float, spacing_m: float, vertical_radius_m: float) -> float:
    """Base on which noise and rounding of a vertical curve are least together.

    B = (2048 sigma_z^2 d R^2)^(1/5). Source: minimum of 12 sigma^2 d / B^3 + (3 B / (32 R))^2 (derived).
    """
    return float((2048.0 * sigma_z_m**2 * spacing_m * vertical_radius_m**2) ** 0.2)


def error_over_best_base(sigma_z_m: float, spacing_m: float, vertical_radius_m: float) -> float:
    """Least error of a short-base grade that the survey can give, noise and rounding together.

    sqrt(12 sigma_z^2 d / B^3 + (3 B / (32 R))^2) on the best base. Source: as best_base_m.
    """
    base_m = best_base_m(sigma_z_m, spacing_m, vertical_radius_m)
    noise = sigma_z_m * np.sqrt(12.0 * spacing_m / base_m**3)
    return float(np.hypot(noise, 3.0 * base_m / (32.0 * vertical_radius_m)))


def grade_over_base(station_m: Array, elevation_m: Array, base_m: float) -> Array:
    """Slope of the least-squares line through the profile half a base to each side; less at the ends.

    Shapes: (station). Valid: at least 2 stations on half a base. Source: least squares of a line.
    """
    reach_m = 0.5 * base_m * (1.0 + 1e-9)
    first = np.searchsorted(station_m, station_m - reach_m, side="left")
    last = np.searchsorted(station_m, station_m + reach_m, side="right")
    s_m, z_m = station_m - station_m.mean(), elevation_m - elevation_m.mean()

    def window_sum(values: Array) -> Array:
        total = np.concatenate([[0.0], np.cumsum(values)])
        return np.asarray(total[last] - total[first])

    count, sum_s, sum_z = (last - first).astype(float), window_sum(s_m), window_sum(z_m)
    across = window_sum(s_m * z_m) - sum_s * sum_z / count
    return np.asarray(across / (window_sum(s_m**2) - sum_s**2 / count))


def deck_rise_m(station_m: Array, elevation_m: Array, length_m: float) -> Array:
    """Height of the road above the chord under the two ends of a length: what the suspension must take up.

    Positive on a crest, L^2 / (8 R) on a round one and L A / 4 on an angular one of grade change A. NaN
    within half a length of the ends. Shapes: (station). Source: geometry; the angular crest as in Eck and
    Kang, Transportation Research Record 1356 (read in an excerpt).
    """
    half_m = 0.5 * length_m
    behind = np.interp(station_m - half_m, station_m, elevation_m, left=np.nan)
    ahead = np.interp(station_m + half_m, station_m, elevation_m, right=np.nan)
    return np.asarray(elevation_m - 0.5 * (behind + ahead))
