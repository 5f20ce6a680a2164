"""Response of an oscillator to a pulse of base acceleration, by exact integration of a sampled input."""

import numpy as np
from scipy.signal import cont2discrete, lfilter

from shared.arrays import Array

__all__ = ["PULSES", "half_sine", "peak_ratio", "rectangle", "response_mps2", "versed_sine"]

STEPS_COUNT = 2000  # samples of the shorter of pulse and period


def response_mps2(base_mps2: Array, step_s: float, frequency_hz: float, damping_ratio: float) -> Array:
    """Spring force over mass of a damped oscillator at rest whose base is accelerated (pseudo-acceleration).

    a'' + 2 zeta w a' + w^2 a = w^2 b, exact for an input that is linear between samples.
    Shapes: (time,). Source: first-order hold of a linear system (numerical mathematics).
    """
    w_rad_per_s = 2.0 * np.pi * frequency_hz
    system = (np.array([w_rad_per_s**2]), np.array([1.0, 2.0 * damping_ratio * w_rad_per_s, w_rad_per_s**2]))
    numerator, denominator, _ = cont2discrete(system, step_s, method="foh")
    return np.asarray(lfilter(numerator.ravel(), denominator, base_mps2))


def half_sine(phase_ratio: Array) -> Array:
    """Half-sine pulse of peak 1 over phases 0 to 1, else 0: sin(pi tau).

    Shapes: any. Source: shock texts (memory).
    """
    return np.where((phase_ratio >= 0.0) & (phase_ratio <= 1.0), np.sin(np.pi * phase_ratio), 0.0)


def versed_sine(phase_ratio: Array) -> Array:
    """Versed-sine pulse of peak 1: (1 - cos(2 pi tau)) / 2.

    Shapes: any. Source: shock texts (memory).
    """
    inside = (phase_ratio >= 0.0) & (phase_ratio <= 1.0)
    return np.where(inside, 0.5 - 0.5 * np.cos(2.0 * np.pi * phase_ratio), 0.0)


def rectangle(phase_ratio: Array) -> Array:
    """Rectangular pulse of peak 1.

    Shapes: any. Source: shock texts (memory).
    """
    return np.where((phase_ratio >= 0.0) & (phase_ratio <= 1.0), 1.0, 0.0)


PULSES = {"half-sine": half_sine, "versed sine": versed_sine, "rectangle": rectangle}


def peak_ratio(pulse: str, frequency_length_ratio: float, damping_ratio: float = 0.0) -> float:
    """Greatest response over pulse peak, during the pulse and one period after it.

    `frequency_length_ratio` is f T: natural frequency times pulse length. Validity: f T from 0.05 to 20.
    Source: integration of the equation of motion.
    """
    shape = PULSES[pulse]
    end = 1.0 + 1.0 / frequency_length_ratio
    step = min(1.0, 1.0 / frequency_length_ratio) / STEPS_COUNT
    phase = np.arange(0.0, end, step)
    return float(np.max(np.abs(response_mps2(shape(phase), step, frequency_length_ratio, damping_ratio))))
