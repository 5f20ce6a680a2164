"""What an elastic deck makes of a deceleration that builds up in a ramp, and of its sudden end."""

import numpy as np
from numpy.typing import ArrayLike

from shared.arrays import Array

__all__ = ["overshoot_ratio", "ramp_amplification_bound_ratio", "ramp_amplification_ratio"]


def ramp_amplification_ratio(frequency_hz: ArrayLike, ramp_s: ArrayLike) -> Array:
    """Peak over plateau of an undamped oscillator under a linear ramp to a constant: 1 + |sin(pi f t) / (pi f t)|.

    Shapes broadcast. Validity: the plateau lasts half a period or more. Source: shock texts (memory); integration.
    """
    return np.asarray(1.0 + np.abs(np.sinc(np.asarray(frequency_hz, dtype=float) * np.asarray(ramp_s, dtype=float))))


def ramp_amplification_bound_ratio(frequency_hz: ArrayLike, ramp_s: ArrayLike) -> Array:
    """The same where frequency and ramp are known in size only, not in phase: 1 + min(1, 1 / (pi f t)).

    Never below the ramp formula, and never greater for a longer ramp. Shapes broadcast. Source: bound of |sin|.
    """
    turns = np.pi * np.asarray(frequency_hz, dtype=float) * np.asarray(ramp_s, dtype=float)
    return np.asarray(1.0 + 1.0 / np.maximum(turns, 1.0))


def overshoot_ratio(damping_ratio: float) -> float:
    """Overshoot of an oscillator beyond a new rest position after a step: exp(-pi zeta / sqrt(1 - zeta^2)).

    The end of a stop is such a step: braking vanishes and the load swings back. Validity: 0 <= zeta < 1.
    Source: step response of a second-order system (memory).
    """
    return float(np.exp(-np.pi * damping_ratio / np.sqrt(1.0 - damping_ratio**2)))
