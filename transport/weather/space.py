"""From grid nodes to road stations: bilinear weights, worked out once and used for every field."""

import numpy as np
import scipy.sparse as sp

from shared.arrays import Array
from shared.errors import OutOfRangeError
from transport.weather.fields import Values

__all__ = ["cells", "inside", "interpolated", "shares", "weights"]


def inside(
    longitude_deg: Array, latitude_deg: Array, grid_longitude_deg: Array, grid_latitude_deg: Array
) -> np.ndarray:
    """True for each station within the grid; NaN is outside.

    Source: house rule, nothing is extrapolated (practice).
    """
    within_x = (longitude_deg >= grid_longitude_deg[0]) & (longitude_deg <= grid_longitude_deg[-1])
    return np.asarray(within_x & (latitude_deg >= grid_latitude_deg[0]) & (latitude_deg <= grid_latitude_deg[-1]))


def _bracket(value: Array, grid: Array) -> tuple[np.ndarray, Array]:
    lower = np.clip(np.searchsorted(grid, value, side="right") - 1, 0, len(grid) - 2)
    return lower, (value - grid[lower]) / (grid[lower + 1] - grid[lower])


def cells(longitude_deg: Array, latitude_deg: Array, grid_longitude_deg: Array, grid_latitude_deg: Array) -> np.ndarray:
    """The four nodes around each station, (station, 4), counted row by row from south-west.

    Source: bilinear interpolation.
    """
    column, _ = _bracket(longitude_deg, grid_longitude_deg)
    row, _ = _bracket(latitude_deg, grid_latitude_deg)
    south_west = row * len(grid_longitude_deg) + column
    around = np.array([0, 1, len(grid_longitude_deg), len(grid_longitude_deg) + 1])
    return np.asarray(south_west[:, None] + around)


def shares(longitude_deg: Array, latitude_deg: Array, grid_longitude_deg: Array, grid_latitude_deg: Array) -> Array:
    """Share of each of the four nodes in each station, (station, 4); each row sums to 1.

    w = (1 - a)(1 - b), a (1 - b), (1 - a) b, a b.      Valid: stations inside the grid.
    Source: bilinear interpolation.
    """
    if not np.all(inside(longitude_deg, latitude_deg, grid_longitude_deg, grid_latitude_deg)):
        raise OutOfRangeError(
            f"a station lies outside the grid {grid_longitude_deg[0]:g} to {grid_longitude_deg[-1]:g} E, "
            f"{grid_latitude_deg[0]:g} to {grid_latitude_deg[-1]:g} N; get a forecast that covers the whole road"
        )
    _, a = _bracket(longitude_deg, grid_longitude_deg)
    _, b = _bracket(latitude_deg, grid_latitude_deg)
    return np.stack([(1 - a) * (1 - b), a * (1 - b), (1 - a) * b, a * b], axis=1)


def weights(share: Array, nodes: np.ndarray, node_count: int) -> sp.csr_array:
    """The shares as a sparse matrix (station, node) in float32.

    Shares of zero stay stored, so that a NaN node spreads to every station beside it.
    Source: bilinear interpolation.
    """
    starts = np.arange(0, share.size + 1, share.shape[1])
    data = share.astype(np.float32).ravel()
    return sp.csr_array((data, nodes.ravel(), starts), shape=(len(share), node_count))


def interpolated(matrix: sp.csr_array, values: Values) -> Values:
    """Field at the stations: (station, member x step) from (member, step, node).

    f = W f_nodes.      Source: bilinear interpolation.
    """
    nodes: Values = np.ascontiguousarray(values.reshape(-1, values.shape[-1]).T)
    result: Values = matrix @ nodes
    return result
