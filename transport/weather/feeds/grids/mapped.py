"""Nodes by their grid mapping: worked out from it, or compared with it."""

import numpy as np

from shared.arrays import Array
from shared.errors import Fault, InputError
from shared.tables import figure
from shared.units import wrap_180_deg
from transport.weather.feeds.grids.axes import Axis
from transport.weather.feeds.grids.cells import spacing_m
from transport.weather.feeds.grids.grid import Grid
from transport.weather.feeds.grids.mapping import CHECKED, FALSE_ORIGIN, Mapping, earths, positions_deg
from transport.weather.feeds.grids.turning import axis_azimuths_deg
from transport.weather.feeds.raw import Raw
from transport.weather.feeds.units import scale_of
from transport.weather.sphere import chord_ratio, unit_vectors

__all__ = ["compared_grid", "mapped_grid"]

NO_CHECK = "so the places of its nodes could not be checked"


def mapped_grid(raw: Raw, mapping: Mapping, x: Axis, y: Axis) -> Grid:
    """Grid whose file leaves out latitude and longitude: they are worked out from its axes and its grid mapping.

    Errors: InputError for a mapping that is not understood on these axes, or that does not tell the size of the earth.
    Source: CF conventions, 5.6 (read).
    """
    if CHECKED.get(mapping.kind) != (x.standard_name, y.standard_name):
        what = f"{mapping.kind} on {x.standard_name} and {y.standard_name} is not understood, allowed are"
        known = ", ".join(CHECKED)
        raise InputError(
            Fault(raw.file, mapping.variable, f"{what} {known}; or give latitude and longitude of each node")
        )
    if x.standard_name == "projection_x_coordinate" and not mapping.tells_shape:
        raise InputError(Fault(raw.file, mapping.variable, "does not tell the size of the earth; add earth_radius"))
    longitude_deg, latitude_deg = positions_deg(raw.file, _in_metres(raw, mapping, x, y), x.values, y.values, {})
    return Grid(
        y.dimension,
        x.dimension,
        latitude_deg,
        wrap_180_deg(longitude_deg),
        y.order,
        x.order,
        x.values,
        y.values,
        placing=f"latitude and longitude of the nodes are worked out from {x.name}, {y.name} and {mapping.kind}",
        unchecked=f"latitude and longitude are not in the file, {NO_CHECK}",
    )


def compared_grid(raw: Raw, grid: Grid, mapping: Mapping | None, axes: tuple[Axis, Axis] | None) -> Grid:
    """The grid with a note how its nodes fit its grid mapping, or why that could not be found out.

    Where the mapping does not tell the size of the earth, the size that fits best counts.
    Errors: InputError if the nodes lie farther off, or their rows run in another direction, than stated figures allow.
    Source: CF conventions, appendix F (read), worked out by pyproj; figures (practice).
    """
    if mapping is None or axes is None:
        return grid._replace(unchecked=f"no grid mapping with axes of its own, {NO_CHECK}")
    if CHECKED.get(mapping.kind) != tuple(axis.standard_name for axis in axes):
        return grid._replace(unchecked=f"the grid mapping {mapping.kind} is not understood, {NO_CHECK}")
    where, x, y = _in_metres(raw, mapping, *axes), axes[0].values, axes[1].values
    found = [positions_deg(raw.file, where, x, y, earth) for earth in earths(mapping)]
    off_m, place = min(((_apart_m(grid, place), place) for place in found), key=lambda pair: pair[0])
    here_deg, there_deg = (axis_azimuths_deg(*lie, x, y) for lie in ((grid.longitude_deg, grid.latitude_deg), place))
    turned_deg = max(float(np.max(np.abs(wrap_180_deg(a - b)))) for a, b in zip(here_deg, there_deg, strict=True))
    _check(grid, off_m, turned_deg, Fault(raw.file, mapping.variable, mapping.kind))
    return grid._replace(placing=f"the nodes lie where {mapping.kind} puts them, within {off_m:.3g} m")


def _check(grid: Grid, off_m: float, turned_deg: float, fault: Fault) -> None:
    allowed_m = figure("weather_grid_mapping_spacing_ratio") * spacing_m(grid)
    allowed_deg = figure("weather_grid_mapping_turn_deg")
    if not (off_m <= allowed_m and turned_deg <= allowed_deg):
        what = (
            f"the nodes lie up to {off_m / 1000.0:.3g} km from where this {fault.message} puts them, and their rows "
            f"run up to {turned_deg:.2g} deg off; allowed are {allowed_m / 1000.0:.3g} km and {allowed_deg:g} deg: a "
            "wrong pole or origin turns the wind; correct the mapping, or latitude and longitude"
        )
        raise InputError(fault._replace(message=what))


def _in_metres(raw: Raw, mapping: Mapping, *axes: Axis) -> Mapping:
    """False easting and northing are in the unit of their axis."""
    numbers = dict(mapping.numbers)
    for name, axis in zip(FALSE_ORIGIN, axes, strict=True):
        if isinstance(number := numbers.get(name), float):
            units = raw.variables[axis.name].attrs.get("units")
            numbers[name] = number * scale_of(axis.standard_name, units, raw.file, axis.name).factor
    return mapping._replace(numbers=numbers)


def _apart_m(grid: Grid, place: tuple[Array, Array]) -> float:
    here, there = unit_vectors(grid.longitude_deg, grid.latitude_deg), unit_vectors(*place)
    return figure("weather_model_earth_radius_m") * float(np.max(chord_ratio(here, there)))
