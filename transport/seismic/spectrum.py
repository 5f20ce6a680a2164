"""Elastic response spectra of EN 1998-1, horizontal and vertical."""

from typing import NamedTuple

import numpy as np

from shared.arrays import Array
from shared.ranges import require
from shared.tables import figure, published

__all__ = [
    "Shape",
    "damping_factor_ratio",
    "elastic_mps2",
    "ground_displacement_m",
    "shape",
    "spectral_displacement_m",
]

RANGE = "range of the elastic spectrum, EN 1998-1 3.2.2.2"


class Shape(NamedTuple):
    """Corner periods, amplification, and the factor on the ground acceleration (S, or a_vg / a_g)."""

    factor_ratio: float
    amplification_ratio: float
    tb_s: float
    tc_s: float
    td_s: float


def shape(component: str, spectrum_type: int, ground_type: str) -> Shape:
    """Look up the shape of a "horizontal" or "vertical" spectrum; the vertical one knows no ground type.

    Source: EN 1998-1:2004, tables 3.2, 3.3 and 3.4 (read)
    """
    ground = ground_type if component == "horizontal" else "any"
    keys = {"component": component, "spectrum_type": str(spectrum_type), "ground_type": ground}
    row = published("spectrum").row(**keys)
    return Shape(*(float(row[name]) for name in Shape._fields))


def damping_factor_ratio(damping_ratio: float) -> float:
    """Damping correction: eta = sqrt(10 / (5 + xi)), xi in percent, at least 0.55; for 0 to 0.5 of critical.

    Source: EN 1998-1:2004, 3.2.2.2(3), expression (3.6) (read)
    """
    require(damping_ratio, 0.0, 0.5, name="damping_ratio", what="range of the damping correction of EN 1998-1")
    return max(float(np.sqrt(10.0 / (5.0 + 100.0 * damping_ratio))), figure("seismic_damping_floor_ratio"))


def elastic_mps2(period_s: float | Array, peak_mps2: float, known: Shape, eta_ratio: float) -> Array:
    """Spectral acceleration; peak = a_g S, or a_vg; plateau k = 2.5 or 3.0.

    peak (1 + T / TB (k eta - 1)) up to TB, peak k eta to TC, times TC / T to TD, times TC TD / T^2 up to 4 s.
    Source: EN 1998-1:2004, 3.2.2.2(1) and 3.2.2.3(1), expressions (3.2) to (3.5), (3.8) to (3.11) (read)
    """
    period = np.asarray(require(period_s, 0.0, figure("seismic_longest_period_s"), name="period_s", what=RANGE))
    plateau = known.amplification_ratio * eta_ratio
    long = np.maximum(period, known.tc_s)
    rise = 1.0 + period / known.tb_s * (plateau - 1.0)
    fall = plateau * known.tc_s / long * np.minimum(known.td_s / long, 1.0)
    return np.asarray(peak_mps2 * np.where(period < known.tb_s, rise, fall))


def spectral_displacement_m(period_s: float | Array, acceleration_mps2: float | Array) -> Array:
    """Spectral displacement: S_De = S_e (T / 2 pi)^2.

    Source: EN 1998-1:2004, 3.2.2.2(5), expression (3.7) (read)
    """
    return np.asarray(acceleration_mps2 * np.square(np.asarray(period_s) / (2.0 * np.pi)))


def ground_displacement_m(peak_mps2: float, known: Shape) -> float:
    """Design ground displacement: d_g = 0.025 a_g S TC TD.

    Source: EN 1998-1:2004, 3.2.2.4(1), expression (3.12) (memory)
    """
    return figure("seismic_displacement_ratio") * peak_mps2 * known.tc_s * known.td_s
