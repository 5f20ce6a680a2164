"""How chains share a push as they stretch: translational elastic share (TES), with and without pretension."""

import numpy as np

from shared.arrays import Array

__all__ = ["blocked_kN", "movement_m", "rate_kN_per_m", "settled_m", "share_kN"]


def rate_kN_per_m(resisting_ratio: Array, stiffness_kN: Array, length_m: Array) -> Array:
    """Tension that each chain gains for each metre the load moves without turning; below 0 it slackens.

    r = EA h / L; shares h (..., n), EA and L (n,), result (..., n) in kN/m.
    Source: linear elasticity of a straight chain, statics (read).
    """
    return np.asarray(stiffness_kN * resisting_ratio / length_m, dtype=float)


def movement_m(rate_kN_per_m: Array, capacity_kN: Array, allowed_m: float) -> Array:
    """Movement of the load at which the first chain reaches its capacity, or the movement allowed if that is less.

    d = min(allowed, min(F / r)) over chains with r > 0; rates (..., n), capacities (n,), result (...,) in m.
    Source: translational elastic share, statics (read).
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        reach_m = np.where(rate_kN_per_m > 0.0, capacity_kN / rate_kN_per_m, np.inf)
    return np.asarray(np.min(reach_m, axis=-1, initial=allowed_m), dtype=float)


def share_kN(rate_kN_per_m: Array, movement_m: Array, pretension_kN: Array | float = 0.0) -> Array:
    """Tension of each chain after the load has moved.

    T = max(0, T0 + r d); rates (..., n), movement (...,), pretension (n,), result (..., n).
    Source: translational elastic share, statics (read).
    """
    stretched_kN = pretension_kN + rate_kN_per_m * np.asarray(movement_m)[..., None]
    return np.asarray(np.maximum(0.0, stretched_kN), dtype=float)


def blocked_kN(share_ratio: Array, capacity_kN: Array) -> Array:
    """Force of stops of equal stiffness in each direction when the first of them is full.

    BC = min(BC_i / h_i) sum(h_i^2); shares (..., p), 0 for a stop not counted, capacities (p,), result (...,).
    Source: equal springs pressed by one rigid body that does not turn, statics (read).
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        pressed_kN = np.where(share_ratio > 0.0, capacity_kN / share_ratio, np.inf)
    first_kN = np.min(pressed_kN, axis=-1, initial=np.inf)
    return np.asarray(np.where(np.isinf(first_kN), 0.0, first_kN) * np.sum(share_ratio**2, axis=-1), dtype=float)


def settled_m(push_kN: float, efficiency_ratio: Array, rate_kN_per_m: Array, pretension_kN: Array) -> float:
    """How far the load slides until chains and friction balance the push: 0 if they do at once, NaN if they never do.

    sum T(d) eta = push for the least d >= 0, T = max(0, T0 + r d), eta = h + mu v. Push is what is left after the
    friction of the weight; eta, r and T0 (n,). Pretension adds stiffness, not capacity. An unknown push gives NaN.
    Source: springs that take tension only, statics (read).
    """
    if np.isnan(push_kN):
        return np.nan
    slackening = rate_kN_per_m < 0.0
    slack_m = np.sort(-pretension_kN[slackening] / rate_kN_per_m[slackening])
    at_m = np.concatenate([[0.0], slack_m, [np.max(slack_m, initial=0.0) + 1.0]])
    held_kN = share_kN(rate_kN_per_m, at_m, pretension_kN) @ efficiency_ratio
    if not push_kN > held_kN[0]:
        return 0.0
    if not held_kN[-1] > held_kN[-2]:
        return np.nan
    last = int(np.argmax(held_kN >= push_kN)) if held_kN[-1] >= push_kN else len(at_m) - 1
    gain_kN_per_m = (held_kN[last] - held_kN[last - 1]) / (at_m[last] - at_m[last - 1])
    return float(at_m[last - 1] + (push_kN - held_kN[last - 1]) / gain_kN_per_m)
