"""What the trailer's result shows beside its limits: attitude, loads, pressures, groupings, a lost group, the spine."""

from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np
import xarray as xr

from shared.arrays import Array
from shared.tables import figure
from shared.units import STANDARD_GRAVITY_MPS2
from transport.trailer.attitude import worse_deg
from transport.trailer.axle_loads import group_load_t, group_shares
from transport.trailer.comparison import bare_angle_deg, group_lost_angle_deg
from transport.trailer.ground import ground_pressures_kPa
from transport.trailer.group_lost import Deck, Lost, known_worst_ratio, lost, one_wind, sunk_tilt_deg, unaided
from transport.trailer.groups import bogie_count, centroids_m, halved_groupings
from transport.trailer.hydraulics import Hydraulics, Pressed, group_pressure_kPa
from transport.trailer.inputs import Trailer
from transport.trailer.loading import Loading
from transport.trailer.resultant import Actions
from transport.trailer.roll import leaned_deg, net_roll_stiffness_MNm_per_rad
from transport.trailer.setting import Setting
from transport.trailer.spine import spine_moments_kNm, supported_length_m

__all__ = ["Losses", "attitude", "deck_of", "groupings", "losses", "pitch_m", "pressures", "shown_loads", "spine"]


class Losses(NamedTuple):
    """Each hydraulic group lost in turn, the variables that show it, and the worst of them by number."""

    cases: tuple[Lost, ...]
    variables: dict[str, Any]
    worst: int


def pitch_m(trailer: Trailer) -> float:
    """Least pitch of the axle lines.

    Source: counting.
    """
    return float(np.diff(trailer.axle_line_x_m).min())


def deck_of(trailer: Trailer, setting: Setting) -> Deck:
    """Supports and capacities as a lost group leaves them."""
    bogies = bogie_count(setting.member)
    return Deck(setting.support_m, bogies, trailer.axle_line_capacity_t, trailer.hydraulics, trailer.stop_travel_m)


def attitude(trailer: Trailer, road: xr.Dataset, setting: Setting) -> dict[str, Any]:
    """Pitch and roll of the deck, mass and height of the whole, elastic roll."""
    body, stiffness = setting.body, trailer.roll_stiffness_MNm_per_rad
    lean = np.where(road["curvature_per_m"].values < 0.0, -1.0, 1.0)
    roll_deg = leaned_deg(setting.roll_deg, float(body.amplification_ratio.max()))
    net = net_roll_stiffness_MNm_per_rad(body.mass_t, body.height_m, stiffness)
    return {
        "deck_pitch_deg": ("station", worse_deg(*setting.pitch_deg, -1.0)),
        "deck_roll_deg": ("station", worse_deg(*roll_deg, lean)),
        "transport_mass_t": ((), body.mass_t.max()),
        "centre_of_mass_height_m": ((), body.height_m.max()),
        "roll_amplification_ratio": ((), body.amplification_ratio.max()),
        "net_roll_stiffness_MNm_per_rad": ((), net.min()),
    }


def shown_loads(trailer: Trailer, loads: Loading, twist_kN: Array) -> dict[str, Any]:
    """Loads of groups and lines, the pressure on the ground below the heaviest, and what twist adds."""
    tyre = (trailer.tyres_per_line_count, trailer.tyre_pressure_kPa)
    line_kN = float(loads.line_t.max()) * STANDARD_GRAVITY_MPS2
    pressures_kPa = ground_pressures_kPa(
        line_kN, pitch_m(trailer), trailer.deck_width_m, tyre, figure("trailer_spread_depth_m")
    )
    return {
        "group_load_min_t": (("group", "station"), loads.least_t),
        "group_load_max_t": (("group", "station"), loads.greatest_t),
        "group_twist_kN": ("station", twist_kN),
        "axle_line_load_t": ("station", loads.line_t),
        "ground_pressure_kPa": ("ground_rule", pressures_kPa),
    }


