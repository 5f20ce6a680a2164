"""From components along the axes of a grid to true east and north.

The grid's own directions are found from where its nodes lie, so that they hold for any mapping, stated or not.
"""

from typing import Literal

import numpy as np

from shared.arrays import Array
from shared.errors import Fault, InputError
from shared.tables import figure
from transport.weather.feeds.grids.grid import Grid
from transport.weather.fields import Values
from transport.weather.sphere import unit_vectors

__all__ = ["axis_azimuths_deg", "turn_deg", "turned_mps"]


def axis_azimuths_deg(longitude_deg: Array, latitude_deg: Array, x: Array, y: Array) -> tuple[Array, Array]:
    """True azimuths, clockwise from north, of growing x and of growing y at each node (row, column).

    x: one value a column, y: one a row, both rising. The places r are taken as points on a sphere; dr/dx and dr/dy by
    second-order differences, one-sided at the edge of the grid; azimuth = atan2(d . east, d . north).
    Error: below 0.01 deg; on an axis of two nodes half of the turn from one to the other; on a grid laid out on an
    ellipsoid up to 0.2 deg, because its degrees of latitude have not all one length.
    Source: calculus; differences as in numpy.gradient.
    """
    longitude_rad, latitude_rad = np.deg2rad(longitude_deg), np.deg2rad(latitude_deg)
    inward = np.sin(latitude_rad)
    east = np.stack([-np.sin(longitude_rad), np.cos(longitude_rad), np.zeros_like(inward)], axis=-1)
    north = np.stack([-inward * np.cos(longitude_rad), -inward * np.sin(longitude_rad), np.cos(latitude_rad)], axis=-1)
    place = unit_vectors(longitude_deg, latitude_deg)
    steps = [_growth(place, along, axis) for along, axis in ((x, 1), (y, 0))]
    across, up = (np.rad2deg(np.arctan2((d * east).sum(axis=-1), (d * north).sum(axis=-1))) for d in steps)
    return across, up


def _growth(place: Array, along: Array, axis: int) -> Array:
    order: Literal[1, 2] = 2 if place.shape[axis] > 2 else 1
    return np.asarray(np.gradient(place, along, axis=axis, edge_order=order))


def turn_deg(grid: Grid, where: str) -> Array:
    """Angle from true north clockwise to the grid's north, (row, column): what a direction gains by the turning.

    Halfway between the azimuth of y and the azimuth of x less 90 deg, so that axes which are not quite square share the
    misfit; a turn keeps the speed. What an ellipsoid does to the two is opposite and drops out (below 0.001 deg).
    Errors: InputError if the file does not tell its axes, if they are left-handed (one runs against its numbers), or if
    they are farther from square than a stated angle.
    Source: CF standard names x_wind and y_wind, "positive with increasing x" (read); halving the misfit (practice).
    """
    if grid.x is None or grid.y is None:
        needed = "projection_x_coordinate and projection_y_coordinate, or grid_longitude and grid_latitude"
        what = "x_wind and y_wind run along the grid's axes, but the file does not tell which way these rise"
        raise InputError(Fault(where, "x_wind", f"{what}; add {needed}"))
    azimuths_deg = axis_azimuths_deg(grid.longitude_deg, grid.latitude_deg, grid.x, grid.y)
    of_x, of_y = (np.exp(1j * np.deg2rad(azimuth_deg)) for azimuth_deg in azimuths_deg)
    misfit_deg = np.abs(np.rad2deg(np.angle(of_x / of_y)) - 90.0)
    worst_deg, allowed_deg = float(np.max(misfit_deg)), figure("weather_axes_skew_deg")
    if not worst_deg < 90.0:
        raise InputError(
            Fault(where, f"{grid.row}, {grid.column}", "the axes are left-handed: one of them runs against its numbers")
        )
    if not worst_deg <= allowed_deg:
        what = (
            f"the axes are up to {worst_deg:.1f} deg from square, allowed are {allowed_deg:g}; x_wind has no direction"
        )
        raise InputError(Fault(where, f"{grid.row}, {grid.column}", what))
    return np.asarray(np.rad2deg(np.angle(of_y + of_x / 1j)))


def turned_mps(x_wind_mps: Values, y_wind_mps: Values, turn_deg: Array) -> tuple[Values, Values]:
    """Eastward and northward component of a wind given along the axes of a grid.

    u = ux cos a + uy sin a, v = -ux sin a + uy cos a, a clockwise from true north to the grid's north.
    Source: rotation of axes.
    """
    angle_rad = np.deg2rad(turn_deg)
    cosine, sine = np.cos(angle_rad).astype(np.float32), np.sin(angle_rad).astype(np.float32)
    return x_wind_mps * cosine + y_wind_mps * sine, y_wind_mps * cosine - x_wind_mps * sine
