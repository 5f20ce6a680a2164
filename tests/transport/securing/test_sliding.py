"""Sliding balances against quick lashing guides, a lecture, and hand calculation."""

from collections.abc import Callable

import numpy as np
import pytest

from shared.tables import figure
from transport.securing import sliding

Expected = Callable[[str], dict]
SINE_75 = np.sin(np.deg2rad(75.0))
GRAVITY = 9.81


@pytest.mark.parametrize("number", range(1, 20))
def test_quick_lashing_guide(expected: Expected, number: int) -> None:
    """One lashing holds the printed tonnes, to the last printed digit."""
    row = expected("top_over")[f"Q{number}"]
    forward = row.direction == "forward"
    acceleration, safety = (0.8, figure("securing_safety_factor_forward_ratio")) if forward else (0.5, 1.1)
    count = sliding.top_over_count(GRAVITY, acceleration - row.friction_ratio, row.friction_ratio, SINE_75, 4.0, safety)
    assert 1.0 / count == pytest.approx(row.computed_t, abs=6e-5)
    assert 1.0 / count == pytest.approx(row.printed_t, abs=0.051)


@pytest.mark.parametrize(
    ("key", "mass_t", "acceleration", "tension_kN", "safety"),
    [("CV01", 1.0741, 0.5, 4.0, 1.1), ("CV03a", 50.0, 0.8, 20.0, 1.25), ("CV03b", 50.0, 0.5, 20.0, 1.1)],
)
def test_top_over(
    expected: Expected, key: str, mass_t: float, acceleration: float, tension_kN: float, safety: float
) -> None:
    check = expected("balances")[key]
    count = sliding.top_over_count(mass_t * GRAVITY, acceleration - 0.3, 0.3, SINE_75, tension_kN, safety)
    assert count == pytest.approx(check.expected, abs=check.tolerance)


def test_top_over_and_equilibrium_are_inverse(expected: Expected) -> None:
    """T2i: three lashings at 10 kN hold 63.18 kN at mu 0.4, so that acceleration needs three (safety factor 1)."""
    held_ratio = expected("equilibrium")["T2"].expected / 100.0
    assert sliding.top_over_count(100.0, held_ratio - 0.4, 0.4, SINE_75, 10.0, 1.0) == pytest.approx(3.0, abs=1e-5)


@pytest.mark.parametrize(
    ("key", "friction", "legs", "safety"),
    [("CV06a", 0.4, 2.0, 1.0), ("CV06b", 0.28, 1.5, 1.0), ("CV06c", 0.4, 2.0, 1.1)],
)
def test_counts_of_the_lecture(expected: Expected, key: str, friction: float, legs: float, safety: float) -> None:
    """IRU Academy 2010, example 1: the counts follow for 3.0 t a section; legs is the old factor k."""
    count = sliding.top_over_count(3.0 * GRAVITY, 0.5 - friction, friction, 1.0, 4.0 * legs / 2.0, safety)
    assert np.ceil(count) == expected("balances")[key].expected


def test_friction_of_one_strap(expected: Expected) -> None:
    held = sliding.resistance_kN(np.array([4.0, 4.0]), np.zeros(2), np.ones(2), 0.3, np.array(0.0), np.array(0.0))
    assert held * 100.0 == pytest.approx(expected("balances")["CV07"].expected)


@pytest.mark.parametrize(
    ("key", "acceleration", "plan_deg"), [("CV04a", 0.8, 30.0), ("CV04b", 0.5, 30.0), ("CV04c", 0.5, 60.0)]
)
def test_direct_lashing(expected: Expected, key: str, acceleration: float, plan_deg: float) -> None:
    check = expected("balances")[key]
    along = np.full(2, np.cos(np.deg2rad(40.0)) * np.cos(np.deg2rad(plan_deg)))
    force_kN = sliding.direct_lashing_force_kN(490.5, acceleration, 0.225, along, np.full(2, np.sin(np.deg2rad(40.0))))
    assert force_kN == pytest.approx(check.expected, abs=check.tolerance)


def test_roller_without_friction(expected: Expected) -> None:
    """Two chains of angle effect 0.75 hold 8 t forward at 0.8: the kilograms of the guide are forces over g."""
    check = expected("balances")["roller"]
    along = np.full(2, expected("balances")["AE075"].expected)
    force_kN = sliding.direct_lashing_force_kN(8000.0, 0.8, 0.0, along, np.zeros(2))
    assert force_kN == pytest.approx(check.expected, abs=check.tolerance)


def test_direct_lashing_and_resistance_are_one_balance() -> None:
    along, down = np.array([0.7, 0.5]), np.array([0.4, 0.6])
    force_kN = sliding.direct_lashing_force_kN(490.5, 0.8, 0.225, along, down)
    held_kN = sliding.resistance_kN(np.full(2, force_kN), along, down, 0.225, np.array(490.5), np.array(0.0))
    assert held_kN == pytest.approx(0.8 * 490.5)


def test_blocking(expected: Expected) -> None:
    check = expected("balances")["CV05"]
    assert sliding.blocking_force_kN(490.5, 0.8, 0.3) == pytest.approx(check.expected, abs=check.tolerance)
