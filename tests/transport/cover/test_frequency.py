"""Air carried by the cover, by direct integration, with Lamb's plate and the rigid piston as proof of the integral."""

from collections.abc import Callable

import numpy as np
import pytest
from scipy.special import jn_zeros, jv

from shared.arrays import Array
from shared.tables import figure, published
from transport.cover.frequency import added_mass_kg_per_m2, membrane_frequency_hz, watch_speed_mps


def carried(transform: Callable[[Array], Array], energy: float) -> float:
    """c = int_0^inf W(k)^2 dk / int_0^1 w^2 r dr, W the Hankel transform of the mode; midpoint rule, band limited."""
    k = 0.25 * (np.arange(8000) + 0.5)
    return float(np.sum(transform(k) ** 2) * 0.25 / energy)


def membrane_mode(order: int) -> float:
    zero = float(jn_zeros(order, 1)[0])
    end = float(jv(order + 1, zero))
    return carried(lambda k: zero * end * jv(order, k) / (zero**2 - k**2), end**2 / 2.0)


def test_rigid_piston() -> None:
    """Rayleigh: 8 / (3 pi)."""
    assert carried(lambda k: jv(1, k) / k, 0.5) == pytest.approx(8.0 / (3.0 * np.pi), rel=1e-3)


def test_clamped_plate_of_lamb() -> None:
    """Lamb 1920: 0.6689 (memory)."""
    assert carried(lambda k: 8.0 * jv(3, k) / k**3, 0.1) == pytest.approx(0.6689, rel=1e-4)


@pytest.mark.parametrize("diameters", [0, 1])
def test_stored_added_mass(diameters: int) -> None:
    row = published("added_mass").row(diameters_count=str(diameters), circles_count="1")
    assert float(row["added_mass_ratio"]) == pytest.approx(membrane_mode(diameters), rel=1e-3)


def test_air_slows_the_cover_by_more_than_two() -> None:
    """In vacuum 3.026 Hz, with air 1.0589 Hz: T 1 kN/m, 1 kg/m2, R 4 m, 1.2 kg/m3."""
    bare = float(membrane_frequency_hz(1000.0, 1.0, 4.0))
    loaded = float(membrane_frequency_hz(1000.0, 1.0 + added_mass_kg_per_m2(4.0, 1.2), 4.0))
    assert bare == pytest.approx(3.026, abs=1e-3)
    assert bare / loaded > 2.0


@pytest.mark.parametrize(("mass", "radius", "expected"), [(0.5, 2.0, 11.98), (1.5, 2.0, 10.74), (1.5, 4.0, 8.22)])
def test_watch_speed_by_areal_mass(mass: float, radius: float, expected: float) -> None:
    frequency = membrane_frequency_hz(1000.0, mass + added_mass_kg_per_m2(radius, 1.2), radius)
    assert float(watch_speed_mps(frequency, radius)) == pytest.approx(expected, abs=0.006)


@pytest.mark.parametrize(("frequency_hz", "expected"), [(1.0, 1.170), (2.0, 1.083)])
def test_dynamic_factor_covers_a_half_sine_gust(frequency_hz: float, expected: float) -> None:
    """Undamped oscillator under a half-sine of 3 s, by its closed form while the gust lasts."""
    natural, forcing = 2.0 * np.pi * frequency_hz, np.pi / 3.0
    time = np.linspace(0.0, 3.0, 200001)
    ratio = forcing / natural
    response = (np.sin(forcing * time) - ratio * np.sin(natural * time)) / (1.0 - ratio**2)
    assert response.max() == pytest.approx(expected, abs=2e-3)
    assert response.max() <= figure("cover_dynamic_factor_ratio") <= figure("cover_soft_dynamic_factor_ratio")
