"""Every calculation line of the trailer, at the place that governs its check."""

from collections.abc import Iterator

import numpy as np

from shared.calculation import Line
from shared.tables import figure
from transport.trailer import calculation, hydraulics_lines
from transport.trailer.axle_loads import group_shares
from transport.trailer.checked import Checked, quake_ratios, whole_stroke_m
from transport.trailer.group_lost import Deck, sunk_lever_m
from transport.trailer.group_lost_lines import lost_lines
from transport.trailer.groups import bogie_count
from transport.trailer.inputs import Trailer
from transport.trailer.polygon import Planes, edges
from transport.trailer.reported import Losses, pitch_m
from transport.trailer.reserve_lines import axle_reserve_line, loss_line, tipping_reserve_lines
from transport.trailer.setting import Setting
from transport.trailer.shaken_lines import shaken_lines

__all__ = ["governing_lines"]


def governing_lines(trailer: Trailer, setting: Setting, found: Checked, gone: Losses, deck: Deck) -> list[Line]:
    """Lines of all limit states in their order, then of the worst hydraulic group lost."""
    return [
        *_tipping(trailer, setting, found),
        *_axle_lines(trailer, setting, found),
        *_stroke(trailer, found),
        *_earthquake(setting, found),
        *_lateral(setting),
        *_pressure(trailer, setting, found),
        *_ground(trailer, found),
        *_lost(gone, deck),
    ]


def _tipping(trailer: Trailer, setting: Setting, found: Checked) -> Iterator[Line]:
    tipped, polygon = found.tipped, edges(setting.support_m)
    tare = (trailer.tare_t, trailer.tare_centre_of_mass_height_m)
    if spot := calculation.spot_of(tipped.limit_mps, tipped.at_rest_kNm):
        yield from calculation.tipping_lines(spot, tare, polygon, setting.body, setting.riding.driven)
        yield hydraulics_lines.roll_line(setting.body, trailer.roll_stiffness_MNm_per_rad)
        acting = (polygon, setting.body, setting.riding.driven, setting.wind)
        yield from tipping_reserve_lines(spot, *acting, trailer.minimum_stability_angle_deg)
        yield calculation.gust_line(calculation.STATES[0], spot, tipped[:3], setting.density_kg_per_m3)


def _axle_lines(trailer: Trailer, setting: Setting, found: Checked) -> Iterator[Line]:
    loads, bogies = found.loads, bogie_count(setting.member)
    if spot := calculation.spot_of(loads.limit_mps, loads.spare_kN):
        load_t = float(loads.greatest_t[spot.plane, spot.station])
        yield calculation.axle_line(load_t, float(bogies[spot.plane]))
        shares, spare_kN = group_shares(setting.support_m, bogies), float(loads.spare_kN[spot[0], spot[1], spot.plane])
        yield axle_reserve_line(spare_kN, trailer.axle_line_capacity_t, float(bogies[spot.plane]))
        minus = Planes(-shares.value, -shares.gradient)
        yield loss_line(calculation.STATES[1], spot, minus, setting.body, setting.wind)
        yield calculation.gust_line(calculation.STATES[1], spot, loads[:3], setting.density_kg_per_m3)


def _stroke(trailer: Trailer, found: Checked) -> Iterator[Line]:
    need_m = whole_stroke_m(trailer, found.stroke_m)
    if not np.all(np.isnan(need_m)):
        worst, length_m = int(np.nanargmax(need_m)), trailer.axle_line_x_m[-1] - trailer.axle_line_x_m[0]
        across, change = (float(part[worst]) for part in found.stroke_m)
        yield calculation.levelling_line(across, length_m, change)


def _earthquake(setting: Setting, found: Checked) -> Iterator[Line]:
    quake, actions = found.quake, (setting.riding.tilted, setting.riding.rolling)
    if spot := calculation.spot_of(quake.limit_mps, quake.at_rest_kNm):
        polygon, ratios = edges(setting.support_m), quake_ratios(setting)
        *held, gust = shaken_lines(spot, quake, polygon, setting.body, actions, setting.shaking, **ratios)
        bare = spot._replace(state=spot.state % len(setting.body.mass_t))
        yield from (*held, loss_line(calculation.EARTHQUAKE, bare, polygon, setting.body, setting.wind), gust)


def _lateral(setting: Setting) -> Iterator[Line]:
    felt_mps2 = setting.lateral.felt_mps2
    if not np.all(np.isnan(felt_mps2)):
        yield calculation.lateral_line(setting.lateral, int(np.nanargmax(felt_mps2)))


def _pressure(trailer: Trailer, setting: Setting, found: Checked) -> Iterator[Line]:
    pressed, hydraulics = found.pressed, trailer.hydraulics
    if pressed is None or hydraulics is None:
        return
    if spot := calculation.spot_of(pressed.limit_mps, pressed.spare_kN):
        bogies = tuple(float(count) for count in bogie_count(setting.member))
        stiffness, (warp, force) = trailer.deck_torsion_stiffness_MNm_per_rad, found.twist
        if force.any():
            yield hydraulics_lines.twist_line(stiffness, float(warp[spot.station]), 2.0 * trailer.bogie_y_m)
        density = setting.density_kg_per_m3
        yield from hydraulics_lines.pressure_lines(spot, pressed, found.loads, bogies, hydraulics, density)


def _ground(trailer: Trailer, found: Checked) -> Iterator[Line]:
    if found.on_ground is not None and not np.all(np.isnan(found.on_ground.line_t)):
        line_t = float(np.nanmax(found.on_ground.line_t))
        if np.isfinite(line_t):
            place = (pitch_m(trailer), trailer.deck_width_m)
            tyre = (trailer.tyres_per_line_count, trailer.tyre_pressure_kPa)
            yield from hydraulics_lines.ground_lines(line_t, *place, tyre, figure("trailer_spread_depth_m"))


def _lost(gone: Losses, deck: Deck) -> tuple[Line, ...]:
    travel_m, lever_m = deck.stop_travel_m, sunk_lever_m(deck.support_m, gone.worst)
    lever = None if travel_m is None or not lever_m > 0.0 else (travel_m, lever_m)
    return lost_lines(gone.cases[gone.worst], lever, deck.bogies_count, deck.axle_line_capacity_t)
