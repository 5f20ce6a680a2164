"""Conversions at the edge, exact factors, and the endings that carry a unit.

Factors are exact by definition: the international yard and pound agreement (foot, mile, pound), the international
nautical mile, standard gravity of the 3rd CGPM (1901). Source: SI brochure, 9th edition (memory).
"""

from typing import TypeVar

import numpy as np

__all__ = [
    "ABSOLUTE_ZERO_C",
    "ENDINGS",
    "STANDARD_GRAVITY_MPS2",
    "celsius_from_kelvin",
    "kelvin_from_celsius",
    "kmh_from_mps",
    "mps_from_kmh",
    "mps_from_knots",
    "percent_from_ratio",
    "ratio_from_percent",
    "wrap_180_deg",
    "wrap_360_deg",
]

Number = TypeVar("Number", float, np.ndarray)

STANDARD_GRAVITY_MPS2 = 9.80665
ABSOLUTE_ZERO_C = -273.15

ENDINGS = frozenset(
    (
        *("m", "mm", "m2", "m3", "m4", "km", "per_m", "per_m2", "per_m3"),
        *("s", "min", "ms", "h", "years", "hz", "per_s", "per_h"),
        *("mps", "mps2", "mps3", "m2_per_s2", "kmh"),
        *("kg", "t", "N", "kN", "Nm", "kNm", "MN", "MNm", "Pa", "kPa", "N_per_m", "kN_per_m", "per_rad"),
        *("kW", "kJ", "MJ", "K", "c", "deg", "rad", "ratio", "percent", "count", "coefficient"),
    )
)


def mps_from_kmh(speed_kmh: Number) -> Number:
    """Metres per second from kilometres per hour: v / 3.6."""
    return speed_kmh / 3.6


def kmh_from_mps(speed_mps: Number) -> Number:
    """Kilometres per hour from metres per second: 3.6 v."""
    return speed_mps * 3.6


def mps_from_knots(speed_knots: Number) -> Number:
    """Metres per second from knots: v 1852 / 3600."""
    return speed_knots * 1852.0 / 3600.0


def ratio_from_percent(value_percent: Number) -> Number:
    """Ratio from percent."""
    return value_percent / 100.0


def percent_from_ratio(value_ratio: Number) -> Number:
    """Percent from ratio."""
    return value_ratio * 100.0


def kelvin_from_celsius(temperature_c: Number) -> Number:
    """Kelvin from degrees Celsius."""
    return temperature_c - ABSOLUTE_ZERO_C


def celsius_from_kelvin(temperature_K: Number) -> Number:
    """Degrees Celsius from kelvin."""
    return temperature_K + ABSOLUTE_ZERO_C


def wrap_360_deg(angle_deg: Number) -> Number:
    """Angle in [0, 360)."""
    return angle_deg % 360.0


def wrap_180_deg(angle_deg: Number) -> Number:
    """Angle in [-180, 180)."""
    return (angle_deg + 180.0) % 360.0 - 180.0
