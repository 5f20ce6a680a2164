"""The trailer's checks as limits on the gust: tipping, axle lines, pressure, stroke, earthquake, mirror, ground."""

import json
from typing import Any

import numpy as np
import xarray as xr

from shared.arrays import Array
from shared.calculation import attach
from shared.datasets import dataset
from transport.trailer.checked import Checked, checked, limits, states, whole_stroke_m
from transport.trailer.earthquake import Shaking
from transport.trailer.governing_lines import governing_lines
from transport.trailer.ground import GROUND_RULES
from transport.trailer.group_lost import LOST_CHECKS
from transport.trailer.groups import centroids_m, halved_groupings
from transport.trailer.inputs import Trailer
from transport.trailer.remarks import lost_sentence, remarks
from transport.trailer.reported import Losses, attitude, deck_of, groupings, losses, pressures, shown_loads, spine
from transport.trailer.setting import Setting, body_of, lateral_of, member_of, platform_of, riding, tilts_deg
from transport.trailer.stability import gust_pressure_kPa
from transport.trailer.tipping import angle_at_gust_deg
from transport.trailer.wind import Silhouette, Wind, force_direction, wind_moment_m3

__all__ = ["assess"]


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
    start_mps2: Array,
    seismic_horizontal_mps2: Array,
    seismic_vertical_mps2: Array,
    allowed_lateral_mps2: float,
    wind_from_deg: Array,
    saddle_from_middle_m: float | None = None,
) -> xr.Dataset:
    """Every trailer check at every station and wind direction.

    `deceleration_mps2` and `start_mps2` are a stop and a start as the load feels them, both positive. The seismic
    accelerations are those of the deck and are taken for the whole trailer (practice, conservative); (station,).
    `saddle_from_middle_m` is where the load's two saddles stand to either side of the middle of the axle lines; without
    it the spine is not known.
    Source: the modules of this package.
    """
    mass_t = unit_mass_t + np.array([-1.0, 1.0]) * unit_mass_tolerance_t
    body = body_of(trailer, mass_t, unit_centre_of_mass_m, unit_centre_of_mass_tolerance_m)
    pitch_deg, roll_deg = tilts_deg(trailer, road)
    unit = Silhouette(wind_area_front_m2, wind_area_side_m2, trailer.deck_height_m + wind_centre_m[2])
    direction = force_direction(wind_from_deg, road["heading_deg"].values[:, None])
    moment_m3 = wind_moment_m3(direction, force_coefficient, (unit, platform_of(trailer)))
    wind = Wind(moment_m3, lift_coefficient * plan_area_m2, np.asarray(wind_centre_m[:2]))
    member = member_of(trailer)
    setting = Setting(
        body,
        centroids_m(member, trailer.axle_line_x_m, trailer.bogie_y_m),
        member,
        pitch_deg,
        roll_deg,
        riding(road, pitch_deg, roll_deg, deceleration_mps2, start_mps2),
        Shaking(np.asarray(seismic_horizontal_mps2, dtype=float), np.asarray(seismic_vertical_mps2, dtype=float)),
        lateral_of(road, roll_deg, body, allowed_lateral_mps2),
        wind,
        air_density_kg_per_m3,
    )
    shown = spine(trailer, unit_mass_t + unit_mass_tolerance_t, saddle_from_middle_m)
    return _result(trailer, road, setting, wind_from_deg, shown)


def _result(
    trailer: Trailer, road: xr.Dataset, setting: Setting, wind_from_deg: Array, spine_shown: dict[str, Any]
) -> xr.Dataset:
    found, deck = checked(trailer, road, setting), deck_of(trailer, setting)
    gone = losses(deck, setting, road["station"].values)
    limited, grouped = limits(trailer, setting, found), groupings(trailer, setting)
    variables = limited | grouped | attitude(trailer, road, setting) | spine_shown | gone.variables
    variables |= shown_loads(trailer, found.loads, found.twist[1])
    variables |= pressures(setting, trailer.hydraulics, found.pressed)
    variables |= _angles(trailer, setting, found, limited["gust_limit_mps"][1][0])
    variables |= {
        "levelling_stroke_need_m": ("station", whole_stroke_m(trailer, found.stroke_m)),
        "lateral_acceleration_mps2": ("station", setting.lateral.felt_mps2),
    }
    angles_deg = (float(grouped["stability_angle_bare_deg"][1][0]), float(found.tipped.angle_deg.min()))
    said = [*remarks(trailer, setting.body, angles_deg), _lost_sentence(trailer, gone)]
    attrs = {"remarks": json.dumps(said, ensure_ascii=False), "group_lost_worst": trailer.group[gone.worst].name}
    result = dataset(variables, _coords(trailer, road, wind_from_deg, states(found)), attrs)
    return attach(result, governing_lines(trailer, setting, found, gone, deck))


def _angles(trailer: Trailer, setting: Setting, found: Checked, tipping_limit_mps: Array) -> dict[str, Any]:
    at = (setting.body, setting.riding.driven, setting.wind)
    q_kPa = gust_pressure_kPa(tipping_limit_mps, setting.density_kg_per_m3)
    at_limit = angle_at_gust_deg(found.tipped, *at, trailer.minimum_stability_angle_deg, q_kPa)
    return {
        "stability_angle_deg": ("station", found.tipped.angle_deg),
        "stability_angle_at_limit_deg": ("station", at_limit),
    }


def _lost_sentence(trailer: Trailer, gone: Losses) -> str:
    shown = ("group_lost_ratio", "group_lost_gust_mps", "group_lost_tilt_deg")
    names = [group.name for group in trailer.group]
    found = (np.asarray(gone.variables[name][1], dtype=float) for name in shown)
    return lost_sentence(names, *found, on_stops=trailer.stop_travel_m is not None)


def _coords(trailer: Trailer, road: xr.Dataset, wind_from_deg: Array, limit_states: list[str]) -> dict[str, Any]:
    names = [group.name for group in trailer.group]
    return {
        "limit_state": limit_states,
        "station": road["station"].values,
        "wind_from": wind_from_deg,
        "group": names,
        "lost_group": names,
        "lost_check": list(LOST_CHECKS),
        "grouping": ["as declared", *halved_groupings(len(trailer.axle_line_x_m))],
        "ground_rule": list(GROUND_RULES),
    }
