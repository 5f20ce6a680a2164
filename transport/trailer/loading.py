"""Loads of groups and axle lines with every allowance, at rest and in the wind."""

from typing import NamedTuple

import numpy as np

from shared.arrays import Array
from shared.units import STANDARD_GRAVITY_MPS2
from transport.trailer.axle_loads import axle_line_load_t
from transport.trailer.polygon import Planes
from transport.trailer.resultant import Actions, Body, least_at_rest_kNm
from transport.trailer.stability import gust_limit_mps
from transport.trailer.wind import Wind, least_per_pressure_m3

__all__ = ["Loading", "loading"]


class Loading(NamedTuple):
    """Loads and limits of every mass state, station, wind direction and group."""

    spare_kN: Array  # (state, station, group), of the group below its capacity
    per_pressure_m2: Array  # (state, station, wind_from, group)
    limit_mps: Array  # (state, station, wind_from, group)
    least_t: Array  # (group, station), still air
    greatest_t: Array  # (group, station), still air
    line_t: Array  # (station,), heaviest axle line in still air
    heaviest_kN: Array  # (state, station, group), still air
    lightest_kN: Array  # (state, station, group), still air
    lighter_m2: Array  # (state, station, wind_from, group), what the wind takes off a group


def loading(
    shares: Planes,
    body: Body,
    actions: Actions,
    wind: Wind,
    plate: tuple[Array, float],
    density_kg_per_m3: float,
    twist_kN: Array | float = 0.0,
) -> Loading:
    """Load of every group in its worst state, and the gust at which an axle line of it reaches the capacity.

    `plate` is the count of bogies of each group and the capacity of an axle line in t, `twist_kN` (station,) what a
    twisted deck adds to any group or takes from it.
    Greatest load = -(least of minus the share); the capacity of a group is n / 2 axle lines.
    Source: statics; equal pressure in a group (practice).
    """
    bogies_count, capacity_t = plate
    minus = Planes(-shares.value, -shares.gradient)
    twist = np.asarray(twist_kN)[..., None]
    heaviest_kN = twist - least_at_rest_kNm(minus, body, actions)
    lightest_kN = least_at_rest_kNm(shares, body, actions) - twist
    per_pressure = least_per_pressure_m3(minus, body, wind)
    spare_kN = capacity_t * STANDARD_GRAVITY_MPS2 * bogies_count / 2.0 - heaviest_kN
    greatest_t = heaviest_kN.max(axis=0) / STANDARD_GRAVITY_MPS2
    return Loading(
        spare_kN,
        per_pressure,
        gust_limit_mps(spare_kN, per_pressure, density_kg_per_m3),
        lightest_kN.min(axis=0).T / STANDARD_GRAVITY_MPS2,
        greatest_t.T,
        np.max(axle_line_load_t(greatest_t, bogies_count), axis=1),
        heaviest_kN,
        lightest_kN,
        least_per_pressure_m3(shares, body, wind),
    )
