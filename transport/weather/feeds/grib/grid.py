"""The grid of a GRIB file as CF variables: two axes where rows are parallels, else a place for each node."""

import numpy as np
import xarray as xr

from shared.errors import Fault, InputError
from transport.weather.feeds.raw import Raw

__all__ = ["along_axes", "grid_variables"]

ALONG = {"eastward_wind": "x_wind", "northward_wind": "y_wind"}
SAME_DEG = 1e-6


def grid_variables(table: Raw) -> dict[str, xr.Variable]:
    """Latitude and longitude on the dimensions y and x; on a rotated or projected grid also its own axes.

    Source: CF conventions, 5.1, 5.2 and 5.6 (read).
    """
    latitude, longitude = (table.variables[name].to_numpy() for name in ("latitude", "longitude"))
    if _regular(latitude, longitude):
        return {"latitude": _north(("y",), latitude[:, 0]), "longitude": _east(("x",), longitude[0])}
    axes = {name: table.variables[name] for name in ("x", "y") if name in table.variables}
    return axes | {"latitude": _north(("y", "x"), latitude), "longitude": _east(("y", "x"), longitude)}


def _north(dims: tuple[str, ...], values: np.ndarray) -> xr.Variable:
    return xr.Variable(dims, values, {"standard_name": "latitude", "units": "degrees_north"})


def _east(dims: tuple[str, ...], values: np.ndarray) -> xr.Variable:
    return xr.Variable(dims, values, {"standard_name": "longitude", "units": "degrees_east"})


def _regular(latitude: np.ndarray, longitude: np.ndarray) -> bool:
    level = np.abs(latitude - latitude[:, :1]).max(initial=0.0) <= SAME_DEG
    upright = np.abs((longitude - longitude[:1] + 180.0) % 360.0 - 180.0).max(initial=0.0) <= SAME_DEG
    return bool(level and upright)


def along_axes(standard_name: str, along_grid: np.ndarray, grid: dict[str, xr.Variable], file: str) -> str:
    """CF name of a wind component: along the axes of the grid, or towards true east and north.

    Where rows are parallels both are one.
    Errors: InputError if messages of one field differ.
    Source: WMO-No. 306 volume I.2, flag table 3.3 bit 5 (read).
    """
    if standard_name not in ALONG or grid["latitude"].ndim == 1:
        return standard_name
    if len(np.unique(along_grid)) != 1:
        what = "some winds run along the axes of the grid and some towards true east; ask for one kind"
        raise InputError(Fault(file, standard_name, what))
    return ALONG[standard_name] if along_grid[0] else standard_name
