"""Stopping checks as limits on the gust: holding, climbing, stopping, the mirror's acceleration, parking, ride."""

from collections.abc import Iterator
from typing import Any, NamedTuple

import numpy as np
import xarray as xr

from shared.arrays import Array
from shared.calculation import Line, attach
from shared.datasets import dataset
from shared.tables import figure
from transport.stopping import calculation
from transport.stopping.coasting import natural_deceleration_mps2, rollback_acceleration_mps2, rollback_distance_m
from transport.stopping.distance import jerk_limited_distance_m, net_deceleration_mps2, stopping_distance_m
from transport.stopping.inputs import Tractor
from transport.stopping.quarter_car import expected_iri_m_per_km
from transport.stopping.ramp import overshoot_ratio, ramp_amplification_bound_ratio
from transport.stopping.resistance import (
    adhesion_force_kN,
    bad_grades_ratio,
    demand_ratio,
    grade_force_kN,
    grade_pull_mps2,
    power_kW,
    rolling_force_kN,
    start_possible_mps2,
)
from transport.stopping.retarding import descent_energy_MJ, holding_force_kN, steepest_held_ratio, temperature_rise_K
from transport.stopping.ride import bump_speed_mps, deck_rms_mps2, journey_peak_factor_ratio
from transport.stopping.roughness import velocity_density_m2_per_s
from transport.stopping.shock import PULSES, peak_ratio
from transport.stopping.surfaces import adhesion_ratio, rolling_ratios, roughness_m3

__all__ = ["assess"]

SHOWN = (
    *("emergency_deceleration_mps2", "start_acceleration_mps2", "coasting_deceleration_mps2"),
    *("vertical_acceleration_mps2", "longitudinal_acceleration_mps2", "tractive_need_kN", "holding_force_kN"),
    *("holding_power_kW", "steepest_held_ratio", "stopping_distance_m", "service_stop_m", "rollback_m"),
    *("expected_iri_m_per_km", "start_possible_mps2"),
)
Numbers = dict[str, Any]


class Deck(NamedTuple):
    """How deck and load move: frequencies along and upward, damping, axle lines, what the mirror allows."""

    along_hz: float
    upward_hz: float
    damping_ratio: float
    line_x_m: Array
    allowed_longitudinal_mps2: float
    allowed_vertical_mps2: float


def assess(
    tractor: Tractor,
    road: xr.Dataset,
    *,
    trailer_mass_t: float,
    unit_mass_t: float,
    allowed_longitudinal_mps2: float,
    allowed_vertical_mps2: float,
    deck_frequency_hz: float,
    damping_ratio: float,
    wind_from_deg: Array,
    horizontal_frequency_hz: float | None = None,
    axle_line_x_m: tuple[float, ...] = (),
) -> xr.Dataset:
    """Every stopping check at every station; none depends on the wind, so each is open, closed or unknown.

    `deck_frequency_hz` is vertical, and along the road too unless that is given; without the axle lines the road acts
    on one wheel, which is the conservative reading.
    """
    along_hz = deck_frequency_hz if horizontal_frequency_hz is None else horizontal_frequency_hz
    allowed = (allowed_longitudinal_mps2, allowed_vertical_mps2)
    deck = Deck(along_hz, deck_frequency_hz, damping_ratio, np.asarray(axle_line_x_m, dtype=float), *allowed)
    found = _ground(tractor, road, tractor.mass_t + trailer_mass_t + unit_mass_t)
    found |= _moving(tractor, found) | _braking(tractor, found)
    found |= _along(tractor, deck, found) | _upward(deck, road, found)
    used = _utilisation(tractor, deck, found)
    return attach(_result(tractor, deck, road, found, used, wind_from_deg), _lines(found, used))


def _ground(tractor: Tractor, road: xr.Dataset, train_mass_t: float) -> Numbers:
    grade, surface = road["grade_ratio"].values, road["surface"].values
    allowance = figure("stopping_standard_errors") * road["grade_se_ratio"].values
    climb, descent = bad_grades_ratio(grade, allowance)
    low, high = rolling_ratios(surface)
    return {
        "train_mass_t": train_mass_t,
        "speed_mps": road["speed_mps"].values,
        "climb_ratio": climb,
        "descent_ratio": descent,
        "steepest_ratio": np.maximum(climb, descent),
        "rolling_low_ratio": low,
        "rolling_high_ratio": high,
        "adhesion_ratio": adhesion_ratio(surface, tractor.road_state),
        "driven_mass_t": tractor.driven_mass_t,
    }


