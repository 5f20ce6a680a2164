"""The trailer's checks as limits on the gust: tipping, axle-line load, levelling stroke; and the deck's attitude."""

from collections.abc import Iterator
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
from transport.trailer.comparison import bare_angle_deg, group_lost_angle_deg
from transport.trailer.ground import GROUND_RULES, ground_pressures_kPa
from transport.trailer.groups import bogie_count, centroids_m, halved_groupings, membership
from transport.trailer.inputs import Trailer
from transport.trailer.loading import Loading, loading
from transport.trailer.polygon import edges
from transport.trailer.resultant import Actions, Body, centrifugal_range_mps2, combined_centre_m
from transport.trailer.roll import roll_amplification_ratio
from transport.trailer.stability import gust_pressure_kPa, wind_free_limit_mps
from transport.trailer.stroke import crossfall_stroke_m, grade_change_ratio, kink_loss_m
from transport.trailer.tipping import Tipping, angle_at_gust_deg, tipping
from transport.trailer.wind import Silhouette, Wind, force_direction, wind_moment_m3

__all__ = ["assess"]


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


def _body(trailer: Trailer, mass_t: Array, centre_m: tuple[float, float, float], tolerance_m: float) -> Body:
    place = np.array(
        [
            [centre_m[0], centre_m[1], trailer.deck_height_m + centre_m[2] + tolerance_m],
            [trailer.tare_centre_of_mass_x_m, 0.0, trailer.tare_centre_of_mass_height_m],
        ]
    )
    masses_t = np.column_stack([mass_t, np.full_like(mass_t, trailer.tare_t)])
    centre = combined_centre_m(masses_t, place)
    total_t, height_m = masses_t.sum(axis=1), centre[:, 2]
    growth = roll_amplification_ratio(total_t, height_m, trailer.roll_stiffness_MNm_per_rad)
    return Body(total_t, centre[:, :2], height_m, tolerance_m * mass_t / total_t, growth)


def _platform(trailer: Trailer) -> Silhouette:
    height_m = trailer.deck_height_m
    return Silhouette(trailer.deck_width_m * height_m, trailer.deck_length_m * height_m, height_m / 2.0)


def _membership(trailer: Trailer) -> Array:
    groups = trailer.group
    return membership([g.lines for g in groups], [g.side for g in groups], len(trailer.axle_line_x_m))


def _tilts(trailer: Trailer, road: xr.Dataset) -> tuple[tuple[Array, Array], tuple[Array, Array]]:
    count, tolerance_deg = figure("trailer_standard_errors"), trailer.levelling_tolerance_deg
    grade, crossfall = road["grade_ratio"].values, road["crossfall_ratio"].values
    pitch_deg = tilt_range_deg(grade, road["grade_se_ratio"].values, tolerance_deg, count)
    if trailer.levels_crossfall:
        return pitch_deg, levelled_range_deg(crossfall, tolerance_deg)
    return pitch_deg, tilt_range_deg(crossfall, road["crossfall_se_ratio"].values, tolerance_deg, count)


def _actions(
    road: xr.Dataset, pitch_deg: tuple[Array, Array], roll_deg: tuple[Array, Array], deceleration_mps2: Array
) -> Actions:
    back, ahead = specific_force_range_mps2(*pitch_deg, STANDARD_GRAVITY_MPS2)
    right, left = specific_force_range_mps2(*roll_deg, STANDARD_GRAVITY_MPS2)
    reach = figure("trailer_standard_errors") * road["curvature_se_per_m"].values
    bend = centrifugal_range_mps2(road["speed_mps"].values, road["curvature_per_m"].values, reach)
    steepest = [np.radians(np.maximum(np.abs(low), np.abs(high))) for low, high in (pitch_deg, roll_deg)]
    return Actions(
        (back, ahead + np.maximum(deceleration_mps2, 0.0)),
        (right + bend[0], left + bend[1]),
        np.cos(steepest[0]) * np.cos(steepest[1]),
    )


def _result(trailer: Trailer, road: xr.Dataset, setting: Setting, wind_from_deg: Array) -> xr.Dataset:
    density, angle_deg = setting.density_kg_per_m3, trailer.minimum_stability_angle_deg
    bogies = bogie_count(setting.member)
    at = (setting.body, setting.actions, setting.wind)
    tipped = tipping(edges(setting.support_m), *at, angle_deg, density)
    shares, plate = group_shares(setting.support_m, bogies), (bogies, trailer.axle_line_capacity_t)
    loads = loading(shares, *at, plate, density)
    stroke_m, stroke_line = _stroke(trailer, road)
    lines = [*_lines(trailer, setting, tipped, loads), *stroke_line]
    limits = _limits(trailer, tipped, loads, stroke_m)
    q_kPa = gust_pressure_kPa(limits["gust_limit_mps"][1][0], density)
    variables = limits | _attitude(road, setting) | _loads(trailer, loads) | _groupings(trailer, setting)
    variables |= {
        "stability_angle_deg": ("station", tipped.angle_deg),
        "stability_angle_at_limit_deg": ("station", angle_at_gust_deg(tipped, *at, angle_deg, q_kPa)),
        "levelling_stroke_need_m": ("station", stroke_m),
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


def _limits(trailer: Trailer, tipped: Tipping, loads: Loading, stroke_m: Array) -> dict[str, Any]:
    used = (
        tipped.utilisation_ratio,
        loads.line_t / trailer.axle_line_capacity_t,
        stroke_m / trailer.levelling_stroke_m,
    )
    tip_mps, load_mps = tipped.limit_mps.min(axis=(0, 3)), loads.limit_mps.min(axis=(0, 3))
    stroke_mps = np.broadcast_to(wind_free_limit_mps(used[2])[:, None], tip_mps.shape)
    return {
        "gust_limit_mps": (("limit_state", "station", "wind_from"), np.stack([tip_mps, load_mps, stroke_mps])),
        "utilisation_ratio": (("limit_state", "station"), np.stack(used)),
        "clause": ("limit_state", list(calculation.CLAUSES)),
        "remedy": ("limit_state", list(calculation.REMEDIES)),
    }


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
    return {
        "deck_pitch_deg": ("station", worse_deg(*setting.pitch_deg, -1.0)),
        "deck_roll_deg": ("station", worse_deg(*setting.roll_deg, lean)),
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
        yield from calculation.tipping_lines(spot, tare, polygon, setting.body, setting.actions)
        yield calculation.gust_line(calculation.STATES[0], spot, tipped[:3], density)
    if spot := calculation.spot_of(loads.limit_mps, loads.spare_kN):
        load_t = float(loads.greatest_t[spot.plane, spot.station])
        yield calculation.axle_line(load_t, float(bogie_count(setting.member)[spot.plane]))
        yield calculation.gust_line(calculation.STATES[1], spot, loads[:3], density)
