"""Every check of the trailer on one setting, and the limits on the gust that they make."""

from typing import Any, NamedTuple

import numpy as np
import xarray as xr

from shared.arrays import Array
from shared.tables import figure
from transport.trailer import calculation, hydraulics_lines
from transport.trailer.axle_loads import group_shares
from transport.trailer.earthquake import Shaken, shaken
from transport.trailer.ground import borne_line_t, ground_use_ratio
from transport.trailer.groups import bogie_count
from transport.trailer.hydraulics import Pressed, pressed
from transport.trailer.inputs import Trailer
from transport.trailer.loading import Loading, loading
from transport.trailer.polygon import edges
from transport.trailer.reported import pitch_m
from transport.trailer.setting import Setting
from transport.trailer.stability import wind_free_limit_mps
from transport.trailer.stroke import crossfall_stroke_m, grade_change_ratio, kink_loss_m
from transport.trailer.tipping import Tipping, tipping
from transport.trailer.twist import twist_force_kN, warp_rad

__all__ = ["Checked", "checked", "limits", "quake_ratios", "states", "whole_stroke_m"]


class Checked(NamedTuple):
    """What each check found; None where its inputs are not stated."""

    tipped: Tipping
    loads: Loading
    stroke_m: tuple[Array, Array]  # across, change of grade; each (station,)
    quake: Shaken
    twist: tuple[Array, Array]  # warp in rad, force in kN; each (station,)
    pressed: Pressed | None
    on_ground: Loading | None


def checked(trailer: Trailer, road: xr.Dataset, setting: Setting) -> Checked:
    """Run every check."""
    density, bogies = setting.density_kg_per_m3, bogie_count(setting.member)
    at = (setting.body, setting.riding.driven, setting.wind)
    tipped = tipping(edges(setting.support_m), *at, trailer.minimum_stability_angle_deg, density)
    twist = _twist(trailer, road)
    shares = group_shares(setting.support_m, bogies)
    loads = loading(shares, *at, (bogies, trailer.axle_line_capacity_t), density, twist[1])
    borne = _borne_line_t(trailer)
    return Checked(
        tipped,
        loads,
        _stroke(trailer, road),
        _quake(setting),
        twist,
        None if trailer.hydraulics is None else pressed(loads, bogies, trailer.hydraulics, density),
        None if borne is None else loading(shares, *at, (bogies, borne), density, twist[1]),
    )


def limits(trailer: Trailer, setting: Setting, found: Checked) -> dict[str, Any]:
    """Gust limit and use in still air of every limit state; the pressure of a group is unknown where not stated.

    The ground is a limit state only where its allowed pressure is given.
    """
    felt, stations = setting.lateral, found.loads.line_t
    stroke_m = whole_stroke_m(trailer, found.stroke_m)
    used = [
        found.tipped.utilisation_ratio,
        found.loads.line_t / trailer.axle_line_capacity_t,
        stroke_m / trailer.levelling_stroke_m,
        found.quake.utilisation_ratio,
        np.asarray(felt.felt_mps2 / felt.allowed_mps2),
        np.full_like(stations, np.nan) if found.pressed is None else found.pressed.utilisation_ratio,
    ]
    by_wind = [_least(each.limit_mps) for each in (found.tipped, found.loads, found.quake)]
    shape = by_wind[0].shape
    calm = [np.broadcast_to(wind_free_limit_mps(used[n])[:, None], shape) for n in (2, 4)]
    pressure = np.full(shape, np.nan) if found.pressed is None else _least(found.pressed.limit_mps)
    limit_mps = [by_wind[0], by_wind[1], calm[0], by_wind[2], calm[1], pressure]
    if found.on_ground is not None:
        limit_mps.append(_least(found.on_ground.limit_mps))
        used.append(_ground_ratio(trailer, found.on_ground.line_t))
    count = len(limit_mps)
    return {
        "gust_limit_mps": (("limit_state", "station", "wind_from"), np.stack(limit_mps)),
        "utilisation_ratio": (("limit_state", "station"), np.stack(used)),
        "clause": ("limit_state", [*calculation.CLAUSES, *hydraulics_lines.CLAUSES][:count]),
        "remedy": ("limit_state", [*calculation.REMEDIES, *hydraulics_lines.REMEDIES][:count]),
    }


