"""The trailer's checks as limits on the gust: tipping, axle lines, stroke, earthquake, mirror; the deck's attitude."""

from collections.abc import Iterator
from typing import Any

import numpy as np
import xarray as xr

from shared.arrays import Array
from shared.calculation import Line, attach
from shared.datasets import dataset
from shared.tables import figure
from shared.units import STANDARD_GRAVITY_MPS2
from transport.trailer import calculation
from transport.trailer.attitude import worse_deg
from transport.trailer.axle_loads import group_shares
from transport.trailer.comparison import bare_angle_deg, group_lost_angle_deg
from transport.trailer.earthquake import Shaken, Shaking, shaken
from transport.trailer.ground import GROUND_RULES, ground_pressures_kPa
from transport.trailer.groups import bogie_count, centroids_m, halved_groupings
from transport.trailer.inputs import Trailer
from transport.trailer.loading import Loading, loading
from transport.trailer.polygon import edges
from transport.trailer.roll import leaned_deg
from transport.trailer.setting import Setting, body_of, lateral_of, member_of, platform_of, riding, tilts_deg
from transport.trailer.shaken_lines import shaken_lines
from transport.trailer.stability import gust_pressure_kPa, wind_free_limit_mps
from transport.trailer.stroke import crossfall_stroke_m, grade_change_ratio, kink_loss_m
from transport.trailer.tipping import Tipping, angle_at_gust_deg, tipping
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
) -> xr.Dataset:
    """Every trailer check at every station and wind direction.

    `deceleration_mps2` and `start_mps2` are a stop and a start as the load feels them, both positive. The seismic
    accelerations are those of the deck and are taken for the whole trailer (practice, conservative); (station,).
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
    return _result(trailer, road, setting, wind_from_deg)


def _result(trailer: Trailer, road: xr.Dataset, setting: Setting, wind_from_deg: Array) -> xr.Dataset:
    density, angle_deg = setting.density_kg_per_m3, trailer.minimum_stability_angle_deg
    bogies = bogie_count(setting.member)
    at = (setting.body, setting.riding.driven, setting.wind)
    tipped = tipping(edges(setting.support_m), *at, angle_deg, density)
    shares, plate = group_shares(setting.support_m, bogies), (bogies, trailer.axle_line_capacity_t)
    loads = loading(shares, *at, plate, density)
    stroke_m, stroke_line = _stroke(trailer, road)
    quake, quake_lines = _earthquake(setting)
    lines = [*_lines(trailer, setting, tipped, loads), *stroke_line, *quake_lines, *_lateral_lines(setting)]
    used = [loads.line_t / trailer.axle_line_capacity_t, stroke_m / trailer.levelling_stroke_m]
    used = [tipped.utilisation_ratio, *used, quake.utilisation_ratio, _lateral_ratio(setting)]
    limits = _limits((tipped, loads, quake), np.stack(used))
    q_kPa = gust_pressure_kPa(limits["gust_limit_mps"][1][0], density)
    variables = limits | _attitude(road, setting) | _loads(trailer, loads) | _groupings(trailer, setting)
    variables |= {
        "stability_angle_deg": ("station", tipped.angle_deg),
        "stability_angle_at_limit_deg": ("station", angle_at_gust_deg(tipped, *at, angle_deg, q_kPa)),
        "levelling_stroke_need_m": ("station", stroke_m),
        "lateral_acceleration_mps2": ("station", setting.lateral.felt_mps2),
    }
    return attach(dataset(variables, _coords(trailer, road, wind_from_deg)), lines)


def _coords(trailer: Trailer, road: xr.Dataset, wind_from_deg: Array) -> dict[str, Any]:
    return {
        "limit_state": list(calculation.STATES),
        "station": road["station"].values,
        "wind_from": wind_from_deg,
        "group": [group.name for group in trailer.group],
        "grouping": ["as declared", *halved_groupings(len(trailer.axle_line_x_m))],
        "ground_rule": list(GROUND_RULES),
    }


def _limits(found: tuple[Tipping, Loading, Shaken], used_ratio: Array) -> dict[str, Any]:
    tip_mps, load_mps, quake_mps = (each.limit_mps.min(axis=(0, 3)) for each in found)
    stroke_mps, lateral_mps = (
        np.broadcast_to(wind_free_limit_mps(used_ratio[n])[:, None], tip_mps.shape) for n in (2, 4)
    )
    limit_mps = np.stack([tip_mps, load_mps, stroke_mps, quake_mps, lateral_mps])
    return {
        "gust_limit_mps": (("limit_state", "station", "wind_from"), limit_mps),
        "utilisation_ratio": (("limit_state", "station"), used_ratio),
        "clause": ("limit_state", list(calculation.CLAUSES)),
        "remedy": ("limit_state", list(calculation.REMEDIES)),
    }


def _earthquake(setting: Setting) -> tuple[Shaken, tuple[Line, ...]]:
    ratios = {
        "other_ratio": figure("load_cases_seismic_other_ratio"),
        "gust_to_mean_ratio": figure("load_cases_gust_to_mean_ratio"),
        "density_kg_per_m3": setting.density_kg_per_m3,
    }
    polygon, actions = edges(setting.support_m), (setting.riding.tilted, setting.riding.rolling)
    found = shaken(polygon, setting.body, actions, setting.wind, setting.shaking, **ratios)
    spot = calculation.spot_of(found.limit_mps, found.at_rest_kNm)
    if spot is None:
        return found, ()
    return found, shaken_lines(spot, found, polygon, setting.body, actions, setting.shaking, **ratios)


def _lateral_ratio(setting: Setting) -> Array:
    return np.asarray(setting.lateral.felt_mps2 / setting.lateral.allowed_mps2)


def _lateral_lines(setting: Setting) -> Iterator[Line]:
    felt_mps2 = setting.lateral.felt_mps2
    if not np.all(np.isnan(felt_mps2)):
        yield calculation.lateral_line(setting.lateral, int(np.nanargmax(felt_mps2)))


def _stroke(trailer: Trailer, road: xr.Dataset) -> tuple[Array, list[Line]]:
    count, length_m = figure("trailer_standard_errors"), trailer.axle_line_x_m[-1] - trailer.axle_line_x_m[0]
    change = grade_change_ratio(road["station"].values, road["grade_ratio"].values, length_m)
    change = change + np.sqrt(2.0) * count * road["grade_se_ratio"].values
    across_m = np.zeros_like(change)
    if trailer.levels_crossfall:
        allowance = count * road["crossfall_se_ratio"].values
        across_m = crossfall_stroke_m(2.0 * trailer.bogie_y_m, road["crossfall_ratio"].values, allowance)
    need_m = across_m + kink_loss_m(length_m, change)
    if np.all(np.isnan(need_m)):
        return need_m, []
    worst = int(np.nanargmax(need_m))
    return need_m, [calculation.levelling_line(float(across_m[worst]), length_m, float(change[worst]))]


def _attitude(road: xr.Dataset, setting: Setting) -> dict[str, Any]:
    lean = np.where(road["curvature_per_m"].values < 0.0, -1.0, 1.0)
    roll_deg = leaned_deg(setting.roll_deg, float(setting.body.amplification_ratio.max()))
    return {
        "deck_pitch_deg": ("station", worse_deg(*setting.pitch_deg, -1.0)),
        "deck_roll_deg": ("station", worse_deg(*roll_deg, lean)),
        "transport_mass_t": ((), setting.body.mass_t.max()),
        "centre_of_mass_height_m": ((), setting.body.height_m.max()),
        "roll_amplification_ratio": ((), setting.body.amplification_ratio.max()),
    }


def _loads(trailer: Trailer, loads: Loading) -> dict[str, Any]:
    pitch_m = float(np.diff(trailer.axle_line_x_m).min())
    tyre = (trailer.tyres_per_line_count, trailer.tyre_pressure_kPa)
    line_kN = float(loads.line_t.max()) * STANDARD_GRAVITY_MPS2
    pressures = ground_pressures_kPa(line_kN, pitch_m, trailer.deck_width_m, tyre, figure("trailer_spread_depth_m"))
    return {
        "group_load_min_t": (("group", "station"), loads.least_t),
        "group_load_max_t": (("group", "station"), loads.greatest_t),
        "axle_line_load_t": ("station", loads.line_t),
        "ground_pressure_kPa": ("ground_rule", pressures),
    }


def _groupings(trailer: Trailer, setting: Setting) -> dict[str, Any]:
    place, count = (trailer.axle_line_x_m, trailer.bogie_y_m), len(trailer.axle_line_x_m)
    plans = [setting.member, *halved_groupings(count).values()]
    bare = [bare_angle_deg(centroids_m(plan, *place), setting.body) for plan in plans]
    lost = group_lost_angle_deg(setting.support_m, setting.body)
    return {"stability_angle_bare_deg": ("grouping", bare), "stability_angle_group_lost_deg": ("group", lost)}


def _lines(trailer: Trailer, setting: Setting, tipped: Tipping, loads: Loading) -> Iterator[Line]:
    density, polygon = setting.density_kg_per_m3, edges(setting.support_m)
    tare = (trailer.tare_t, trailer.tare_centre_of_mass_height_m)
    if spot := calculation.spot_of(tipped.limit_mps, tipped.at_rest_kNm):
        yield from calculation.tipping_lines(spot, tare, polygon, setting.body, setting.riding.driven)
        yield calculation.gust_line(calculation.STATES[0], spot, tipped[:3], density)
    if spot := calculation.spot_of(loads.limit_mps, loads.spare_kN):
        load_t = float(loads.greatest_t[spot.plane, spot.station])
        yield calculation.axle_line(load_t, float(bogie_count(setting.member)[spot.plane]))
        yield calculation.gust_line(calculation.STATES[1], spot, loads[:3], density)
