"""From the unit, its securing and the ride to a limit on the gust for each load case."""

from collections.abc import Sequence
from typing import Any

import numpy as np
import xarray as xr
from numpy.typing import ArrayLike

import transport.securing.assess
from shared.arrays import Array
from shared.calculation import attach
from shared.datasets import dataset
from shared.tables import figure
from transport.load_cases import earthquake, operation
from transport.load_cases.accidental import lost_envelope
from transport.load_cases.actions import drag_area_m2, inertia_kN, lift_area_m2
from transport.load_cases.cases import (
    Case,
    Held,
    accidental_case,
    earthquake_case,
    operation_case,
    statutory_case,
)
from transport.load_cases.codes import code_coords, code_variables, judged
from transport.load_cases.combination import Wind
from transport.load_cases.envelope import Envelope, rising, without_favour
from transport.load_cases.federal_sheet import federal_lines
from transport.load_cases.governing import At, chain_tension_kN, governing, held_by
from transport.load_cases.held import balances, held_variables
from transport.load_cases.ride import Masses, Ride, attitude_ends_deg, known
from transport.load_cases.sheet import accidental_lines, earthquake_lines, gust_lines, held_lines, operation_lines
from transport.load_cases.statutory_sheet import statutory_lines
from transport.securing.arrangement import Arrangement, Loss, losses
from transport.securing.assess import arrangement
from transport.securing.inputs import Chain, Contact, Securing, Unit

__all__ = ["assess"]

LOW_RATIOS = (0.05, 0.6)


def assess(
    unit: Unit,
    chains: Sequence[Chain],
    contacts: Sequence[Contact],
    securing: Securing,
    *,
    road: xr.Dataset,
    deck_pitch_deg: ArrayLike,
    deck_roll_deg: ArrayLike,
    deceleration_mps2: ArrayLike,
    start_mps2: ArrayLike,
    vertical_mps2: ArrayLike,
    seismic_horizontal_mps2: ArrayLike,
    seismic_vertical_mps2: ArrayLike,
    air_density_kg_per_m3: float,
    wind_from_deg: Array,
) -> xr.Dataset:
    """Gust limits of the four load cases with the resistances behind them and the lines to check by hand.

    Attitude of the deck: one value a station (the end further from level), or both ends (2, station).
    Errors: InputError for tables that do not fit together.
    Source: EN 12195-1:2010, EN 1998-1:2004, project load cases (practice).
    """
    masses = _masses(unit)
    rates = [_by_station(road, value) for value in (deceleration_mps2, start_mps2, vertical_mps2)]
    ride = _ride(road, deck_pitch_deg, deck_roll_deg, rates)
    wind = _wind(unit, road, wind_from_deg, air_density_kg_per_m3)
    shaking_kN = _shaking_kN(masses, road, seismic_horizontal_mps2, seismic_vertical_mps2)
    stills = (operation.still(masses, ride), earthquake.still(masses, ride))
    found = transport.securing.assess.assess(
        unit, chains, contacts, securing, vertical_ratio=_vertical_ratio(masses, ride, shaking_kN)
    )
    intact, lost = _held(found)
    codes = judged(
        securing,
        chains,
        lambda lines, divisor: arrangement(unit, lines, contacts, divisor_ratio=divisor),
        found["vertical_factor"].values,
        intact.by_model_kN[0],
        masses,
    )
    first = statutory_case(intact, masses, codes, wind.ahead_m2.shape)
    operated, shook = operation_case(intact, stills[0], wind), earthquake_case(intact, stills[1], wind, shaking_kN)
    cases = [first, operated, shook, accidental_case(lost, stills[0], wind)]
    whole, bare = (
        arrangement(unit, chains, contacts, divisor_ratio=divisor) for divisor in (securing.capacity_divisor, 1.0)
    )
    tags, station_m = tuple(chain.tag for chain in chains), road["station"].values
    names = (tags, tuple(contact.name for contact in contacts), losses(bare, tags))
    places = [_at(case, held, names, station_m) for case, held in zip(cases, (whole, whole, whole, bare), strict=True)]
    lines = [*statutory_lines(codes, masses), *federal_lines(codes, masses)]
    lines += operation_lines(places[1], masses, ride) if places[1] else []
    lines += earthquake_lines(places[2], masses, ride, shaking_kN) if places[2] else []
    lines += accidental_lines(places[3], masses, ride) if places[3] else []
    stf_kN = np.array([chain.stf_kN or 0.0 for chain in chains])
    balanced = balances(places)
    for case, at, forces in zip(cases, places, balanced, strict=True):
        if at is not None and forces is not None:
            lines += held_lines(case.name, at, forces, stf_kN)
    for case, slower in zip(cases[1:], (1.0, figure("load_cases_gust_to_mean_ratio"), 1.0), strict=True):
        lines += gust_lines(case.name, case.limit_mps, wind, station_m, slower)
    coords = {"station": station_m, "wind_from": wind_from_deg, "contact": list(names[1]), **code_coords(codes)}
    extra = held_variables(places, balanced, stf_kN, len(contacts)) | code_variables(codes)
    return attach(_result(found, cases, _governed(places, stf_kN) | extra, coords), lines)


