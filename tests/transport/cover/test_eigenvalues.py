"""The stored divergence numbers against independent solutions and their convergence."""

import numpy as np
import pytest

from shared.tables import figure
from transport.cover.eigenvalues import circle_divergence_ratio, sail_divergence_ratio, strip_divergence_ratio

EVEN, ODD = np.array([0.0, 2.0, 4.0]), np.array([1.0, 3.0])


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
