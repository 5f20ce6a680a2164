"""Roughness under a platform of many axle lines: the lines average what a single wheel would follow."""

import numpy as np

from shared.arrays import Array
from shared.tables import figure

__all__ = ["heave_factors_s_per_m", "line_average_ratio", "worst_up_to"]

WAVES_COUNT = 4000  # wave numbers of the integral


def line_average_ratio(wavenumber_per_m: Array, line_x_m: Array) -> Array:
    """Share of the power of a wave that reaches the mean of all lines: |mean(exp(2 pi i n x))|^2.

    N lines of pitch p: (sin(N pi n p) / (N sin(pi n p)))^2. Shapes: (wave,). Source: transfer function of a mean.
    """
    turned = np.exp(2j * np.pi * np.outer(line_x_m, wavenumber_per_m))
    return np.asarray(np.square(np.abs(turned.mean(axis=0))))


def heave_factors_s_per_m(speed_mps: Array, line_x_m: Array, frequency_hz: float, damping_ratio: float) -> Array:
    """Root mean square of heave acceleration over sqrt(Gd(n0)), for each speed.

    sigma^2 / Gd = integral over n of (2 pi n0)^2 (2 pi n)^2 v^4 |H|^2 sinc(n b)^2 |lines|^2 / 2, with
    |H|^2 = (1 + (2 zeta r)^2) / ((1 - r^2)^2 + (2 zeta r)^2), r = n v / f. Tyre contact averages over b; left and
    right wheels are taken as independent (factor 1/2). Shapes: speed (speed,), line_x (line,), result (speed,).
    Validity: rigid deck, waves of 0.01 to 10 cycle/m. Source: random vibration; ISO 8608 (memory).
    """
    low, high = figure("stopping_lowest_wavenumber_per_m"), figure("stopping_highest_wavenumber_per_m")
    waves = np.geomspace(low, high, WAVES_COUNT)
    averaged = (
        line_average_ratio(waves, line_x_m) * np.square(np.sinc(waves * figure("stopping_contact_length_m"))) / 2.0
    )
    r2 = np.square(np.outer(speed_mps, waves) / frequency_hz)
    damped = 4.0 * damping_ratio**2 * r2
    gain = (1.0 + damped) / (np.square(1.0 - r2) + damped)
    n0_per_m = figure("stopping_reference_wavenumber_per_m")
    density = (4.0 * np.pi**2 * n0_per_m * waves) ** 2 * gain * averaged
    return np.asarray(np.square(speed_mps) * np.sqrt(np.trapezoid(density, waves, axis=1)))


def worst_up_to(speed_mps: Array, grid_mps: Array, factor_s_per_m: Array) -> Array:
    """Greatest factor of all grid speeds up to the next one at or above each speed: every speed is driven through.

    Shapes: speed (station,), grid and factor_s_per_m (speed,), the grid rises to the
    greatest speed. NaN stays NaN.
    Source: least favourable speed on the way (practice).
    """
    known = np.where(np.isnan(speed_mps), grid_mps[0], speed_mps)
    place = np.minimum(np.searchsorted(grid_mps, known), grid_mps.size - 1)
    return np.where(np.isnan(speed_mps), np.nan, np.maximum.accumulate(factor_s_per_m)[place])
