"""How chains share a push as they stretch: translational elastic share (TES) and pretensioned pairs."""

import numpy as np

from shared.arrays import Array

__all__ = ["movement_m", "pretensioned_kN", "rate_kN_per_m", "share_kN", "slack_side_kN"]


def rate_kN_per_m(resisting_ratio: Array, stiffness_kN: Array, length_m: Array) -> Array:
    """Tension that each chain gains for each metre the load moves without turning.

    r = EA max(0, h) / L; shares h (..., n), EA and L (n,), result (..., n) in kN/m.
    Source: linear elasticity of a straight chain, statics (read).
    """
    return np.asarray(stiffness_kN * np.maximum(resisting_ratio, 0.0) / length_m, dtype=float)


def movement_m(rate_kN_per_m: Array, capacity_kN: Array, allowed_m: float) -> Array:
    """Movement of the load at which the first chain reaches its capacity, or the movement allowed if that is less.

    d = min(allowed, min(F / r)); rates (..., n), capacities (n,), result (...,) in m.
    Source: translational elastic share, statics (read).
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        reach_m = np.where(rate_kN_per_m > 0.0, capacity_kN / rate_kN_per_m, np.inf)
    return np.asarray(np.min(reach_m, axis=-1, initial=allowed_m), dtype=float)


def share_kN(rate_kN_per_m: Array, movement_m: Array) -> Array:
    """Tension of each chain after the load has moved.

    T = r d; rates (..., n), movement (...,), result (..., n); T0 = 0.
    Source: translational elastic share, statics (read).
    """
    return np.asarray(rate_kN_per_m * np.asarray(movement_m)[..., None], dtype=float)


def pretensioned_kN(push_kN: Array, pretension_kN: Array) -> Array:
    """Tension on the tight side of two opposed chains that were pretensioned and then pushed.

    T = max(F, T0 + F / 2): until the other side goes slack each takes half, then one takes all.
    Forces of any shape in kN. Pretension adds stiffness, not capacity.
    Source: two equal springs in opposition, statics (read).
    """
    return np.asarray(np.maximum(push_kN, pretension_kN + push_kN / 2.0), dtype=float)


def slack_side_kN(push_kN: Array, pretension_kN: Array) -> Array:
    """Tension left on the other side of the pair.

    T = max(0, T0 - F / 2); forces of any shape in kN.
    Source: two equal springs in opposition, statics (read).
    """
    return np.asarray(np.maximum(0.0, pretension_kN - push_kN / 2.0), dtype=float)
