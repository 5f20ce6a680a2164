"""Groupings compared on level ground, without any allowance; and what is left when a group carries nothing."""

import numpy as np

from shared.arrays import Array
from transport.trailer.polygon import edge_distance_m, edges
from transport.trailer.resultant import Body
from transport.trailer.stability import stability_angle_deg

__all__ = ["bare_angle_deg", "group_lost_angle_deg"]


def bare_angle_deg(support_m: Array, body: Body) -> float:
    """Stability angle of a body on its supports, level, still, without allowance: the least over states and edges.

    Shapes: support (group, 2). Source: alpha = atan(d / h), stability rule of platform trailers (practice).
    """
    distance_m = edge_distance_m(edges(support_m), body.centre_m).min(axis=1)
    return float(stability_angle_deg(distance_m, body.height_m).min())


def group_lost_angle_deg(support_m: Array, body: Body) -> Array:
    """Bare stability angle for each group that carries nothing; 0 or below means that the platform leans over.

    Four groups: the triangle of the other three. Three groups: nothing is redundant, the line of the other two.
    Shapes: support (group, 2), result (group,). Source: statics; a redundant group may be lost or overfed (practice).
    """
    return np.array([bare_angle_deg(np.delete(support_m, n, axis=0), body) for n in range(len(support_m))])
