"""The tipping polygon: convex hull of the supports, its edges, and the distance of a point to each of them."""

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import ArrayLike
from shapely.geometry.polygon import orient

from shared.arrays import Array

__all__ = ["Planes", "edge_distance_m", "edges", "on_one_line"]


class Planes(NamedTuple):
    """Linear functions of a plan position (x, y): value at the origin (..., plane) and gradient (plane, 2)."""

    value: Array
    gradient: Array


def edges(support_m: Array) -> Planes:
    """Signed distance of a plan position to each edge of the convex hull of the supports, positive inside.

    s(p) = n . (p - p_0), n the inward normal. Shapes: support (n, 2); result value (edge) in m, gradient (edge, 2).
    Two supports, or supports on one line, give one edge seen from both sides: nothing is inside.
    Source: plane geometry; hull by GEOS.
    """
    hull = shapely.convex_hull(shapely.MultiPoint(support_m))
    if hull.geom_type == "Polygon":
        corner_m = np.asarray(orient(hull, 1.0).exterior.coords)
    else:
        corner_m = np.asarray(hull.coords)[[0, -1, 0]]
    along = np.diff(corner_m, axis=0)
    normal = np.column_stack([-along[:, 1], along[:, 0]]) / np.hypot(along[:, 0], along[:, 1])[:, None]
    return Planes(-np.einsum("ec,ec->e", normal, corner_m[:-1]), normal)


def edge_distance_m(polygon: Planes, point_m: ArrayLike) -> Array:
    """Signed distance of points to each edge, negative outside.

    Shapes: point (..., 2), result (..., edge). Source: plane geometry.
    """
    return np.asarray(np.asarray(point_m, dtype=float) @ polygon.gradient.T + polygon.value)


def on_one_line(support_m: Array, tolerance_m: float = 0.01) -> bool:
    """Whether the supports stand on one line, within the tolerance.

    Shapes: support (n, 2). Source: smallest singular value of the centred positions (linear algebra).
    """
    spread_m = np.linalg.svd(support_m - support_m.mean(axis=0), compute_uv=False)
    return bool(spread_m[-1] <= tolerance_m)
