"""Springs that hold a rigid body: chains that only pull, contacts that only push, with friction; force and stiffness.

Arrays hold one problem a row (b), then one chain (n) or one contact (p) a row, then x, y, z in the trailer frame. A
stiffness S gives the change of force dF = -S da when the point on the load moves by da.
"""

import numpy as np

from shared.arrays import Array

__all__ = ["chain_spring", "contact_spring", "friction_kN", "normal_kN", "tension_kN"]

Spring = tuple[Array, Array]
TOUCHING_M = 1e-9
ROUNDING_kN = 1e-9


def tension_kN(length_m: Array, start_m: Array, rate_kN_per_m: Array, pretension_kN: Array) -> Array:
    """Tension of chains, which cannot push.

    T = max(0, T0 + (EA/L) (l - l0)); lengths and l0 (..., n) in m, EA/L and T0 (n,), result (..., n); valid up to LC.
    Source: linear elasticity of a straight chain that takes tension only, statics (read).
    """
    return np.asarray(np.maximum(0.0, pretension_kN + rate_kN_per_m * (length_m - start_m)), dtype=float)


def normal_kN(apart_m: Array, stiffness_kN_per_m: float) -> Array:
    """Force of contacts, which cannot pull.

    N = max(0, -k_n u_n); u_n (..., p) in m, above 0 where the contact is lifted, result the same shape.
    Source: unilateral elastic contact, statics (read).
    """
    return np.asarray(np.maximum(0.0, -stiffness_kN_per_m * apart_m), dtype=float)


def friction_kN(trial_kN: Array, limit_kN: Array) -> Array:
    """Friction force after a movement: what sticking would give, cut to the circle of Coulomb.

    f = f' min(1, mu N / |f'|), f' = f0 - k_t du_t; trial forces (..., 3), limits mu N (...,), result (..., 3).
    Source: return mapping of Coulomb friction, Simo and Hughes 1998 (memory).
    """
    return np.asarray(trial_kN * _kept_ratio(trial_kN, limit_kN)[..., None], dtype=float)


def chain_spring(to_deck_m: Array, start_m: Array, rate_kN_per_m: Array, pretension_kN: Array) -> Spring:
    """Force of each chain on the load and its stiffness, exact for large movements.

    F = T u, S = (EA/L) u u' + (T/l) (I - u u'); vectors to the deck (b, n, 3), results (b, n, 3) and (b, n, 3, 3).
    Source: geometry and statics (read).
    """
    length_m = np.linalg.norm(to_deck_m, axis=-1)
    pull = to_deck_m / length_m[..., None]
    force_kN = tension_kN(length_m, start_m, rate_kN_per_m, pretension_kN)
    taut = pretension_kN + rate_kN_per_m * (length_m - start_m) >= 0.0
    across_kN_per_m = force_kN / length_m
    along = (rate_kN_per_m * taut - across_kN_per_m)[..., None, None] * (pull[..., :, None] * pull[..., None, :])
    return force_kN[..., None] * pull, along + across_kN_per_m[..., None, None] * np.eye(3)


def contact_spring(
    moved_m: Array,
    sticking_kN: Array,
    normal_ratio: Array,
    friction_ratio: Array,
    stiffness_kN_per_m: tuple[float, float],
) -> tuple[Array, Array, Array]:
    """Force of each contact on the load, its stiffness, and the friction in that force.

    F = N n + f, S = k_n (n + mu t) n' + c k_t (P - t t') when it slips, t = f' / |f'|, c = mu N / |f'|, P = I - n n'.
    Movement of the contacts and friction if they stick f' (b, p, 3), normals (p, 3), mu (p,), (k_n, k_t) in kN/m.
    A contact within 1e-9 m touches, and friction within 1e-9 kN sticks, so that rounding neither lifts nor slips it.
    Source: return mapping of Coulomb friction and its tangent, Simo and Hughes 1998 (memory).
    """
    press_kN_per_m, shear_kN_per_m = stiffness_kN_per_m
    apart_m = np.sum(moved_m * normal_ratio, axis=-1)
    force_kN = normal_kN(apart_m, press_kN_per_m)
    limit_kN = friction_ratio * force_kN
    kept = _kept_ratio(sticking_kN, limit_kN)
    slipping_kN = friction_kN(sticking_kN, limit_kN)
    slides = kept < 1.0
    size_kN = np.linalg.norm(sticking_kN, axis=-1)
    slip = sticking_kN / np.where(size_kN > 0.0, size_kN, 1.0)[..., None] * slides[..., None]
    plane = np.eye(3) - normal_ratio[:, :, None] * normal_ratio[:, None, :]
    shear = plane - slip[..., :, None] * slip[..., None, :]
    press = (normal_ratio + friction_ratio[:, None] * slip)[..., :, None] * normal_ratio[:, None, :]
    touching = (apart_m <= TOUCHING_M)[..., None, None]
    stiffness = touching * (press_kN_per_m * press + shear_kN_per_m * kept[..., None, None] * shear)
    return force_kN[..., None] * normal_ratio + slipping_kN, stiffness, slipping_kN


def _kept_ratio(trial_kN: Array, limit_kN: Array) -> Array:
    size_kN = np.linalg.norm(trial_kN, axis=-1)
    return np.where(size_kN > limit_kN + ROUNDING_kN, limit_kN / np.where(size_kN > 0.0, size_kN, 1.0), 1.0)
