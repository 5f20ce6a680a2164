"""The quarter car behind the international roughness index (IRI), which road agencies measure."""

import numpy as np
from numpy.typing import ArrayLike
from scipy.linalg import expm, solve_continuous_lyapunov

from shared.arrays import Array
from shared.tables import figure
from transport.stopping.roughness import velocity_density_m2_per_s

__all__ = ["body_acceleration_rms_mps2", "expected_iri_m_per_km", "state_matrix", "transition"]


def state_matrix() -> tuple[Array, Array]:
    """Equations of motion of the golden car: d/dt (z_s, z_s', z_u, z_u') = A y + B z_road.

    Shapes: A (4, 4), B (4,). Source: Sayers (1995), read in two public codes.
    """
    tyre, spring = figure("stopping_golden_car_tyre_per_s2"), figure("stopping_golden_car_spring_per_s2")
    damper, axle = figure("stopping_golden_car_damper_per_s"), figure("stopping_golden_car_axle_ratio")
    matrix = np.array(
        [
            [0.0, 1.0, 0.0, 0.0],
            [-spring, -damper, spring, damper],
            [0.0, 0.0, 0.0, 1.0],
            [spring / axle, damper / axle, -(tyre + spring) / axle, -damper / axle],
        ]
    )
    return matrix, np.array([0.0, 0.0, 0.0, tyre / axle])


def transition(step_m: float, speed_mps: float) -> tuple[Array, Array]:
    """State transition over one profile step: S = expm(A dt), P = A^-1 (S - I) B.

    Shapes: S (4, 4), P (4,). Source: Sayers, Gillespie, Paterson, World Bank TP 46 (memory).
    """
    matrix, load = state_matrix()
    moved = np.asarray(expm(matrix * step_m / speed_mps))
    return moved, np.asarray(np.linalg.solve(matrix, (moved - np.eye(4)) @ load), dtype=np.float64)


def body_acceleration_rms_mps2(velocity_density_m2_per_s: ArrayLike) -> Array:
    """Root mean square of body acceleration of the golden car: sqrt((Gv / 4) ((1 + mu) K2^2 / C + K1 C)).

    Shapes broadcast. Validity: flat velocity density. Source: random vibration, closed form (memory).
    """
    tyre, spring = figure("stopping_golden_car_tyre_per_s2"), figure("stopping_golden_car_spring_per_s2")
    damper, axle = figure("stopping_golden_car_damper_per_s"), figure("stopping_golden_car_axle_ratio")
    scale = ((1.0 + axle) * spring**2 / damper + tyre * damper) / 4.0
    return np.asarray(np.sqrt(np.asarray(velocity_density_m2_per_s, dtype=float) * scale))


def expected_iri_m_per_km(displacement_m3: ArrayLike) -> Array:
    """Roughness index that a road of a class is expected to show: mean |z_s' - z_u'| / v at 80 km/h.

    A Gaussian stroke of variance from A X + X A^T + b b^T Gv / 2 = 0, driven by the road's velocity, has the mean
    sqrt(2 / pi) sigma. Shapes broadcast; m/km, without the 250 mm moving average.
    Source: Sayers (1995) for the definition; random vibration for the expectation (memory).
    """
    speed_mps = figure("stopping_iri_speed_mps")
    matrix, load = state_matrix()
    relative = np.linalg.solve(matrix, load)
    variance = solve_continuous_lyapunov(matrix, -0.5 * np.outer(relative, relative))
    stroke = np.array([0.0, 1.0, 0.0, -1.0])
    per_density = float(stroke @ variance @ stroke)
    density = velocity_density_m2_per_s(displacement_m3, speed_mps)
    return np.asarray(1000.0 * np.sqrt(2.0 / np.pi * per_density * density) / speed_mps)
