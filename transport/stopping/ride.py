"""Greatest vertical acceleration of the load on a rough road at the planned speed."""

import numpy as np

from shared.arrays import Array
from shared.tables import figure
from transport.stopping.bump import bump_response_mps2, equalisation_ratio, fastest_over_bump_mps
from transport.stopping.platform import heave_factors_s_per_m, worst_up_to
from transport.stopping.roughness import (
    expected_peak_factor_ratio,
    pseudo_acceleration_rms_mps2,
    velocity_density_m2_per_s,
)

__all__ = ["bump_speed_mps", "deck_rms_mps2", "journey_peak_factor_ratio", "speed_grid_mps"]

STEP_MPS = 0.05  # speeds at which a bump is looked at
LOWEST_MPS = 0.05  # from here the speeds of the platform grow by a constant factor
GROWTH_RATIO = 1.005  # a peak of the comb is wider, at every speed: some 1 / (N k) or twice the damping


def speed_grid_mps(highest_mps: float) -> Array:
    """Speeds from a crawl to just above the highest, each 0.5 % above the last.

    Axle lines of pitch p resonate at v = f p / k for every k, closer and closer towards a crawl: the steps shrink with
    them. A higher speed only adds to the grid. Shapes: result (speed,). Source: comb of equal pitches (practice).
    """
    steps_count = np.ceil(np.log(max(highest_mps / LOWEST_MPS, 1.0)) / np.log(GROWTH_RATIO)) + 1.0
    return np.asarray(LOWEST_MPS * GROWTH_RATIO ** np.arange(steps_count + 1.0))


def deck_rms_mps2(
    displacement_m3: Array, speed_mps: Array, line_x_m: Array, frequency_hz: float, damping_ratio: float
) -> Array:
    """Root mean square of vertical acceleration on the deck, for one wheel or averaged over the axle lines.

    Fewer than two lines: one wheel, the conservative closed form. Shapes: displacement, speed (station,), line_x
    (line,), result (station,). Source: roughness and platform.
    """
    if line_x_m.size < 2:
        density = velocity_density_m2_per_s(displacement_m3, speed_mps)
        return pseudo_acceleration_rms_mps2(density, frequency_hz, damping_ratio)
    grid_mps = speed_grid_mps(float(np.max(speed_mps, initial=LOWEST_MPS, where=~np.isnan(speed_mps))))
    factor = heave_factors_s_per_m(grid_mps, line_x_m, frequency_hz, damping_ratio)
    return np.asarray(np.sqrt(displacement_m3) * worst_up_to(speed_mps, grid_mps, factor))


def journey_peak_factor_ratio(frequency_hz: float, length_m: float) -> float:
    """Peak over root mean square for the whole road: the practice value, or more where the road is long.

    Cycles are counted as if all of the road were driven at a crawl, so that a slower plan changes nothing.
    Source: expected_peak_factor_ratio; 4.5 for a journey (practice).
    """
    cycles = frequency_hz * length_m / figure("stopping_crawl_speed_mps")
    return max(figure("stopping_peak_factor"), float(expected_peak_factor_ratio(cycles)))


def bump_speed_mps(
    bump_m: tuple[float, float], line_count: int, allowed_mps2: float, frequency_hz: float, damping_ratio: float
) -> float:
    """Highest speed over a bump under one axle line at which the load keeps what is allowed; 0 if none up to 3 m/s.

    Source: bump_response_mps2 times equalisation_ratio.
    """
    speeds_mps: Array = np.arange(1.0, 61.0) * STEP_MPS
    peaks = [bump_response_mps2(bump_m, float(speed), frequency_hz, damping_ratio) for speed in speeds_mps]
    return fastest_over_bump_mps(allowed_mps2, speeds_mps, np.array(peaks) * equalisation_ratio(line_count))
