"""A single bump, stone, joint or pothole under one axle line."""

import numpy as np

from shared.arrays import Array
from transport.stopping.shock import response_mps2

__all__ = [
    "bump_response_mps2",
    "equalisation_ratio",
    "fastest_over_bump_mps",
    "half_sine_kink_mps",
    "half_sine_peak_mps2",
    "versed_sine_peak_mps2",
]

STEPS_COUNT = 400  # samples of the shorter of passage and period


def versed_sine_peak_mps2(height_m: float, length_m: float, speed_mps: float) -> float:
    """Greatest base acceleration over a versed-sine bump: 2 pi^2 h v^2 / l^2, up at both ends and down on top.

    Source: second derivative of h (1 - cos(2 pi x / l)) / 2.
    """
    return float(2.0 * np.pi**2 * height_m * (speed_mps / length_m) ** 2)


def half_sine_peak_mps2(height_m: float, length_m: float, speed_mps: float) -> float:
    """Greatest base acceleration on a half-sine bump: h (pi v / l)^2, downward.

    Source: second derivative of h sin(pi x / l).
    """
    return float(height_m * (np.pi * speed_mps / length_m) ** 2)


def half_sine_kink_mps(height_m: float, length_m: float, speed_mps: float) -> float:
    """Step of base velocity at each end of a half-sine bump: pi h v / l.

    Source: first derivative of h sin(pi x / l) at its ends.
    """
    return float(np.pi * height_m * speed_mps / length_m)


def bump_response_mps2(
    bump_m: tuple[float, float], speed_mps: float, frequency_hz: float, damping_ratio: float
) -> float:
    """Peak pseudo-acceleration of a mass that follows the bump, the worse of versed sine and half sine.

    `bump_m` is height and length. Validity: point follower, linear deck.
    Source: integration of the equation of motion.
    """
    passage_s = bump_m[1] / speed_mps
    step_s = min(passage_s, 1.0 / frequency_hz) / STEPS_COUNT
    phase = np.arange(0.0, passage_s + 1.0 / frequency_hz, step_s) / passage_s
    inside = phase <= 1.0
    versed = np.where(inside, versed_sine_peak_mps2(*bump_m, speed_mps) * np.cos(2.0 * np.pi * phase), 0.0)
    half = np.where(inside, -half_sine_peak_mps2(*bump_m, speed_mps) * np.sin(np.pi * phase), 0.0)
    versed[[0, int(inside.sum()) - 1]] /= 2.0  # a jump lies within its sample
    half[[0, int(inside.sum()) - 1]] += half_sine_kink_mps(*bump_m, speed_mps) / step_s
    responses = [response_mps2(base, step_s, frequency_hz, damping_ratio) for base in (versed, half)]
    return float(np.max(np.abs(responses)))


def equalisation_ratio(line_count: int) -> float:
    """Lift of a group over the height of a bump under one line of it: 2 / N, for groups of half the lines.

    A trailer of unknown lines counts as one wheel: 1. Source: equal pressure, one circuit (practice).
    """
    return 2.0 / max(line_count, 2)


def fastest_over_bump_mps(allowed_mps2: float, speed_mps: Array, peak_mps2: Array) -> float:
    """Highest of the speeds up to which every peak stays within what is allowed; 0 if none.

    Shapes: (speed,), speeds rising. Source: search over the speeds.
    """
    held = np.cumprod(np.asarray(peak_mps2) <= allowed_mps2)
    return float(np.max(speed_mps * held, initial=0.0))
