"""What happens to the unit on the road, station by station: attitude of the deck, bends, stop, start, shake."""

from dataclasses import dataclass

import numpy as np
import xarray as xr

from shared.arrays import Array
from transport.load_cases.actions import bend_kN, deck_normal_ratio, gravity_kN

__all__ = ["Masses", "Ride", "attitude_ends_deg", "bend_range_kN", "gravity_range_kN", "known"]


@dataclass(frozen=True)
class Masses:
    """The mass of the unit as declared, and its least and greatest within the tolerance."""

    nominal_t: float
    least_t: float
    greatest_t: float
    gravity_mps2: float


@dataclass(frozen=True)
class Ride:
    """Both ends of the deck's attitude (2, n) and the accelerations of the deck (n,)."""

    pitch_deg: Array
    roll_deg: Array
    bend_per_m: Array
    speed_mps: Array
    deceleration_mps2: Array
    start_mps2: Array
    vertical_mps2: Array


def known(road: xr.Dataset) -> Array:
    """1 where grade, crossfall and curvature of the road are known, else NaN; (station,).

    Source: nothing unknown counts as zero (practice).
    """
    together = road["grade_ratio"].values + road["crossfall_ratio"].values + road["curvature_per_m"].values
    return np.where(np.isfinite(together), 1.0, np.nan)


def attitude_ends_deg(given_deg: Array, middle_deg: Array) -> Array:
    """Both ends of a range of tilt, from the end further from level and the middle.

    2 middle - given is the other end; two given rows (2, n) are taken as they are. Result (2, n).
    Source: a tolerance counts to either side (practice).
    """
    given_deg = np.asarray(given_deg, dtype=float)
    return given_deg if given_deg.ndim == 2 else np.stack([given_deg, 2.0 * middle_deg - given_deg])


def gravity_range_kN(masses: Masses, ride: Ride) -> tuple[Array, Array, Array]:
    """Weight along the deck forward and to the left, each (2, n) from least to greatest, and the least across it (n,).

    F = -m g k over the ends of pitch and roll and level; along the deck with the greatest mass, across it with the
    least. A tilt that pulls the load back is not counted in its favour, so a steeper deck never allows more.
    Source: statics, unfavourable end of each tolerance (practice).
    """
    ends = np.stack([deck_normal_ratio(pitch, roll) for pitch in ride.pitch_deg for roll in ride.roll_deg])
    along_kN = gravity_kN(masses.greatest_t, ends, masses.gravity_mps2)
    across_kN = -gravity_kN(masses.least_t, ends, masses.gravity_mps2)[..., 2]
    ranges = np.stack([np.min(np.minimum(along_kN, 0.0), axis=0), np.max(np.maximum(along_kN, 0.0), axis=0)])
    return ranges[..., 0], ranges[..., 1], np.min(across_kN, axis=0)


def bend_range_kN(masses: Masses, ride: Ride) -> Array:
    """Sideways force of the bend, (2, n) from least to greatest, no force included: a train may also stop there.

    F = -m v^2 kappa over the range of curvature (2, n).
    Source: kinematics, unfavourable end (practice).
    """
    force_kN = bend_kN(masses.greatest_t, ride.speed_mps, ride.bend_per_m)
    return np.stack([np.min(np.minimum(force_kN, 0.0), axis=0), np.max(np.maximum(force_kN, 0.0), axis=0)])
