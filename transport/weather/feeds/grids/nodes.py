"""The grid of a file: two axes, a latitude and a longitude for each node, or a grid mapping alone."""

import numpy as np

from shared.arrays import Array
from shared.errors import Fault, InputError
from shared.units import wrap_180_deg
from transport.weather.feeds.clock import one_of
from transport.weather.feeds.grids.axes import Axis, grid_axes
from transport.weather.feeds.grids.cells import check_nodes
from transport.weather.feeds.grids.grid import Grid, axis_values, regular_grid
from transport.weather.feeds.grids.mapped import compared_grid, mapped_grid
from transport.weather.feeds.grids.mapping import mapping_of
from transport.weather.feeds.raw import Raw

__all__ = ["grid_of"]


def grid_of(raw: Raw) -> Grid:
    """Where the nodes of a file lie, in rising order of its axes.

    Latitude and longitude may have one dimension each, or both the same two; they may be missing where the grid's own
    axes and a grid mapping give them. A grid mapping that disagrees with them is refused: one of the two is wrong, and
    a wrong pole turns every wind.
    Errors: InputError for a grid that is not understood, has a hole, a fold or a node twice, or is below 2 x 2.
    Source: CF conventions, 4.1, 4.2, 5.2, 5.6 and appendix F (read).
    """
    latitude, longitude = one_of(raw, "latitude"), one_of(raw, "longitude")
    mapping, axes = mapping_of(raw), grid_axes(raw)
    if latitude is None and longitude is None and mapping is not None and axes is not None:
        grid = mapped_grid(raw, mapping, *axes)
        check_nodes(grid, raw.file)
        return grid
    if latitude and longitude and raw.variables[latitude].ndim == raw.variables[longitude].ndim == 2:
        grid = _stated(raw, latitude, longitude, axes)
        check_nodes(grid, raw.file)
        return compared_grid(raw, grid, mapping, axes)
    return regular_grid(raw)


def _stated(raw: Raw, latitude: str, longitude: str, axes: tuple[Axis, Axis] | None) -> Grid:
    there, other = (raw.variables[name] for name in (latitude, longitude))
    row, column = map(str, there.dims) if axes is None else (axes[1].dimension, axes[0].dimension)
    if not {row, column} == set(there.dims) == set(other.dims) or row == column:
        what = f"lies on {', '.join(map(str, there.dims))}, {longitude} on {', '.join(map(str, other.dims))}"
        raise InputError(Fault(raw.file, latitude, f"{what}, the grid on {row}, {column}; all three must be the same"))
    rows, columns = (np.arange(there.sizes[name]) for name in (row, column))
    if axes is not None:
        rows, columns = axes[1].order, axes[0].order
    latitude_deg, longitude_deg = (_values(raw, name, row)[np.ix_(rows, columns)] for name in (latitude, longitude))
    x, y = (None, None) if axes is None else (axes[0].values, axes[1].values)
    return Grid(row, column, latitude_deg, wrap_180_deg(longitude_deg), rows, columns, x, y)


def _values(raw: Raw, name: str, row: str) -> Array:
    values = axis_values(raw, name)
    return values if raw.variables[name].dims[0] == row else values.T
