"""The return leg: grade, crossfall and curvature change sign, left and right change places."""

from collections.abc import Mapping

import numpy as np

from shared.arrays import Array

__all__ = ["reversed_columns", "reversed_span", "reversed_station_m"]

CHANGE_SIGN = frozenset({"grade_ratio", "grade_long_ratio", "crossfall_ratio", "curvature_per_m"})
CHANGE_PLACES = {"width_left_m": "width_right_m", "width_right_m": "width_left_m"}


def reversed_station_m(station_m: Array | float, length_m: float) -> Array:
    """Station counted from the other end. Source: geometry."""
    return np.asarray(length_m - station_m)


def reversed_span(from_station_m: float, to_station_m: float, length_m: float) -> tuple[float, float]:
    """A piece of road, counted from the other end. Source: geometry."""
    return length_m - to_station_m, length_m - from_station_m


def reversed_columns(columns: Mapping[str, Array]) -> dict[str, Array]:
    """Every column of a road in the order and with the signs of the return leg; twice gives the road back.

    Shapes: (station) each. Source: conventions of signs, see the package (own).
    """
    turned = {name: columns[CHANGE_PLACES.get(name, name)][::-1] for name in columns}
    for name in CHANGE_SIGN & turned.keys():
        turned[name] = -turned[name]
    if "heading_deg" in turned:
        turned["heading_deg"] = (turned["heading_deg"] + 180.0) % 360.0
    if "station" in turned:
        turned["station"] = turned["station"][0] - turned["station"]
    return turned
