"""Where the road lies among the nodes of a feed: the nodes around each station, their shares, and what lies outside."""

from typing import NamedTuple

import numpy as np
import xarray as xr
from pyproj import Geod

from shared.arrays import Array
from shared.errors import Fault, InputError
from shared.tables import figure
from transport.weather import curvilinear, space

__all__ = ["Placed", "placed"]


class Placed(NamedTuple):
    """The four nodes around each station (station, 4), counted row by row; their shares; the stations outside.

    The shares of a row sum to 1. A station outside is given those of some node and must not be believed.
    """

    corners: np.ndarray
    share: Array
    outside: np.ndarray


def placed(feed: xr.Dataset, longitude_deg: Array, latitude_deg: Array) -> Placed:
    """Place the stations of the road on a grid, or beside the one place that a feed speaks for.

    Errors: InputError for a road near a pole on a rotated or projected grid.
    Source: bilinear interpolation; nothing is extrapolated (practice).
    """
    if "valid_within_m" in feed.attrs:
        return _beside(feed, longitude_deg, latitude_deg)
    if feed["latitude"].ndim == 2:
        return _among_nodes(feed, longitude_deg, latitude_deg)
    grid = feed["longitude"].to_numpy(), feed["latitude"].to_numpy()
    place = _into(longitude_deg, grid[0]), _into(latitude_deg, grid[1])
    outside = ~space.inside(longitude_deg, latitude_deg, *grid)
    return Placed(space.cells(*place, *grid), space.shares(*place, *grid), outside)


def _among_nodes(feed: xr.Dataset, longitude_deg: Array, latitude_deg: Array) -> Placed:
    limit_deg = figure("weather_polar_latitude_deg")
    if (np.abs(latitude_deg) > limit_deg).any():
        farthest = f"{latitude_deg[int(np.nanargmax(np.abs(latitude_deg)))]:g}"
        what = f"is {farthest} on the road; on a rotated or projected grid allowed is {-limit_deg:g} to {limit_deg:g}"
        raise InputError(Fault(str(feed.attrs["file"]), "latitude", f"{what}; take a feed on a regular grid"))
    nodes = feed["longitude"].to_numpy(), feed["latitude"].to_numpy()
    corners, share, outside = curvilinear.placed(longitude_deg, latitude_deg, *nodes)
    return Placed(corners, share, outside)


def _into(place_deg: Array, axis_deg: Array) -> Array:
    """A stand-in inside the grid for stations outside it, whose wind is set to NaN later."""
    known_deg = np.where(np.isnan(place_deg), axis_deg[0], place_deg)
    return np.clip(known_deg, axis_deg[0], axis_deg[-1])


def _beside(feed: xr.Dataset, longitude_deg: Array, latitude_deg: Array) -> Placed:
    there = [np.full(len(longitude_deg), feed[name].values.ravel()[0]) for name in ("longitude", "latitude")]
    _, _, distance_m = Geod(ellps="WGS84").inv(there[0], there[1], longitude_deg, latitude_deg)
    share = np.zeros((len(longitude_deg), 4))
    share[:, 0] = 1.0
    outside = ~(np.asarray(distance_m) <= float(feed.attrs["valid_within_m"]))
    return Placed(np.zeros(share.shape, dtype=np.intp), share, outside)