def _masses(unit: Unit) -> Masses:
    least_t, greatest_t = unit.mass_t - unit.mass_tolerance_t, unit.mass_t + unit.mass_tolerance_t
    return Masses(unit.mass_t, least_t, greatest_t, figure("securing_gravity_mps2"))


def _by_station(road: xr.Dataset, value: ArrayLike) -> Array:
    return np.broadcast_to(np.asarray(value, dtype=float), road["station"].shape)


def _ride(road: xr.Dataset, pitch_deg: ArrayLike, roll_deg: ArrayLike, rates: Sequence[Array]) -> Ride:
    """Pitch to either side of the grade; roll to either side of level; unknown where the road is unknown."""
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


def _wind(unit: Unit, road: xr.Dataset, wind_from_deg: Array, air_density_kg_per_m3: float) -> Wind:
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


def _shaking_kN(masses: Masses, road: xr.Dataset, horizontal_mps2: ArrayLike, vertical_mps2: ArrayLike) -> Array:
    pair = earthquake.levels(_by_station(road, horizontal_mps2), _by_station(road, vertical_mps2))
    return inertia_kN(masses.greatest_t, pair)


def _vertical_ratio(masses: Masses, ride: Ride, shaking_kN: Array) -> Array:
    """Vertical factors: fixed ones up to 1, so that no input shifts them, and the most that any case can bring."""
    up_kN = np.append(shaking_kN[:, 1], masses.greatest_t * np.abs(ride.vertical_mps2))
    most_kN = float(np.max(up_kN[np.isfinite(up_kN)], initial=0.0))
    high = masses.greatest_t / masses.nominal_t + most_kN / (masses.nominal_t * masses.gravity_mps2)
    return np.array([*LOW_RATIOS, 1.0, high + LOW_RATIOS[0]])


def _held(found: xr.Dataset) -> tuple[Held, Held]:
    """Envelopes and resistances, intact and with a chain lost; less weight and a larger push never hold more."""
    nodes, weight_kN = found["vertical_factor"].values, float(found.attrs["weight_kN"])
    whole, lost = found["resistance_kN"].values[None], found["lost_resistance_kN"].values
    usable = Envelope(nodes, found["usable_resistance_kN"].values, found["moment_resistance_kNm"].values, weight_kN)
    rest = lost_envelope(
        nodes, found["lost_usable_resistance_kN"].values, found["lost_moment_resistance_kNm"].values, weight_kN
    )
    by_model = [np.minimum(table, table[:, :, -1:]) for table in (whole, lost)]
    return Held(without_favour(rising(usable)), by_model[0]), Held(without_favour(rising(rest)), by_model[1])


def _at(
    case: Case, held: Arrangement, names: tuple[tuple[str, ...], tuple[str, ...], tuple[Loss, ...]], station_m: Array
) -> At | None:
    found = governing(case.push, case.held.envelope, case.held.by_model_kN)
    tags, contacts, lost = names
    return None if found is None else At(found, held, tags, float(station_m[found.row]), lost, contacts)


def _result(found: xr.Dataset, cases: list[Case], governed: dict[str, Any], coords: dict[str, Any]) -> xr.Dataset:
    shape = (len(coords["station"]), len(coords["wind_from"]))
    held = {str(name): (found[name].dims, found[name].values) for name in found.data_vars}
    axes = {str(name): found[name].values for name in found.coords}
    limits_mps = np.stack([np.broadcast_to(case.limit_mps, shape) for case in cases])
    variables: dict[str, Any] = {
        "gust_limit_mps": (("limit_state", "station", "wind_from"), limits_mps),
        "utilisation_ratio": (("limit_state", "station"), np.stack([case.push.use_ratio for case in cases])),
        "clause": ("limit_state", [case.clause for case in cases]),
        "remedy": ("limit_state", [case.remedy for case in cases]),
    }
    names = {"limit_state": [case.name for case in cases]}
    return dataset(variables | governed | held, coords=names | axes | coords, attrs=dict(found.attrs))


def _governed(places: Sequence[At | None], stf_kN: Array) -> dict[str, Any]:
    """Governing station, model, lost chain and tensions of each case; unknown where no station is known."""
    unknown = np.full(len(stf_kN), np.nan)
    tension = [unknown if at is None else chain_tension_kN(at.found, at.left, stf_kN) for at in places]
    way = ["unknown" if at is None else held_by(at.found, at.left) for at in places]
    lost = ["none" if at is None else at.lost for at in places]
    return {
        "chain_tension_kN": (("limit_state", "chain"), np.stack(tension)),
        "governing_station_of_state_m": ("limit_state", [np.nan if at is None else at.station_m for at in places]),
        "governing_model": ("limit_state", ["unknown" if at is None else at.found.model for at in places]),
        "held_by": ("limit_state", way),
        "lost_member": ("limit_state", lost),
    }
