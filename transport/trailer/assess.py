"""The trailer's checks as limits on the gust: tipping, axle-line load, levelling stroke; and the attitude of the deck."""

from typing import Any, NamedTuple

import numpy as np
import xarray as xr

from shared.arrays import Array
from shared.calculation import Line, attach
from shared.datasets import dataset
from shared.tables import figure
from shared.units import STANDARD_GRAVITY_MPS2
from transport.trailer import calculation
from transport.trailer.attitude import levelled_range_deg, specific_force_range_mps2, tilt_range_deg, worse_deg
from transport.trailer.axle_loads import group_shares
from transport.trailer.ground import GROUND_RULES, ground_pressures_kPa
from transport.trailer.groups import bogie_count, centroids_m, halved_groupings, membership
from transport.trailer.inputs import Trailer
from transport.trailer.loading import Loading, loading
from transport.trailer.polygon import Planes, edge_distance_m, edges
from transport.trailer.resultant import Actions, Body, centrifugal_range_mps2, combined_centre_m
from transport.trailer.roll import roll_amplification_ratio
from transport.trailer.stability import gust_pressure_kPa, stability_angle_deg
from transport.trailer.stroke import crossfall_stroke_m, grade_change_ratio, kink_loss_m
from transport.trailer.tipping import Tipping, angle_at_gust_deg, tipping
from transport.trailer.wind import Silhouette, Wind, force_direction, wind_moment_m3

__all__ = ["assess"]

STATES = ("trailer tipping", "axle-line load", "levelling stroke")
CLAUSES = (
    "statics about the edges of the tipping polygon; least angle: common practice, no source",
    "equal pressure in a hydraulic group; capacity of the plate",
    "geometry of the profile; stroke of the axle compensation",
)
REMEDIES = (
    "lower the unit, use four groups, go slower in the bends and stop more gently, level more closely, or wait for less wind",
    "add axle lines or move the unit towards the lightly loaded group",
    "smooth the road there, pack the deck, or take a trailer with more stroke",
)


class Setting(NamedTuple):
    """Everything that does not depend on the check: body, supports, deck attitude, actions, wind."""

    body: Body
    support_m: Array
    member: Array
    pitch_deg: tuple[Array, Array]
    roll_deg: tuple[Array, Array]
    actions: Actions
    wind: Wind
    density_kg_per_m3: float


def assess(
    trailer: Trailer,
    road: xr.Dataset,
    *,
    unit_mass_t: float,
    unit_mass_tolerance_t: float,
    unit_centre_of_mass_m: tuple[float, float, float],
    unit_centre_of_mass_tolerance_m: float,
    wind_area_front_m2: float,
    wind_area_side_m2: float,
    wind_centre_m: tuple[float, float, float],
    force_coefficient: float,
    lift_coefficient: float,
    plan_area_m2: float,
    air_density_kg_per_m3: float,
    deceleration_mps2: Array,
    wind_from_deg: Array,
) -> xr.Dataset:
    """Every trailer check at every station and wind direction.

    Source: the modules of this package.
    """
    mass_t = unit_mass_t + np.array([-1.0, 1.0]) * unit_mass_tolerance_t
    body = _body(trailer, mass_t, unit_centre_of_mass_m, unit_centre_of_mass_tolerance_m)
    pitch_deg, roll_deg = _tilts(trailer, road)
    unit = Silhouette(wind_area_front_m2, wind_area_side_m2, trailer.deck_height_m + wind_centre_m[2])
    direction = force_direction(wind_from_deg, road["heading_deg"].values[:, None])
    moment_m3 = wind_moment_m3(direction, force_coefficient, (unit, _platform(trailer)))
    wind = Wind(moment_m3, lift_coefficient * plan_area_m2, np.asarray(wind_centre_m[:2]))
    member = _membership(trailer)
    setting = Setting(
        body,
        centroids_m(member, trailer.axle_line_x_m, trailer.bogie_y_m),
        member,
        pitch_deg,
        roll_deg,
        _actions(road, pitch_deg, roll_deg, np.asarray(deceleration_mps2, dtype=float)),
        wind,
        air_density_kg_per_m3,
    )
    return _result(trailer, road, setting, wind_from_deg)
