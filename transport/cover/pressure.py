"""Velocity pressure of a gust, pressure coefficients of the cover, and the largest pressure a check bears."""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from shared.arrays import Array
from shared.tables import published

__all__ = [
    "Coefficients",
    "coefficients",
    "downward_ratio",
    "dynamic_pressure_Pa",
    "gust_mps",
    "largest_pressure_Pa",
]

HALVINGS = 60


class Coefficients(NamedTuple):
    """Pressure coefficients of one kind of underside; upward ones as positive numbers."""

    down_ratio: float
    down_gradient_ratio: float
    up_ratio: float
    rim_ratio: float
    fastener_ratio: float
    external_ratio: float


def coefficients(underside: str) -> Coefficients:
    """Look up the pressure coefficients for an underside that is "closed" or "open".

    Source: pressure.csv: EN 1991-1-4:2005 table 7.2 and 7.2.9(6), BS 6399-2:1997 table 13 (practice)
    """
    row = published("pressure").row(underside=underside)
    return Coefficients(*(float(row[name]) for name in Coefficients._fields))


def dynamic_pressure_Pa(gust_mps: float | Array, air_density_kg_per_m3: float) -> Array:
    """Velocity pressure of a 3 s gust: q = rho U^2 / 2, Pa from m/s and kg/m3.

    Source: EN 1991-1-4:2005, 4.5, expression (4.8) with the gust already a peak (memory)
    """
    return np.asarray(0.5 * air_density_kg_per_m3 * np.square(gust_mps))


def gust_mps(pressure_Pa: float | Array, air_density_kg_per_m3: float) -> Array:
    """Gust that has a velocity pressure: U = sqrt(2 q / rho); a negative pressure gives 0, NaN stays NaN.

    Source: inverse of EN 1991-1-4:2005, expression (4.8) (memory)
    """
    return np.asarray(np.sqrt(2.0 * np.maximum(pressure_Pa, 0.0) / air_density_kg_per_m3))


def downward_ratio(dynamic_factor_ratio: float, down_ratio: float, up_ratio: float) -> float:
    """Coefficient of the downward push, gust or rebound: c = max(DAF c_down, (DAF - 1) |c_up|).

    A cover that is sucked up swings back below its rest position by the dynamic part of the upward bow.
    Source: undamped single degree of freedom (practice)
    """
    return max(dynamic_factor_ratio * down_ratio, (dynamic_factor_ratio - 1.0) * up_ratio)


def largest_pressure_Pa(holds: Callable[[Array], Array], upper_Pa: Array) -> Array:
    """Largest pressure between 0 and an upper bound at which a monotone check holds, by halving.

    Shapes: any, elementwise. NaN in the bound stays NaN; a check that never holds gives 0.
    Source: bisection (practice)
    """
    high = np.maximum(upper_Pa, 0.0)
    low = high * 0.0
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        good = holds(middle)
        low, high = np.where(good, middle, low), np.where(good, high, middle)
    return low