def states(found: Checked) -> list[str]:
    """Names of the limit states, in the order of `limits`."""
    last = None if found.on_ground is not None else -1
    return [*calculation.STATES, *hydraulics_lines.STATES][:last]


def whole_stroke_m(trailer: Trailer, stroke_m: tuple[Array, Array]) -> Array:
    """Whole stroke that crossfall and profile take.

    Shapes: both (station,). Source: the equations of stroke.
    """
    length_m = trailer.axle_line_x_m[-1] - trailer.axle_line_x_m[0]
    return stroke_m[0] + kink_loss_m(length_m, stroke_m[1])


def quake_ratios(setting: Setting) -> dict[str, float]:
    """Published numbers of the earthquake's combination, and the density of the air."""
    return {
        "other_ratio": figure("load_cases_seismic_other_ratio"),
        "gust_to_mean_ratio": figure("load_cases_gust_to_mean_ratio"),
        "density_kg_per_m3": setting.density_kg_per_m3,
    }


def _least(limit_mps: Array) -> Array:
    return np.asarray(limit_mps.min(axis=(0, 3)))


def _ground_ratio(trailer: Trailer, line_t: Array) -> Array:
    bearing_kPa = np.nan if trailer.ground_bearing_kPa is None else trailer.ground_bearing_kPa
    tyre = (trailer.tyres_per_line_count, trailer.tyre_pressure_kPa)
    place = (pitch_m(trailer), trailer.deck_width_m)
    return ground_use_ratio(line_t, bearing_kPa, *place, tyre, figure("trailer_spread_depth_m"))


def _borne_line_t(trailer: Trailer) -> float | None:
    if trailer.ground_bearing_kPa is None:
        return None
    tyre = (trailer.tyres_per_line_count, trailer.tyre_pressure_kPa)
    place = (pitch_m(trailer), trailer.deck_width_m)
    return borne_line_t(trailer.ground_bearing_kPa, *place, *tyre, figure("trailer_spread_depth_m"))


def _quake(setting: Setting) -> Shaken:
    actions = (setting.riding.tilted, setting.riding.rolling)
    polygon = edges(setting.support_m)
    return shaken(polygon, setting.body, actions, setting.wind, setting.shaking, **quake_ratios(setting))


def _twist(trailer: Trailer, road: xr.Dataset) -> tuple[Array, Array]:
    """Warp of the road under the deck and the force it shifts; none with three groups."""
    length_m = trailer.axle_line_x_m[-1] - trailer.axle_line_x_m[0]
    slopes = (road["crossfall_ratio"].values, road["crossfall_se_ratio"].values)
    warp = warp_rad(road["station"].values, *slopes, length_m, figure("trailer_standard_errors"))
    if len(trailer.group) == 3:
        return warp, np.zeros_like(warp)
    return warp, twist_force_kN(trailer.deck_torsion_stiffness_MNm_per_rad, warp, 2.0 * trailer.bogie_y_m)


def _stroke(trailer: Trailer, road: xr.Dataset) -> tuple[Array, Array]:
    """Stroke taken by the crossfall, and change of grade under the platform, both with the survey's allowance."""
    count, length_m = figure("trailer_standard_errors"), trailer.axle_line_x_m[-1] - trailer.axle_line_x_m[0]
    change = grade_change_ratio(road["station"].values, road["grade_ratio"].values, length_m)
    change = change + np.sqrt(2.0) * count * road["grade_se_ratio"].values
    if not trailer.levels_crossfall:
        return np.zeros_like(change), change
    allowance = count * road["crossfall_se_ratio"].values
    return crossfall_stroke_m(2.0 * trailer.bogie_y_m, road["crossfall_ratio"].values, allowance), change
