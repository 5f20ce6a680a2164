"""Where the nodes of a file lie: two axes of a regular grid, or a latitude and a longitude for each node."""

from typing import NamedTuple

import numpy as np

from shared.arrays import Array
from shared.errors import Fault, InputError
from shared.tables import figure
from shared.units import wrap_180_deg
from transport.weather.feeds.clock import one_of
from transport.weather.feeds.packing import unpacked
from transport.weather.feeds.raw import Raw
from transport.weather.feeds.units import scale_of

__all__ = ["Grid", "axis_values", "regular_grid"]


class Grid(NamedTuple):
    """Dimensions of the file, places of the nodes, and the order that brings the file's values there.

    Regular grid: one latitude for each row, one longitude for each column, both rising. Rotated or projected grid: both
    for each node (row, column), with the grid's own axes x (column) and y (row), rising, in metres or degrees; None if
    the file does not tell them. placing: how the places were found or checked; unchecked: why they could not be.
    """

    row: str
    column: str
    latitude_deg: Array
    longitude_deg: Array
    rows: np.ndarray
    columns: np.ndarray
    x: Array | None = None
    y: Array | None = None
    placing: str = ""
    unchecked: str = ""

    @property
    def regular(self) -> bool:
        """Whether rows are parallels and columns are meridians."""
        return self.latitude_deg.ndim == 1


def regular_grid(raw: Raw) -> Grid:
    """Latitude and longitude of a regular grid, rising, longitude from -180 to 180.

    Errors: InputError for axes that are not two, a repeated node, a hole, or fewer than 2 x 2 nodes.
    Source: CF conventions, 4.1, 4.2 and 5.6 (read).
    """
    latitude, rows, latitude_deg = _axis(raw, "latitude")
    longitude, columns, longitude_deg = _axis(raw, "longitude")
    if latitude == longitude:
        raise InputError(Fault(raw.file, latitude, "is one axis for latitude and longitude; a grid of rows is needed"))
    return Grid(latitude, longitude, latitude_deg, longitude_deg, rows, columns)


def axis_values(raw: Raw, name: str) -> Array:
    """An axis in degrees or metres, NaN where missing.

    Errors: InputError for unknown units.      Source: CF conventions, 4.1, 4.2 and 5.6 (read).
    """
    variable = raw.variables[name]
    scale = scale_of(str(variable.attrs["standard_name"]), variable.attrs.get("units"), raw.file, name)
    return np.asarray(unpacked(variable).astype(np.float64) * scale.factor)


def _axis(raw: Raw, standard_name: str) -> tuple[str, np.ndarray, Array]:
    name = one_of(raw, standard_name)
    if name is None or raw.variables[name].ndim != 1:
        shape = "is missing" if name is None else f"has {raw.variables[name].ndim} dimensions"
        needed = "latitude and longitude must have one dimension each, or both the same two"
        raise InputError(Fault(raw.file, name or standard_name, f"{standard_name} {shape}; {needed}"))
    values = axis_values(raw, name)
    values = wrap_180_deg(values) if standard_name == "longitude" else values
    order = np.argsort(values, kind="stable")
    _check_axis(values[order], 180.0 if standard_name == "longitude" else 90.0, raw.file, name)
    return str(raw.variables[name].dims[0]), order, values[order]


def _check_axis(values: Array, limit_deg: float, where: str, name: str) -> None:
    if len(values) < 2 or not (np.abs(values) <= limit_deg).all():
        raise InputError(
            Fault(where, name, f"needs at least 2 values from {-limit_deg:g} to {limit_deg:g}, none missing")
        )
    spacing = np.diff(values)
    if not (spacing > 0).all():
        raise InputError(Fault(where, name, f"{values[int(np.argmin(spacing))]:g} stands twice; keep one"))
    if not (spacing <= figure("weather_grid_hole_ratio") * np.median(spacing)).all():
        raise InputError(
            Fault(
                where,
                name,
                f"has a hole of {spacing.max():g} degrees, the usual spacing is {np.median(spacing):g}; "
                "no value is made up across a hole",
            )
        )
