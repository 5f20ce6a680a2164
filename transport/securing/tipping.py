"""Tipping about each edge of the support (model A)."""

import numpy as np
from scipy.spatial import ConvexHull

from shared.arrays import Array

__all__ = [
    "inside_m",
    "on_one_line",
    "outline_m",
    "overturning_ratio",
    "resistance_kN",
    "restoring_arm_m",
    "top_over_count",
]


def overturning_ratio(acceleration_ratio: float, height_m: float, edge_distance_m: float) -> float:
    """How far the load alone goes towards tipping: below 1 it stands.

    (c / c_z) d / b with c_z = 1; height d of the centre of mass, its distance b to the edge, in m.
    Source: EN 12195-1:2010, 5.2 (memory).
    """
    return float(acceleration_ratio * height_m / edge_distance_m)


def top_over_count(
    weight_kN: float,
    overturning_m: float,
    width_m: float,
    vertical_ratio: float,
    tension_kN: float,
    safety_ratio: float,
    *,
    height_m: float = 0.0,
    tensioner_ratio: float = 2.0,
) -> float:
    """Number of top-over lashings that hold one row against tipping; round it up.

    n = m g (c d - b) f_s / (FT ((k - 1) w sin(alpha) - (2 - k) h cos(alpha))); overturning = c d - b in m, k = 2 for
    equal tension on both sides; once the bracket is 0 or less (k < 2) no number is enough: infinite.
    Source: EN 12195-1:2010 and (k < 2) EN 12195-1:2003, tilting of frictional lashing (memory).
    """
    cosine = np.sqrt(1.0 - vertical_ratio**2)
    arm_m = (tensioner_ratio - 1.0) * width_m * vertical_ratio - (2.0 - tensioner_ratio) * height_m * cosine
    return float(weight_kN * overturning_m * safety_ratio / (tension_kN * arm_m)) if arm_m > 0.0 else np.inf


def outline_m(pad_m: Array) -> tuple[Array, Array]:
    """Edges of the support seen from above: a point on each and its outward unit normal.

    Convex hull of the pads (p, 3); results (edges, 3) in m and (edges, 2).
    Source: geometry (read).
    """
    corner_m = pad_m[ConvexHull(pad_m[:, :2]).vertices]
    side_m = np.roll(corner_m, -1, axis=0)[:, :2] - corner_m[:, :2]
    outward = np.stack([side_m[:, 1], -side_m[:, 0]], axis=-1)
    return corner_m, outward / np.linalg.norm(outward, axis=-1, keepdims=True)


def restoring_arm_m(pull_ratio: Array, on_load_m: Array, edge_m: Array, outward_ratio: Array) -> Array:
    """Lever arm with which each chain holds the load down about each edge; below 0 it helps to tip.

    a = (A - P)_n u_z - (A - P)_z u_n, n the outward normal of the edge through P.
    Pulls and points (n, 3), edge points (edges, 3) and normals (edges, 2); result (edges, n) in m.
    Source: EN 12195-1:2010, 5.5.3, moment balance about the edge, statics (memory).
    """
    reach_m = on_load_m[None, :, :] - edge_m[:, None, :]
    outward_m = np.einsum("eni,ei->en", reach_m[..., :2], outward_ratio)
    outward_pull_ratio = outward_ratio @ pull_ratio[:, :2].T
    return np.asarray(outward_m * pull_ratio[:, 2] - reach_m[..., 2] * outward_pull_ratio, dtype=float)


def resistance_kN(
    centre_m: Array,
    direction_ratio: Array,
    edge_m: Array,
    outward_ratio: Array,
    carried_kN: Array,
    holding_kNm: Array,
) -> Array:
    """Horizontal force at the centre of mass that tips the load about its weakest edge, for each direction.

    R = min over edges of (N b + M) / (d e.n); centres (directions, 3), unit directions (directions, 2), edge points
    (edges, 3) and normals (edges, 2), N what the pads carry (...,), M the moments of the chains (directions, edges);
    b and d the distances of the centre to the edge, inwards and upwards. Result (..., directions).
    Source: EN 12195-1:2010, 5.2 and 5.5.3, eq. (1) and (7) for any direction (memory).
    """
    reach_m = edge_m[None, :, :] - centre_m[:, None, :]
    inward_m = np.einsum("dei,ei->de", reach_m[..., :2], outward_ratio)
    towards_ratio = direction_ratio @ outward_ratio.T
    lever_m = np.where(towards_ratio > 1e-9, -reach_m[..., 2] * towards_ratio, np.nan)
    force_kN = (carried_kN[..., None, None] * inward_m + holding_kNm) / lever_m
    return np.asarray(np.min(np.where(np.isnan(lever_m), np.inf, force_kN), axis=-1), dtype=float)


def inside_m(pad_m: Array, point_m: Array) -> Array:
    """How far points lie inside the outline of the pads, seen from above; below 0 they lie outside.

    min over edges of (P - r) . n; pads (p, 3), points (n, 3), result (n,) in m.
    Source: geometry (read).
    """
    edge_m, outward = outline_m(pad_m)
    reach_m = edge_m[None, :, :2] - point_m[:, None, :2]
    return np.asarray(np.min(np.einsum("nei,ei->ne", reach_m, outward), axis=-1), dtype=float)


def on_one_line(pad_m: Array) -> bool:
    """Whether the pads span no area: the least of their two spreads is below 1 cm.

    Second singular value of the centred plan positions over sqrt(p); pads (p, 3) in m.
    Source: geometry (read).
    """
    plan_m = pad_m[:, :2] - pad_m[:, :2].mean(axis=0)
    return bool(np.linalg.svd(plan_m, compute_uv=False)[1] / np.sqrt(len(pad_m)) < 0.01)