def _moving(tractor: Tractor, at: Numbers) -> Numbers:
    mass_t, driven_t, adhesion = at["train_mass_t"], tractor.driven_mass_t, at["adhesion_ratio"]
    climb, descent, low = at["climb_ratio"], at["descent_ratio"], at["rolling_low_ratio"]
    holding_kN = holding_force_kN(mass_t, descent, low)
    by_power_kN = demand_ratio(np.full_like(climb, tractor.retarding_power_kW), at["speed_mps"])
    retarding_kN = np.minimum(tractor.retarding_force_kN, by_power_kN)
    need_kN = grade_force_kN(mass_t, climb) + rolling_force_kN(mass_t, climb, at["rolling_high_ratio"])
    climbing_kN = adhesion_force_kN(driven_t, climb, adhesion)
    return {
        "tractive_need_kN": need_kN,
        "climbing_adhesion_kN": climbing_kN,
        "tractive_force_kN": tractor.tractive_force_kN,
        "start_possible_mps2": start_possible_mps2(tractor.tractive_force_kN, climbing_kN, need_kN, mass_t),
        "holding_force_kN": holding_kN,
        "holding_power_kW": power_kW(holding_kN, at["speed_mps"]),
        "holding_adhesion_kN": adhesion_force_kN(driven_t, descent, adhesion),
        "steepest_held_ratio": steepest_held_ratio(retarding_kN, mass_t, low, adhesion, driven_t),
    }


def _braking(tractor: Tractor, at: Numbers) -> Numbers:
    reaction_s, build_up_s = tractor.reaction_time_s, tractor.brake_build_up_s
    brake = np.minimum(tractor.brake_ratio, at["adhesion_ratio"])
    net = net_deceleration_mps2(brake, at["rolling_low_ratio"], -at["descent_ratio"])
    braking_mps2 = np.minimum(net, tractor.emergency_deceleration_mps2)
    service = (tractor.service_deceleration_mps2, tractor.service_deceleration_mps2 / tractor.emergency_ramp_s)
    rollback_mps2 = rollback_acceleration_mps2(at["climb_ratio"], at["rolling_low_ratio"])
    return {
        "reaction_s": reaction_s,
        "build_up_s": build_up_s,
        "brake_ratio": brake,
        "braking_mps2": braking_mps2,
        "stopping_distance_m": stopping_distance_m(at["speed_mps"], reaction_s, build_up_s, braking_mps2),
        "service_stop_m": at["speed_mps"] * reaction_s + jerk_limited_distance_m(at["speed_mps"], *service),
        "rollback_m": rollback_distance_m(rollback_mps2, reaction_s + build_up_s),
    }


def _along(tractor: Tractor, deck: Deck, at: Numbers) -> Numbers:
    growth = float(ramp_amplification_bound_ratio(deck.along_hz, tractor.emergency_ramp_s))
    known = np.where(np.isnan(at["steepest_ratio"]) | np.isnan(at["speed_mps"]), np.nan, 1.0)
    stop_mps2 = growth * tractor.emergency_deceleration_mps2 * known
    start_mps2 = growth * tractor.start_acceleration_mps2 * known
    natural_mps2 = natural_deceleration_mps2(at["climb_ratio"], at["rolling_high_ratio"])
    climb_mps2, overshoot = grade_pull_mps2(at["climb_ratio"]), overshoot_ratio(deck.damping_ratio)
    stopped = stop_mps2 + grade_pull_mps2(at["steepest_ratio"])
    coasted = climb_mps2 + overshoot * natural_mps2
    return {
        "frequency_hz": deck.along_hz,
        "ramp_s": tractor.emergency_ramp_s,
        "overshoot_ratio": overshoot,
        "emergency_mps2": tractor.emergency_deceleration_mps2,
        "emergency_deceleration_mps2": stop_mps2,
        "start_acceleration_mps2": start_mps2,
        "coasting_deceleration_mps2": growth * natural_mps2,
        "emergency_on_grade_mps2": stopped,
        "coasting_on_grade_mps2": coasted,
        "longitudinal_acceleration_mps2": np.maximum.reduce([stopped, coasted, climb_mps2 + start_mps2]),
    }


