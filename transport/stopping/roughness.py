"""Road roughness of a class: power density, response of one wheel, greatest peak of a journey."""

import numpy as np
from numpy.typing import ArrayLike

from shared.arrays import Array
from shared.tables import figure

__all__ = ["expected_peak_factor_ratio", "pseudo_acceleration_rms_mps2", "velocity_density_m2_per_s"]


def velocity_density_m2_per_s(displacement_m3: ArrayLike, speed_mps: ArrayLike) -> Array:
    """Power density of vertical velocity at a wheel, the same at every frequency: (2 pi)^2 Gd(n0) n0^2 v.

    Shapes broadcast; (m/s)^2/Hz, one-sided. Validity: waviness 2. Source: ISO 8608 (memory), f = n v.
    """
    n0_per_m = figure("stopping_reference_wavenumber_per_m")
    scale = (2.0 * np.pi * n0_per_m) ** 2
    return np.asarray(scale * np.asarray(displacement_m3, dtype=float) * np.asarray(speed_mps, dtype=float))


def pseudo_acceleration_rms_mps2(
    velocity_density_m2_per_s: ArrayLike, frequency_hz: float, damping_ratio: float
) -> Array:
    """Root mean square of spring force over mass on one wheel: sqrt(Gv w^3 / (8 zeta)).

    Shapes broadcast. Validity: point follower, flat velocity density; several lines average to less.
    Source: random vibration of one oscillator (memory).
    """
    w3 = (2.0 * np.pi * frequency_hz) ** 3
    return np.asarray(np.sqrt(np.asarray(velocity_density_m2_per_s, dtype=float) * w3 / (8.0 * damping_ratio)))


def expected_peak_factor_ratio(cycles_count: ArrayLike) -> Array:
    """Expected greatest peak of N cycles over the root mean square: c + 0.5772 / c, c = sqrt(2 ln N).

    Shapes broadcast. Validity: N from 10. Source: Davenport (1964), largest value of a narrow-band process (memory).
    """
    c = np.sqrt(2.0 * np.log(np.maximum(cycles_count, 10.0)))
    return np.asarray(c + np.euler_gamma / c)
