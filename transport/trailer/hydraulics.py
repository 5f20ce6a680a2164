"""Pressure of the hydraulic groups: what the cylinders carry, between the least and the most of their circuit.

A deck leaves its supports on paper only: long before, the circuit on the low side may meet its limit (the deck sinks),
or the group on the high side may lose the pressure that keeps its valves and cylinders seated.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from shared.arrays import Array
from transport.trailer.loading import Loading
from transport.trailer.stability import gust_limit_mps

__all__ = ["Hydraulics", "Pressed", "cylinder_area_m2", "group_pressure_kPa", "pressed", "pressure_use_ratio"]


class Hydraulics(NamedTuple):
    """What carries one bogie, and the pressures its circuit may have."""

    cylinder_m2: float  # all cylinders of one bogie
    limit_kPa: float
    least_kPa: float
    hanging_kN: float  # weight of one bogie that the cylinders do not carry


class Pressed(NamedTuple):
    """Pressures and limits; a plane is a group at its greatest, then at its least."""

    spare_kN: Array  # (state, station, plane)
    per_pressure_m2: Array  # (state, station, wind_from, plane)
    limit_mps: Array  # (state, station, wind_from, plane)
    greatest_kPa: Array  # (group, station), still air
    least_kPa: Array  # (group, station), still air
    utilisation_ratio: Array  # (station,), still air


def cylinder_area_m2(diameter_mm: ArrayLike) -> Array:
    """Area of the piston of a cylinder: pi d^2 / 4.

    Shapes broadcast. Validity: lifting side, plunger or full bore. Source: geometry.
    """
    return np.asarray(np.pi / 4.0 * np.square(np.asarray(diameter_mm, dtype=float) / 1000.0))


def group_pressure_kPa(load_kN: ArrayLike, bogies_count: ArrayLike, cylinder_m2: float) -> Array:
    """Pressure of a hydraulic group: p = F / (n A), A all cylinders of one bogie.

    Shapes broadcast. Validity: the whole load stands on the cylinders; wheels and axles below them only lower it.
    Source: equal pressure in a hydraulic group (statics).
    """
    return np.asarray(np.asarray(load_kN, dtype=float) / (np.asarray(bogies_count, dtype=float) * cylinder_m2))


def pressure_use_ratio(pressure_kPa: Array, hydraulics: Hydraulics) -> Array:
    """Greatest pressure over the limit of the circuit, the worst group: max(p) / p_max.

    Shapes: pressure (..., group), result (...). Source: limit of the circuit, from the builder.
    """
    return np.asarray(np.max(pressure_kPa, axis=-1) / hydraulics.limit_kPa)


def pressed(loads: Loading, bogies_count: Array, hydraulics: Hydraulics, density_kg_per_m3: float) -> Pressed:
    """Pressure of every group in its worst state, and the gust at which one meets a limit of its circuit.

    High side: p_max n A - F_max. Low side: F_min - n W - p_min n A, W what hangs
    below the cylinders of a bogie. Both are linear in the gust pressure.
    Source: equal pressure in a hydraulic group (statics); limits of the circuit, from the builder.
    """
    area_m2 = bogies_count * hydraulics.cylinder_m2
    carried_kN = loads.lightest_kN - bogies_count * hydraulics.hanging_kN
    spare_kN, per_pressure = hydraulics.limit_kPa * area_m2 - loads.heaviest_kN, loads.per_pressure_m2
    high_kPa, low_kPa = loads.heaviest_kN.max(axis=0) / area_m2, carried_kN.min(axis=0) / area_m2
    used = pressure_use_ratio(high_kPa, hydraulics)
    spare_kN = np.concatenate([spare_kN, carried_kN - hydraulics.least_kPa * area_m2], axis=-1)
    per_pressure = np.concatenate([per_pressure, loads.lighter_m2], axis=-1)
    used = np.maximum(used, _low_use_ratio(low_kPa, hydraulics.least_kPa))
    limit_mps = gust_limit_mps(spare_kN, per_pressure, density_kg_per_m3)
    return Pressed(spare_kN, per_pressure, limit_mps, high_kPa.T, low_kPa.T, used)


def _low_use_ratio(pressure_kPa: Array, least_kPa: float) -> Array:
    """Least pressure over the lowest of the groups; infinite where one carries nothing."""
    low = np.min(pressure_kPa, axis=-1)
    used = np.full(low.shape, np.inf)
    np.divide(least_kPa, low, out=used, where=low > 0.0)
    return np.where(np.isnan(low), np.nan, used)
