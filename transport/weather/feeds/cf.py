"""Fields of a CF file: found by standard name and height, in one order of axes, in SI units."""

import re

import numpy as np
import xarray as xr

from shared.errors import Fault, InputError
from transport.weather.feeds.clock import Clock, one_of
from transport.weather.feeds.grids.grid import Grid
from transport.weather.feeds.packing import check_packing, unpacked
from transport.weather.feeds.raw import Raw
from transport.weather.feeds.units import scale_of
from transport.weather.fields import NAMES, Bounds, Values, bounds_of

__all__ = ["axis_methods", "field", "field_name", "height_m", "members_of", "time_method"]

WINDS = ("mean_wind_mps", "eastward_wind_mps", "northward_wind_mps", "x_wind_mps", "y_wind_mps", "gust_mps")


def members_of(raw: Raw) -> tuple[str | None, np.ndarray]:
    """Dimension and labels of the ensemble; a single forecast is member 0.

    Source: CF standard name realization (read).
    """
    name = one_of(raw, "realization")
    if name is None:
        return None, np.array([0])
    variable = raw.variables[name]
    if variable.ndim == 0:
        return None, np.array([int(variable.values)])
    if variable.ndim != 1 or variable.dtype.kind not in "iu":
        raise InputError(Fault(raw.file, name, "realization must be an axis of whole numbers"))
    return str(variable.dims[0]), variable.to_numpy().astype(np.int64)


def height_m(raw: Raw, name: str) -> float | None:
    """Height above ground of a field, from its scalar or single-valued height coordinate; None if it has none.

    Source: CF conventions, 5.7 (read).
    """
    variable = raw.variables[name]
    named = [*str(variable.attrs.get("coordinates", "")).split(), *map(str, variable.dims)]
    heights = [
        other
        for other in named
        if other in raw.variables and raw.variables[other].attrs.get("standard_name") == "height"
    ]
    if not heights:
        return None
    coordinate = raw.variables[heights[0]]
    if coordinate.size != 1 or coordinate.attrs.get("positive", "up") != "up":
        raise InputError(Fault(raw.file, heights[0], "must hold one height above ground, positive up"))
    scale = scale_of("height", coordinate.attrs.get("units"), raw.file, heights[0])
    return float(unpacked(coordinate).astype(np.float64).ravel()[0]) * scale.factor


def field_name(raw: Raw, standard_name: str) -> str | None:
    """Variable of a standard name at the height it is needed for; None if the file has none.

    Errors: InputError if only other heights, no height, or several fit.
    Source: CF conventions, 3.3 and 5.7 (read).
    """
    bounds = bounds_of(NAMES[standard_name])
    found = {
        name: height_m(raw, name)
        for name, variable in raw.variables.items()
        if variable.attrs.get("standard_name") == standard_name
    }
    fits = [name for name, height in found.items() if _height_fits(height, bounds)]
    if len(fits) == 1 or not found:
        return fits[0] if fits else None
    heights = ", ".join(
        f"{name} at {'no stated height' if value is None else f'{value:g} m'}" for name, value in found.items()
    )
    needed = (
        f"{bounds.height_low_m:g} m"
        if bounds.height_low_m == bounds.height_high_m
        else (f"{bounds.height_low_m:g} to {bounds.height_high_m:g} m")
    )
    raise InputError(
        Fault(
            raw.file,
            standard_name,
            f"{len(fits)} variables fit ({heights}), exactly one at {needed} above ground is "
            "needed; give each its scalar coordinate with standard_name 'height'",
        )
    )


def _height_fits(height: float | None, bounds: Bounds) -> bool:
    if bounds.height_high_m == 0.0:
        return True
    if height is None:
        return bounds.height_low_m != bounds.height_high_m
    return bounds.height_low_m - 0.01 <= height <= bounds.height_high_m + 0.01


def field(raw: Raw, name: str, clock: Clock, grid: Grid, member: str | None) -> Values:
    """A field in SI units: (realization, time, row, column), or without time for a fixed field.

    Errors: InputError for unknown units, unsafe packing, or an axis that is not understood.
    Source: CF conventions (read).
    """
    variable = raw.variables[name]
    standard_name = str(variable.attrs["standard_name"])
    bounds = bounds_of(NAMES[standard_name])
    scale = scale_of(standard_name, variable.attrs.get("units"), raw.file, name)
    span = (bounds.low / scale.factor, bounds.high / scale.factor) if NAMES[standard_name] in WINDS else None
    check_packing(variable, span, raw.file, name)
    axes = (*((member,) if member else ()), clock.dimension, grid.row, grid.column)
    values = _in_order(raw, name, axes)[..., grid.rows, :][..., grid.columns] * scale.factor + scale.offset
    return np.asarray(values if member in variable.dims else values[None], dtype=np.float32)


def _in_order(raw: Raw, name: str, axes: tuple[str, ...]) -> Values:
    variable = raw.variables[name]
    spare = [dim for dim in variable.dims if dim not in axes and variable.sizes[dim] == 1]
    unknown = [str(dim) for dim in variable.dims if dim not in axes and dim not in spare]
    if unknown or not set(axes[-2:]) <= set(variable.dims):
        what = f"has axes {', '.join(map(str, variable.dims)) or 'none'}"
        allowed = f"realization, time and the grid's {axes[-2]} and {axes[-1]}, each a variable with its standard_name"
        raise InputError(Fault(raw.file, name, f"{what}, allowed are {allowed}"))
    first = dict.fromkeys(spare, 0)
    ordered = xr.Variable(variable.dims, unpacked(variable)).isel(first)
    return np.asarray(ordered.transpose(*(dim for dim in axes if dim in ordered.dims)).to_numpy())


def axis_methods(raw: Raw, name: str) -> dict[str, str]:
    """How a field sums up each axis that its cell_methods name, in lower case.

    `(interval: 1 hour)` is the spacing of samples, not a length of time.      Source: CF conventions, 7.3 (read).
    """
    text = re.sub(r"\([^)]*\)", " ", str(raw.variables[name].attrs.get("cell_methods", "")))
    pairs = re.findall(r"((?:[\w.-]+:\s+)+)([A-Za-z_]+)", text)
    return {axis: method.lower() for axes, method in pairs for axis in axes.replace(":", " ").split()}


def time_method(raw: Raw, name: str, clock: Clock) -> str:
    """How a field sums up time: "point" if it says nothing; `area: maximum` says nothing about time.

    Source: CF conventions, 7.3 (read).
    """
    methods = axis_methods(raw, name)
    return str(methods.get(clock.dimension, methods.get("time", "point")))