def _upward(deck: Deck, road: xr.Dataset, at: Numbers) -> Numbers:
    classes, station_m = road["roughness_class"].values, road["station"].values
    upper_m3 = roughness_m3(classes, "upper")
    rms_mps2 = deck_rms_mps2(upper_m3, at["speed_mps"], deck.line_x_m, deck.upward_hz, deck.damping_ratio)
    peak = journey_peak_factor_ratio(deck.upward_hz, float(np.ptp(station_m)))
    return {
        "reference_wavenumber_per_m": figure("stopping_reference_wavenumber_per_m"),
        "roughness_m3": upper_m3,
        "velocity_density_m2_per_s": velocity_density_m2_per_s(upper_m3, at["speed_mps"]),
        "peak_factor_ratio": peak,
        "vertical_rms_mps2": rms_mps2,
        "vertical_acceleration_mps2": peak * rms_mps2,
        "expected_iri_m_per_km": expected_iri_m_per_km(roughness_m3(classes, "mean")),
    }


def _utilisation(tractor: Tractor, deck: Deck, at: Numbers) -> list[Array]:
    holding = (
        demand_ratio(at["holding_force_kN"], tractor.retarding_force_kN),
        demand_ratio(at["holding_power_kW"], tractor.retarding_power_kW),
        demand_ratio(at["holding_force_kN"], at["holding_adhesion_kN"]),
    )
    climbing = (
        at["tractive_need_kN"] / tractor.tractive_force_kN,
        demand_ratio(at["tractive_need_kN"], at["climbing_adhesion_kN"]),
    )
    parking = demand_ratio(at["steepest_ratio"], np.minimum(tractor.parking_grade_ratio, at["adhesion_ratio"]))
    at["parking_ratio"], at["parking_use_ratio"] = tractor.parking_grade_ratio, parking
    return [
        np.maximum.reduce(holding),
        np.maximum.reduce(climbing),
        at["stopping_distance_m"] / tractor.stopping_distance_limit_m,
        at["longitudinal_acceleration_mps2"] / deck.allowed_longitudinal_mps2,
        parking,
        at["vertical_acceleration_mps2"] / deck.allowed_vertical_mps2,
    ]


def _result(
    tractor: Tractor, deck: Deck, road: xr.Dataset, at: Numbers, used: list[Array], wind_from_deg: Array
) -> xr.Dataset:
    ratio = np.stack(used)
    open_mps = np.where(np.isnan(ratio), np.nan, np.where(ratio <= 1.0, np.inf, 0.0))
    limit_mps = np.broadcast_to(open_mps[:, :, None], (*ratio.shape, len(wind_from_deg))).copy()
    variables: Numbers = {
        "gust_limit_mps": (("limit_state", "station", "wind_from"), limit_mps),
        "utilisation_ratio": (("limit_state", "station"), ratio),
        "clause": ("limit_state", list(calculation.CLAUSES)),
        "remedy": ("limit_state", calculation.remedies(tractor.start_acceleration_mps2, at["start_possible_mps2"])),
        **{name: ("station", at[name]) for name in SHOWN},
    }
    coords = {
        "limit_state": list(calculation.STATES),
        "station": road["station"].values,
        "wind_from": wind_from_deg,
        "pulse": list(PULSES),
    }
    return dataset(variables | _whole_road(tractor, deck, road, at), coords)


def _whole_road(tractor: Tractor, deck: Deck, road: xr.Dataset, at: Numbers) -> Numbers:
    grade, station_m = road["grade_ratio"].values, road["station"].values
    energy_MJ = descent_energy_MJ(at["train_mass_t"], station_m, grade, at["rolling_low_ratio"])
    bump = ((tractor.bump_height_m, tractor.bump_length_m), deck.line_x_m.size)
    vibration = (deck.allowed_vertical_mps2, deck.upward_hz, deck.damping_ratio)
    turns = float(np.clip(deck.along_hz * tractor.emergency_ramp_s, 0.05, 20.0))
    return {
        "train_mass_t": ((), at["train_mass_t"]),
        "descent_energy_MJ": ((), energy_MJ),
        "brake_temperature_rise_K": (
            (),
            temperature_rise_K(energy_MJ, tractor.brake_iron_t, figure("stopping_iron_heat_J_per_kgK")),
        ),
        "bump_speed_mps": ((), bump_speed_mps(*bump, *vibration)),
        "pulse_amplification_ratio": ("pulse", [peak_ratio(pulse, turns, deck.damping_ratio) for pulse in PULSES]),
    }


def _lines(at: Numbers, used: list[Array]) -> Iterator[Line]:
    for state, ratio in zip(calculation.STATES, used, strict=True):
        worst = calculation.worst_of(ratio)
        if worst is not None:
            there = {name: float(np.ravel(number)[worst if np.ndim(number) else 0]) for name, number in at.items()}
            yield from calculation.lines(state, there)
