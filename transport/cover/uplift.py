"""The cover lifted as a whole."""

import numpy as np

from shared.arrays import Array

__all__ = ["rim_capacity_N_per_m", "rim_uplift_N_per_m", "uplift_pressure_Pa"]


def rim_uplift_N_per_m(pressure_Pa: float | Array, up_ratio: float, radius_m: float) -> Array:
    """Vertical line force at the rim: V = |cp| q R / 2, from F = |cp| q pi R^2 over 2 pi R.

    Source: statics (memory)
    """
    return np.asarray(up_ratio * np.asarray(pressure_Pa) * radius_m / 2.0)


def rim_capacity_N_per_m(fastener_capacity_N: float, pitch_m: float, safety_ratio: float) -> float:
    """Allowable force per length of rim: capacity / (pitch safety).

    Source: statics (memory)
    """
    return fastener_capacity_N / (pitch_m * safety_ratio)


def uplift_pressure_Pa(
    rim_capacity_N_per_m: float, up_ratio: float, radius_m: float, wind_factor_ratio: float
) -> Array:
    """Velocity pressure whose factored uplift uses up the rim: q = 2 capacity / (gamma |cp| R).

    Source: EN 1991-1-4:2005, 5.2 (memory); EN 1990:2002, table A1.2(B) (memory)
    """
    return np.asarray(2.0 * rim_capacity_N_per_m / (wind_factor_ratio * up_ratio * radius_m))
