"""Loads of the hydraulic groups and of their axle lines."""

import numpy as np
from numpy.typing import ArrayLike

from shared.arrays import Array
from transport.trailer.polygon import Planes

__all__ = ["axle_line_load_t", "group_load_t", "group_shares"]


def group_shares(support_m: Array, bogies_count: ArrayLike) -> Planes:
    """Share of the whole load that each group carries, linear in the plan position of the resultant.

    share_i = w_i a_i^T (sum w a a^T)^-1 (1, x, y), a_i = (1, x_i, y_i): of all loads in equilibrium the one with the
    least sum F_i^2 / w_i. Three groups: the barycentric coordinates, whatever w. Four: a rigid deck on groups as
    stiff as they have bogies; the true split also depends on how the circuits were filled.
    Shapes: support (group, 2), result value (group,), gradient (group, 2) in 1/m.
    Validity: supports not on one line. Source: statics; least squares (algebra).
    """
    weight = np.asarray(bogies_count, dtype=float)
    place = np.column_stack([np.ones(len(support_m)), support_m])
    shares = np.linalg.solve(place.T @ (weight[:, None] * place), (weight[:, None] * place).T).T
    return Planes(shares[:, 0], shares[:, 1:])


def group_load_t(shares: Planes, mass_t: ArrayLike, point_m: ArrayLike) -> Array:
    """Load of each group for a resultant at a plan position: m (s_0 + grad s . p).

    Shapes: mass (...), point (..., 2), result (..., group). Source: statics.
    """
    part = np.asarray(point_m, dtype=float) @ shares.gradient.T + shares.value
    return np.asarray(np.asarray(mass_t, dtype=float)[..., None] * part)


def axle_line_load_t(load_t: Array, bogies_count: ArrayLike) -> Array:
    """Load of an axle line of two bogies in a group of equal pressures: 2 F / n.

    Shapes: load (..., group), bogies (group,), result (..., group). Source: equal pressure, equal cylinders (statics).
    """
    return np.asarray(2.0 * load_t / np.asarray(bogies_count))
