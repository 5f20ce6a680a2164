"""Response of an oscillator to a pulse of base acceleration, by exact integration of a sampled input."""

import numpy as np
from scipy.signal import lfilter

from shared.arrays import Array

__all__ = ["PULSES", "half_sine", "peak_ratio", "ramp_invariant_filter", "rectangle", "response_mps2", "versed_sine"]

STEPS_COUNT = 2000  # samples of the shorter of pulse and period


def ramp_invariant_filter(turn_rad: float, damping_ratio: float) -> tuple[Array, Array]:
    """Digital filter of a damped oscillator, exact for an input that is linear between samples.

    `turn_rad` is w dt. Poles E exp(+-i K), E = exp(-zeta w dt), K = w_d dt. Shapes: numerator (3,), denominator (3,).
    Validity: 0 <= zeta < 1. Source: Smallwood (1981), ISO 18431-4, relative response (memory).
    """
    root = np.sqrt(1.0 - damping_ratio**2)
    decay = np.exp(-damping_ratio * turn_rad)
    c, s = decay * np.cos(root * turn_rad), decay * np.sin(root * turn_rad)
    twice, bent = 2.0 * damping_ratio, (2.0 * damping_ratio**2 - 1.0) / root * s
    numerator = np.array(
        [
            twice * (c - 1.0) + bent + turn_rad,
            -2.0 * c * turn_rad + twice * (1.0 - decay**2) - 2.0 * bent,
            decay**2 * (turn_rad + twice) - twice * c + bent,
        ]
    )
    return numerator / turn_rad, np.array([1.0, -2.0 * c, decay**2])


def response_mps2(base_mps2: Array, step_s: float, frequency_hz: float, damping_ratio: float) -> Array:
    """Spring force over mass of a damped oscillator at rest whose base is accelerated (pseudo-acceleration).

    a'' + 2 zeta w a' + w^2 a = w^2 b. Shapes: (time,). Source: ramp_invariant_filter.
    """
    numerator, denominator = ramp_invariant_filter(2.0 * np.pi * frequency_hz * step_s, damping_ratio)
    return np.asarray(lfilter(numerator, denominator, base_mps2))


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
