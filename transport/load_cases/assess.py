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
from transport.load_cases.accidental import lost_envelope
from transport.load_cases.cases import Case, Held, cases_of
from transport.load_cases.codes import code_coords, code_variables, judged
from transport.load_cases.envelope import Envelope, at_ratio, error_ratio, rising, with_halves, without_favour
from transport.load_cases.governing import At, Names, chain_tension_kN, held_by, place_of
from transport.load_cases.held import balances, held_variables
from transport.load_cases.redundancy import redundancy_ratio
from transport.load_cases.setting import Setting, by_station, masses_of, ride_of, shaking_of, wind_of
from transport.load_cases.sheet import lines_of
from transport.securing.arrangement import Arrangement, losses
from transport.securing.assess import arrangement
from transport.securing.inputs import Chain, Contact, Securing, Unit

__all__ = ["assess"]


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
    masses = masses_of(unit)
    rates = [by_station(road, value) for value in (deceleration_mps2, start_mps2, vertical_mps2)]
    shakes = [by_station(road, value) for value in (seismic_horizontal_mps2, seismic_vertical_mps2)]
    setting = Setting(
        road["station"].values,
        masses,
        ride_of(road, deck_pitch_deg, deck_roll_deg, rates),
        wind_of(unit, road, wind_from_deg, air_density_kg_per_m3),
        shaking_of(masses, shakes),
    )
    found = transport.securing.assess.assess(unit, chains, contacts, securing, vertical_ratio=setting.vertical_ratio)

    def arranged(lines: Sequence[Chain], divisor_ratio: float) -> Arrangement:
        return arrangement(unit, lines, contacts, divisor_ratio=divisor_ratio)

    whole, bare = (arranged(chains, divisor) for divisor in (securing.capacity_divisor, 1.0))
    tags = tuple(chain.tag for chain in chains)
    names = Names(tags, tuple(contact.name for contact in contacts), losses(bare, tags))
    intact, lost = _held(found)
    codes = judged(securing, chains, arranged, intact.envelope.vertical_ratio, intact.by_model_kN[0], masses)
    cases = cases_of(intact, lost, setting, codes)
    places = [
        place_of(case, held, names, road["station"].values)
        for case, held in zip(cases, (whole, whole, whole, bare), strict=True)
    ]
    balanced, stf_kN = balances(places), np.array([chain.stf_kN or 0.0 for chain in chains])
    variables = _governed(places, stf_kN) | code_variables(codes)
    variables |= held_variables(places, balanced, stf_kN, len(contacts))
    variables["redundancy_ratio"] = (
        ("loss", "limit_state"),
        redundancy_ratio(found, setting, codes.ordered, bare, names.losses),
    )
    coords = {"station": road["station"].values, "wind_from": wind_from_deg, **code_coords(codes)}
    return attach(_result(found, cases, variables, coords), lines_of(cases, places, balanced, codes, setting, stf_kN))


def _held(found: xr.Dataset) -> tuple[Held, Held]:
    """Envelopes and resistances, intact and with a member lost; less weight and a larger push never hold more."""
    nodes, weight_kN = found["vertical_factor"].values, float(found.attrs["weight_kN"])
    finer_ratio = with_halves(nodes)

    def table(name: str) -> Array:
        values = found[name].transpose(..., "vertical_factor", found[name].dims[-1]).values
        return at_ratio(nodes, values, finer_ratio)

    usable = Envelope(finer_ratio, table("usable_resistance_kN"), table("moment_resistance_kNm"), weight_kN)
    lost_tables = (table("lost_usable_resistance_kN"), table("lost_moment_resistance_kNm"))
    rest = lost_envelope(finer_ratio, *lost_tables, weight_kN)
    whole, lost = table("resistance_kN")[None], table("lost_resistance_kN")
    cuts = [without_favour(rising(envelope)) for envelope in (usable, rest)]
    first, second = (
        Held(cut, np.minimum(by_model, by_model[:, :, -1:]), error_ratio(envelope, cut), after_loss)
        for envelope, cut, by_model, after_loss in zip((usable, rest), cuts, (whole, lost), (False, True), strict=True)
    )
    return first, second


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
        "envelope_error_ratio": ((), float(np.max([case.held.error_ratio for case in cases]))),
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
