"""What surrounds the unit, station by station: its masses, the ride, the wind on it and the shaking."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import xarray as xr
from numpy.typing import ArrayLike

from shared.arrays import Array
from shared.tables import figure
from transport.load_cases import earthquake, operation
from transport.load_cases.actions import drag_area_m2, inertia_kN, lift_area_m2
from transport.load_cases.combination import Still, Wind
from transport.load_cases.ride import Masses, Ride, attitude_ends_deg, known
from transport.securing.inputs import Unit

__all__ = ["Setting", "by_station", "masses_of", "ride_of", "shaking_of", "wind_of"]

LOW_RATIOS = (0.05, 0.6)


@dataclass(frozen=True)
class Setting:
    """Stations (n,), masses, ride (n,), wind (n, w), and shaking of deck and unit, horizontal and vertical (n, 2)."""

    station_m: Array
    masses: Masses
    ride: Ride
    wind: Wind
    shaking_kN: Array

    @property
    def operated(self) -> Still:
        """Pushes of operation in still air."""
        return operation.still(self.masses, self.ride)

    @property
    def at_rest(self) -> Still:
        """Pushes beside an earthquake, without it."""
        return earthquake.still(self.masses, self.ride)

    @property
    def vertical_ratio(self) -> Array:
        """Vertical factors: fixed ones up to 1, so that no input shifts them, and the most that any case can bring."""
        masses = self.masses
        up_kN = np.append(self.shaking_kN[:, 1], masses.greatest_t * np.abs(self.ride.vertical_mps2))
        most_kN = float(np.max(up_kN[np.isfinite(up_kN)], initial=0.0))
        high = masses.greatest_t / masses.nominal_t + most_kN / (masses.nominal_t * masses.gravity_mps2)
        return np.array([*LOW_RATIOS, 1.0, high + LOW_RATIOS[0]])


def masses_of(unit: Unit) -> Masses:
    """Declared, least and greatest mass of the unit.

    Source: tolerance of the weighing, both ways (practice).
    """
    least_t, greatest_t = unit.mass_t - unit.mass_tolerance_t, unit.mass_t + unit.mass_tolerance_t
    return Masses(unit.mass_t, least_t, greatest_t, figure("securing_gravity_mps2"))


def by_station(road: xr.Dataset, value: ArrayLike) -> Array:
    """One value for all stations, or one for each.

    Source: the road's own stations (read).
    """
    return np.broadcast_to(np.asarray(value, dtype=float), road["station"].shape)


def shaking_of(masses: Masses, accelerations_mps2: Sequence[Array]) -> Array:
    """Horizontal and vertical shaking of the greatest mass, (n, 2).

    Source: actions.inertia_kN (read).
    """
    return inertia_kN(masses.greatest_t, np.abs(np.stack(accelerations_mps2, axis=-1)))


def ride_of(road: xr.Dataset, pitch_deg: ArrayLike, roll_deg: ArrayLike, rates: Sequence[Array]) -> Ride:
    """Pitch to either side of the grade; roll to either side of level; unknown where the road is unknown.

    rates: stop, start and vertical acceleration of the deck, (n,) each.
    Source: unfavourable end of each tolerance (practice).
    """
    grade_deg = np.rad2deg(np.arctan(road["grade_ratio"].values))
    reach_per_m = figure("load_cases_standard_errors") * road["curvature_se_per_m"].values
    curvature_per_m = road["curvature_per_m"].values
    return Ride(
        pitch_deg=attitude_ends_deg(np.asarray(pitch_deg, dtype=float), grade_deg),
        roll_deg=attitude_ends_deg(np.asarray(roll_deg, dtype=float), np.zeros_like(grade_deg)) * known(road),
        bend_per_m=np.stack([curvature_per_m - reach_per_m, curvature_per_m + reach_per_m]),
        speed_mps=road["speed_mps"].values,
        deceleration_mps2=rates[0],
        start_mps2=rates[1],
        vertical_mps2=rates[2],
    )


def wind_of(unit: Unit, road: xr.Dataset, wind_from_deg: Array, air_density_kg_per_m3: float) -> Wind:
    """Wind on the unit with its covered areas, and how far it may act from the centre of mass.

    Source: actions.drag_area_m2; tolerance of the centre of mass, each way (practice).
    """
    drag_m2 = drag_area_m2(
        wind_from_deg,
        road["heading_deg"].values,
        unit.wind_area_front_m2,
        unit.wind_area_side_m2,
        unit.force_coefficient,
    )
    apart_m = np.abs(np.subtract(unit.wind_centre_m, unit.centre_of_mass_m))
    return Wind(
        ahead_m2=drag_m2[..., 0],
        left_m2=drag_m2[..., 1],
        lift_m2=lift_area_m2(unit.plan_area_m2, unit.lift_coefficient),
        arm_m=apart_m + unit.centre_of_mass_tolerance_m * np.array([2.0**0.5, 2.0**0.5, 1.0]),
        air_density_kg_per_m3=air_density_kg_per_m3,
    )
