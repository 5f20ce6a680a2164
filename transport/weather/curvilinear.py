"""The cell of a rotated or projected grid around each station, and the shares of its corners."""

import numpy as np
from scipy.spatial import cKDTree

from shared.arrays import Array
from shared.units import wrap_180_deg
from transport.weather.sphere import unit_vectors

__all__ = ["placed"]

REACH = np.arange(-2, 2)
ROUNDS = 12
ROUNDING = 1e-9


@np.errstate(over="ignore", invalid="ignore", divide="ignore")
def placed(
    longitude_deg: Array, latitude_deg: Array, node_longitude_deg: Array, node_latitude_deg: Array
) -> tuple[np.ndarray, Array, np.ndarray]:
    """The four nodes around each station (station, 4), counted row by row; their shares; the stations outside.

    Among the 16 cells around the nearest node, the one with p = (1-a)(1-b) p1 + a (1-b) p2 + (1-a) b p3 + a b p4 for
    a, b from 0 to 1, in the plane of longitude and latitude, longitude counted from the station; shares are those four
    factors and sum to 1. On a grid of latitude and longitude this is the bilinear interpolation itself.
    Error: the sides of a cell count as straight in that plane; they are off by s tan(b) / 8 R of a cell, s its side, R
    the radius of the earth, b the latitude: 1 in 5000 for 10 km at 45 deg.
    Valid: away from the poles; convex cells.
    Source: bilinear interpolation, inverted by Newton's method.
    """
    known = np.isfinite(longitude_deg) & np.isfinite(latitude_deg)
    here_deg = np.where(known, longitude_deg, 0.0), np.where(known, latitude_deg, 0.0)
    corners = _cells_around(here_deg, node_longitude_deg, node_latitude_deg)
    east_deg = wrap_180_deg(node_longitude_deg.ravel()[corners] - here_deg[0][:, None, None])
    north_deg = node_latitude_deg.ravel()[corners] - here_deg[1][:, None, None]
    place = _inverted(east_deg, north_deg)
    depth = np.minimum(place, 1.0 - place).min(axis=0)
    best = np.argmax(np.where(np.isnan(depth), -np.inf, depth), axis=1)
    one = np.arange(len(best))
    a, b = (np.where(np.isnan(part), 0.0, np.clip(part, 0.0, 1.0)) for part in place[:, one, best])
    share = np.stack([(1 - a) * (1 - b), a * (1 - b), (1 - a) * b, a * b], axis=1)
    return corners[one, best], share, ~(known & (depth[one, best] >= -ROUNDING))


def _cells_around(here_deg: tuple[Array, Array], node_longitude_deg: Array, node_latitude_deg: Array) -> np.ndarray:
    """Corners (station, 16, 4) of the cells around the node that is nearest to each station."""
    nodes = unit_vectors(node_longitude_deg, node_latitude_deg)
    rows, columns = node_latitude_deg.shape
    _, nearest = cKDTree(nodes.reshape(-1, 3)).query(unit_vectors(*here_deg))
    row, column = np.divmod(np.asarray(nearest), columns)
    row = np.clip(row[:, None, None] + REACH[:, None], 0, rows - 2)
    column = np.clip(column[:, None, None] + REACH, 0, columns - 2)
    first = (row * columns + column).reshape(len(here_deg[0]), -1)
    return np.asarray(first[:, :, None] + np.array([0, 1, columns, columns + 1]))


def _inverted(x: Array, y: Array) -> Array:
    """Where the origin lies in each cell, (2, station, cell): along its columns, along its rows; NaN if not found."""
    (x0, xa, xb, xab), (y0, ya, yb, yab) = (_terms(part) for part in (x, y))
    a, b = np.full(x0.shape, 0.5), np.full(x0.shape, 0.5)
    for _ in range(ROUNDS):
        off_x, off_y = x0 + a * xa + b * xb + a * b * xab, y0 + a * ya + b * yb + a * b * yab
        x_a, x_b, y_a, y_b = xa + b * xab, xb + a * xab, ya + b * yab, yb + a * yab
        size = x_a * y_b - x_b * y_a
        step_a, step_b = (off_x * y_b - off_y * x_b) / size, (off_y * x_a - off_x * y_a) / size
        a, b = a - step_a, b - step_b
    found = np.abs(step_a) + np.abs(step_b) <= ROUNDING
    return np.where(found, np.stack([a, b]), np.nan)


def _terms(corner: Array) -> tuple[Array, Array, Array, Array]:
    """Terms of 1, a, b and ab."""
    first, second, third, fourth = np.moveaxis(corner, -1, 0)
    return first, second - first, third - first, fourth - third - second + first
