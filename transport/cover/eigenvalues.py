"""Divergence numbers from first principles: strip, sail and circle, as stored in the published figures."""

import numpy as np
from scipy.linalg import eigh
from scipy.special import jn_zeros, jv

from shared.arrays import Array

__all__ = ["circle_divergence_ratio", "sail_divergence_ratio", "strip_divergence_ratio"]

WAVE_STEP = 0.25
WAVE_COUNT = 4000


def strip_divergence_ratio(terms_count: int, series_count: int = 200) -> float:
    """Divergence number rho U^2 L / T of a strip in a baffle, flow on one side.

    w = sum a_n sin(n pi x), K = (n pi)^2 / 2, B from ln|x - y| = const - sum (2 / j) T_j T_j.
    Converges from above.
    Source: Ritz method, thin aerofoil theory (own)
    """
    node, weight = np.polynomial.legendre.leggauss(4 * series_count)
    wave = np.pi * np.arange(1, terms_count + 1)
    order = np.arange(1, series_count + 1)
    chebyshev = np.cos(np.outer(order, np.arccos(node)))
    slope = (wave[:, None] * np.cos(np.outer(wave, (1.0 + node) / 2.0)) * weight / 2.0) @ chebyshev.T
    load = (2.0 / np.pi) * (slope / order) @ slope.T
    return float(1.0 / eigh(load, np.diag(wave**2 / 2.0), eigvals_only=True)[-1])


def sail_divergence_ratio(terms_count: int) -> float:
    """Divergence number rho U^2 c / T of a sail with its wake, at incidence 0.

    w' = -A0 + sum A_n cos(n th), load 2 rho U^2 [A0 cot(th / 2) + sum A_n sin(n th)], T w'' = -load.
    Both ends held. Converges from above.
    Source: Glauert's series for Thwaites' sail equation (memory)
    """
    node, weight = np.polynomial.legendre.leggauss(max(64, 8 * terms_count))
    angle, weight = (node + 1.0) * np.pi / 2.0, weight * np.pi / 2.0
    order = np.arange(terms_count + 1.0)
    cosine = np.cos(np.outer(order, angle)) * weight
    sign, norm = np.where(order == 0, -1.0, 1.0), np.where(order == 0, np.pi, np.pi / 2.0)
    integral = (sign / norm)[:, None] * (cosine @ _integrated_load(order, angle).T)
    held = sign * (cosine @ np.sin(angle))
    system = -integral
    system[0] += held @ integral / held[0]
    values = np.linalg.eigvals(system)
    return float(1.0 / max(values[np.abs(values.imag) < 1e-9].real))


def circle_divergence_ratio(diameters_count: Array, radial_count: int) -> float:
    """Divergence number rho U^2 R / T of a round membrane in a baffle; even vented, odd sealed.

    Basis J_m(j_mn r) cos(m th), K = j^2 |w|^2, B = (-1)^((m' - m) / 2) I int k^2 F F' dk.
    I = int cos cos cos^2 over the angle; even and odd are numbers of nodal diameters.
    The integral over k by the midpoint rule to 1000: exact but for its tail, since F F' has a band limit.
    Source: Galerkin method, potential flow (own)
    """
    k = np.linspace(0.5 * WAVE_STEP, (WAVE_COUNT - 0.5) * WAVE_STEP, WAVE_COUNT)
    basis = [(int(m), float(zero)) for m in diameters_count for zero in jn_zeros(int(m), radial_count)]
    waves = np.array([k * _transform(m, zero, k) for m, zero in basis])
    load = _crossing(np.array([float(m) for m, _ in basis])) * (waves @ waves.T) * WAVE_STEP
    stiffness = [z**2 * jv(m + 1, z) ** 2 / 2.0 * np.pi * (2.0 if m == 0 else 1.0) for m, z in basis]
    return float(1.0 / eigh(load, np.diag(stiffness), eigvals_only=True)[-1])


def _integrated_load(order: Array, angle: Array) -> Array:
    higher = [
        (np.sin((n - 1) * angle) / (n - 1) - np.sin((n + 1) * angle) / (n + 1)) / 2.0 for n in order[2:]
    ]
    return np.array([angle + np.sin(angle), angle / 2.0 - np.sin(2.0 * angle) / 4.0, *higher])


def _transform(order: int, zero: float, k: Array) -> Array:
    """Hankel transform of J_m(j r) on the unit disc: j J_(m+1)(j) J_m(k) / (j^2 - k^2)."""
    return np.asarray(zero * jv(order + 1, zero) * jv(order, k) / (zero**2 - k**2))


def _crossing(order: Array) -> Array:
    """Angular part of the load: (-1)^((m' - m) / 2) int cos(m th) cos(m' th) cos^2(th) dth."""
    step = 2.0 * np.pi / 256
    angle = step * np.arange(256)
    cosine = np.cos(np.outer(order, angle))
    sign = np.where((order[:, None] - order[None, :]) % 4 == 0, 1.0, -1.0)
    return np.asarray(sign * ((cosine * np.cos(angle) ** 2) @ cosine.T) * step)
