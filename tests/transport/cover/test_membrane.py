"""The one-term membrane against the exact differential equation of Foeppl, with pretension and without."""

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from shared.arrays import Array
from shared.errors import OutOfRangeError
from transport.cover.fabric import fabric_pressure_Pa
from transport.cover.fastening import edge_tension_N_per_m
from transport.cover.sag import (
    Membrane,
    centre_sag_m,
    gradient_sag_m,
    pressure_Pa,
    sag_m,
    shape_ratio,
    stretching,
)

RADIUS_M, STIFFNESS_N_PER_M = 4.0, 4.0e5


class Exact:
    """Large deflection of a round membrane on a rigid ring, by shooting for the tension of the centre.

    d(N_r)/dr = (N_t - N_r) / r, w' = -p r / (2 N_r), strains of von Karman, u(R) = 0.
    """

    def __init__(self, load_Pa: float, tension_N_per_m: float, poisson_ratio: float) -> None:
        self.load_Pa, self.tension, self.poisson = load_Pa, tension_N_per_m, poisson_ratio
        scale = STIFFNESS_N_PER_M * (load_Pa * RADIUS_M / STIFFNESS_N_PER_M) ** (2.0 / 3.0)
        low, high = max(tension_N_per_m, 0.3 * scale), tension_N_per_m + 0.6 * scale
        self.centre = brentq(lambda guess: self.path(guess).y[1, -1], low * (1.0 + 1e-9), high, rtol=1e-12)
        self.end = self.path(self.centre)
        self.sag_m = -float(self.end.y[2, -1])
        self.edge = float(self.end.y[0, -1])

    def slope(self, r: float, state: Array) -> list[float]:
        radial, moved, _ = state
        around = self.poisson * (radial - self.tension) + STIFFNESS_N_PER_M * moved / r + self.tension
        tilt = -self.load_Pa * r / (2.0 * radial)
        strain = (radial - self.tension - self.poisson * (around - self.tension)) / STIFFNESS_N_PER_M
        return [(around - radial) / r, strain - 0.5 * tilt**2, tilt]

    def path(self, centre: float) -> object:
        first = 1e-6 * RADIUS_M
        moved = (centre - self.tension) * (1.0 - self.poisson) / STIFFNESS_N_PER_M * first
        return solve_ivp(self.slope, [first, RADIUS_M], [centre, moved, 0.0], rtol=1e-9, atol=1e-13, dense_output=True)

    def shape(self, radius_ratio: Array) -> Array:
        return np.asarray(1.0 + self.end.sol(radius_ratio * RADIUS_M)[2] / self.sag_m)


CASES = [(poisson, tension) for poisson in (0.2, 0.3, 0.5) for tension in (0.0, 300.0, 1000.0, 10000.0)]


@pytest.fixture(scope="module", params=CASES, ids=lambda case: f"nu{case[0]}-T{case[1]:g}")
def case(request: pytest.FixtureRequest) -> tuple[Exact, Membrane]:
    poisson, tension = request.param
    ours = Membrane(RADIUS_M, max(tension, 1e-6), STIFFNESS_N_PER_M, stretching(poisson))
    return Exact(100.0, tension, poisson), ours


def test_sag_is_within_one_percent_and_covered_by_its_factor(case: tuple[Exact, Membrane]) -> None:
    exact, ours = case
    centre = float(centre_sag_m(100.0, ours))
    assert centre == pytest.approx(exact.sag_m, rel=0.01)
    assert exact.sag_m <= float(sag_m(np.zeros(1), np.array(100.0), np.array(0.0), ours)[0]) * (1.0 + 1e-4)


def test_shape_is_never_fuller_than_assumed(case: tuple[Exact, Membrane]) -> None:
    exact, ours = case
    x = np.linspace(1e-3, 0.999, 60)
    assert np.all(exact.sag_m * exact.shape(x) <= sag_m(x, np.array(100.0), np.array(0.0), ours) * (1.0 + 1e-4))
    assert np.all(exact.shape(x) <= shape_ratio(x, ours))


def test_edge_tension_is_on_the_careful_side(case: tuple[Exact, Membrane]) -> None:
    exact, ours = case
    found = float(edge_tension_N_per_m(100.0, ours))
    assert exact.edge <= found * (1.0 + 1e-4)
    assert found <= 1.04 * exact.edge


def test_fabric_pressure_is_on_the_careful_side(case: tuple[Exact, Membrane]) -> None:
    """The pressure at which the exact centre tension is reached is not above the true one."""
    exact, ours = case
    assert float(fabric_pressure_Pa(exact.centre, ours)) <= 100.0 * (1.0 + 1e-3)


def test_pressure_and_sag_are_inverse() -> None:
    ours = Membrane(3.0, 1500.0, 3.0e5, stretching(0.35))
    load = np.array([0.0, 1.0, 50.0, 400.0, 3000.0])
    assert pressure_Pa(centre_sag_m(load, ours), ours) == pytest.approx(load)


def test_gradient_is_largest_at_one_over_root_three() -> None:
    x = np.linspace(0.0, 1.0, 10001)
    sag = gradient_sag_m(x, 50.0, Membrane(4.0, 1000.0, 0.0, stretching(0.3)))
    assert x[sag.argmax()] == pytest.approx(1.0 / np.sqrt(3.0), abs=1e-3)
    assert sag.max() == pytest.approx(0.048113 * 50.0 * 16.0 / 1000.0, rel=1e-4)


def test_poisson_ratio_outside_the_table_is_refused() -> None:
    with pytest.raises(OutOfRangeError, match=r"poisson_ratio = 0\.1 lies outside 0\.2 to 0\.5, the range of hencky"):
        stretching(0.1)