def pressures(setting: Setting, hydraulics: Hydraulics | None, pressed: Pressed | None) -> dict[str, Any]:
    """What the gauges read on level ground with no allowance, and the range on the road; unknown where not stated."""
    bogies, body = bogie_count(setting.member), setting.body
    unknown = np.full((len(bogies), setting.riding.driven.normal_ratio.size), np.nan)
    level_kPa, least_kPa, greatest_kPa = unknown[:, 0], unknown, unknown
    if hydraulics is not None and pressed is not None:
        mass_t, centre_m = body.mass_t.mean(), body.centre_m.mean(axis=0)
        level_t = group_load_t(group_shares(setting.support_m, bogies), mass_t, centre_m)
        level_kPa = group_pressure_kPa(level_t * STANDARD_GRAVITY_MPS2, bogies, hydraulics.cylinder_m2)
        least_kPa, greatest_kPa = pressed.least_kPa, pressed.greatest_kPa
    return {
        "group_pressure_kPa": ("group", level_kPa),
        "group_pressure_min_kPa": (("group", "station"), least_kPa),
        "group_pressure_max_kPa": (("group", "station"), greatest_kPa),
    }


def groupings(trailer: Trailer, setting: Setting) -> dict[str, Any]:
    """Bare stability angles of the declared and of the usual groupings, and of the declared one without a group."""
    place, count = (trailer.axle_line_x_m, trailer.bogie_y_m), len(trailer.axle_line_x_m)
    plans = [setting.member, *halved_groupings(count).values()]
    bare = [bare_angle_deg(centroids_m(plan, *place), setting.body) for plan in plans]
    lost_deg = group_lost_angle_deg(setting.support_m, setting.body)
    return {"stability_angle_bare_deg": ("grouping", bare), "stability_angle_group_lost_deg": ("group", lost_deg)}


def losses(deck: Deck, setting: Setting, station_m: Array) -> Losses:
    """Each group lost: use by check, on level ground and without stops too, loads of the others, tilt, wind."""
    acting = (setting.body, setting.riding.driven, setting.wind, setting.density_kg_per_m3)
    cases = lost(deck, *acting)
    numbers = range(len(cases))
    calm = one_wind(setting.wind)
    bare = [unaided(deck, n, *acting[:2], calm, setting.density_kg_per_m3) for n in numbers]
    calm = calm._replace(moment_m3=calm.moment_m3[:1])
    level = lost(deck, setting.body, _level(), calm, setting.density_kg_per_m3)
    used = np.stack([case.check_ratio for case in cases])
    by_station = known_worst_ratio(np.moveaxis(used, 1, -1))
    travel_m = np.nan if deck.stop_travel_m is None else deck.stop_travel_m
    ratio = _worst(cases)
    variables = {
        "group_lost_ratio": ("group", ratio),
        "group_lost_check_ratio": (("group", "lost_check"), used.max(axis=2)),
        "group_lost_unaided_ratio": ("group", _worst(bare)),
        "group_lost_level_ratio": ("group", _worst(level)),
        "group_lost_load_t": (("lost_group", "group"), np.stack([_loads_t(case, len(cases)) for case in cases])),
        "group_lost_tilt_deg": ("group", [sunk_tilt_deg(deck.support_m, n, travel_m) for n in numbers]),
        "group_lost_gust_mps": ("group", [case.tipped.limit_mps.min() for case in cases]),
        "group_lost_station_m": ("group", station_m[np.where(np.isnan(by_station), np.inf, by_station).argmax(axis=1)]),
    }
    return Losses(cases, variables, int(np.where(np.isnan(ratio), np.inf, ratio).argmax()))


def spine(trailer: Trailer, unit_t: float, saddle_from_middle_m: float | None) -> dict[str, Any]:
    """Concept values of the spine's bending; unknown where the saddles are not given."""
    place_m = np.nan if saddle_from_middle_m is None else saddle_from_middle_m
    length_m = supported_length_m(trailer.axle_line_x_m)
    saddle, middle = spine_moments_kNm(unit_t * STANDARD_GRAVITY_MPS2, length_m, place_m)
    return {"spine_moment_saddle_kNm": ((), saddle), "spine_moment_middle_kNm": ((), middle)}


def _level() -> Actions:
    """Standing on level ground, at one place."""
    none = np.zeros(1)
    return Actions((none, none), (none, none), np.ones(1))


def _worst(cases: Sequence[Lost]) -> Array:
    """Greatest use over checks and stations; unknown anywhere is unknown, unless a known one is above 1."""
    return known_worst_ratio(np.stack([case.check_ratio.ravel() for case in cases]))


def _loads_t(case: Lost, group_count: int) -> Array:
    """Greatest load of each group over the road; 0 for one that hangs, unknown where the deck cannot stand."""
    if case.loads is None:
        return np.full(group_count, np.nan)
    loads_t = np.zeros(group_count)
    loads_t[case.carrying_count] = case.loads.greatest_t.max(axis=1)
    return loads_t
