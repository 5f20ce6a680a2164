"""The stored divergence numbers from first principles: strip, sail and circle, and their convergence."""

import numpy as np
import pytest
from scipy.linalg import eigh
from scipy.special import jn_zeros, jv

from shared.arrays import Array
from shared.tables import figure

EVEN, ODD = np.array([0.0, 2.0, 4.0]), np.array([1.0, 3.0])
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
    higher = [(np.sin((n - 1) * angle) / (n - 1) - np.sin((n + 1) * angle) / (n + 1)) / 2.0 for n in order[2:]]
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


def strip_by_collocation(terms: int) -> float:
    """A second way to the strip: p = 2 sum n a_n sin(n th) / sin(th), w'' = -lambda p, projected on sin(m th)."""
    node, weight = np.polynomial.legendre.leggauss(400)
    angle, weight = (node + 1.0) * np.pi / 2.0, weight * np.pi / 2.0
    order = np.arange(1, terms + 1)
    fine = np.linspace(0.0, np.pi, 40001)
    x, step = (1.0 - np.cos(fine)) / 2.0, fine[1] - fine[0]
    columns = []
    for n in order:
        shear = np.concatenate([[0.0], np.cumsum(n * (np.sin(n * (fine[1:] - step / 2.0))) * step)])
        bow = np.concatenate([[0.0], np.cumsum((shear[1:] + shear[:-1]) / 2.0 * np.diff(x))])
        columns.append(np.interp(angle, fine, x * bow[-1] - bow))
    sine = np.sin(np.outer(order, angle))
    flexibility = (2.0 / np.pi) * (sine * weight) @ np.array(columns).T
    return float(1.0 / np.max(np.linalg.eigvals(flexibility).real))


def test_sail_agrees_with_the_published_number() -> None:
    """Thwaites 1961 and Nielsen 1963: twice the number is 2.316 (memory); C_T = 2 / lambda = 1.727 (memory)."""
    number = sail_divergence_ratio(8)
    assert 2.0 * number == pytest.approx(2.316, abs=1e-3)
    assert 2.0 / number == pytest.approx(1.727, abs=1e-3)
    assert figure("cover_sail_divergence_ratio") == pytest.approx(number, rel=1e-5)


def test_first_sail_term_has_a_closed_form() -> None:
    assert sail_divergence_ratio(1) == pytest.approx(3.0 * np.pi / 8.0, rel=1e-6)


@pytest.mark.parametrize(("terms", "expected"), [(1, 4.060505), (3, 4.022252), (8, 4.014193), (40, 4.012272)])
def test_strip_converges_from_above(terms: int, expected: float) -> None:
    assert strip_divergence_ratio(terms) == pytest.approx(expected, rel=1e-5)


def test_strip_by_two_methods() -> None:
    assert strip_by_collocation(12) == pytest.approx(strip_divergence_ratio(40), rel=5e-4)


def test_circle_vented_is_the_even_family() -> None:
    found = circle_divergence_ratio(EVEN, 4)
    assert found == pytest.approx(4.9681, abs=5e-4)
    assert figure("cover_circle_divergence_ratio") <= found
    assert figure("cover_circle_divergence_ratio") == pytest.approx(found, rel=5e-4)


def test_circle_sealed_is_the_odd_family_and_hardly_better() -> None:
    assert circle_divergence_ratio(ODD, 4) == pytest.approx(5.3151, abs=5e-4)


def test_one_term_circle_has_a_known_value() -> None:
    assert circle_divergence_ratio(np.array([0.0]), 1) == pytest.approx(5.5607, abs=2e-3)
