"""From the tables of move.toml to what the securing holds, as a Dataset."""

from collections.abc import Sequence
from typing import Any

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from shared.arrays import Array
from shared.datasets import dataset
from shared.errors import InputError
from shared.tables import figure
from transport.securing import chains as lashing
from transport.securing.arrangement import DIRECTION_DEG, Arrangement, Loss, counted, losses, resisting, without
from transport.securing.capacity import MODELS, WAYS, elastic_chains, lost_kN, ways_of
from transport.securing.elastic import Pushed
from transport.securing.elastic_march import KNOWN
from transport.securing.equilibrium import Restraint, mechanism
from transport.securing.friction import design_friction_ratio
from transport.securing.gear import gear_of
from transport.securing.inputs import Chain, Contact, Securing, Unit, arrangement_faults
from transport.securing.limit_analysis import free_kN, moment_kNm, stopped_kN
from transport.securing.sharing import movement_m, rate_kN_per_m

__all__ = ["arrangement", "assess"]

FULL = KNOWN[:2]


def assess(
    unit: Unit,
    chains: Sequence[Chain],
    contacts: Sequence[Contact],
    securing: Securing,
    *,
    vertical_ratio: Array,
) -> xr.Dataset:
    """Resistance by direction of push, model and vertical factor, intact and with each member lost.

    Intact with capacity_divisor on LC; with a member lost with 1. vertical_ratio rises and holds 1.
    Errors: InputError for tables that do not fit together and for a unit that does not stand by itself.
    Source: EN 12195-1:2010 and limit analysis, see the modules (memory).
    """
    if faults := arrangement_faults(unit, chains, contacts):
        raise InputError.of(faults)
    intact = arrangement(unit, chains, contacts, divisor_ratio=securing.capacity_divisor)
    accidental = arrangement(unit, chains, contacts, divisor_ratio=1.0)
    tags, level = [chain.tag for chain in chains], int(np.flatnonzero(vertical_ratio == 1.0)[0])
    stopped, pushed = stopped_kN(intact, vertical_ratio), elastic_chains(intact, vertical_ratio)
    whole = ways_of(intact, vertical_ratio, pushed, by_stops_kN=stopped)
    bare = ways_of(accidental, vertical_ratio, elastic_chains(accidental, vertical_ratio), by_stops_kN=stopped)
    lost = losses(accidental, tags)
    lost_table = lost_kN(accidental, vertical_ratio, lost, bare)
    moment = moment_kNm(intact, vertical_ratio)
    _must_stand(whole.by_model_kN[[3, 4]], moment, vertical_ratio)
    return dataset(
        {
            **_resistances(whole.by_model_kN, lost_table, intact.weight_kN, level),
            "moment_resistance_kNm": (("vertical_factor", "axis"), moment),
            "lost_moment_resistance_kNm": (
                ("loss", "vertical_factor", "axis"),
                _lost_moment_kNm(accidental, vertical_ratio, lost, moment),
            ),
            "held_way": ("direction", [WAYS[way] for way in whole.best[level]]),
            **_bounds(intact),
            **_pushed_apart(intact, pushed, level, [*tags, *(c.name for c in contacts if c.kind == "pad")]),
            **_schedule(chains, intact),
        },
        coords={
            "model": list(MODELS),
            "vertical_factor": vertical_ratio,
            "direction": DIRECTION_DEG,
            "axis": ["x", "y", "z"],
            "chain": tags,
            "contact": [contact.name for contact in contacts],
            "loss": [loss.name for loss in lost],
        },
        attrs={
            "weight_kN": intact.weight_kN,
            "capacity_divisor": securing.capacity_divisor,
            "allowed_movement_m": unit.allowed_movement_m,
        },
    )


def arrangement(
    unit: Unit, chains: Sequence[Chain], contacts: Sequence[Contact], *, divisor_ratio: float
) -> Arrangement:
    """The tables as arrays: direct chains with what their weakest part carries, top-over legs STF / f_s, f_mu mu.

    Source: EN 12195-1:2010, 5.4 and 5.5; f_s of the forward direction taken for all (read).
    """
    on_load_m, on_deck_m = np.array([c.on_load_m for c in chains]), np.array([c.on_deck_m for c in chains])
    direct, gear = np.array([chain.method == "direct" for chain in chains]), gear_of(chains)
    size_m = np.array([chain.size_mm for chain in chains]) / 1000.0
    return Arrangement(
        restraint=_restraint(unit, contacts, on_load_m, on_deck_m),
        capacity_kN=np.where(direct, gear.capacity_kN / divisor_ratio, 0.0),
        fixed_kN=np.where(direct, 0.0, gear.pretension_kN / figure("securing_safety_factor_forward_ratio")),
        length_m=lashing.length_m(on_load_m, on_deck_m),
        stiffness_kN=lashing.axial_stiffness_kN(size_m, figure("securing_chain_stiffness_kPa")),
        contact_limit_kN=np.array([contact.capacity_kN for contact in contacts]),
        is_pad=np.array([contact.kind == "pad" for contact in contacts]),
        weight_kN=unit.mass_t * figure("securing_gravity_mps2"),
        tolerance_m=unit.centre_of_mass_tolerance_m,
        movement_m=unit.allowed_movement_m,
        least_ratio=figure("securing_least_efficiency_ratio"),
        pretension_kN=np.where(direct, gear.pretension_kN, 0.0),
        line=_line(chains),
        anchor=gear.anchor,
        is_dry=any(contact.is_dry for contact in contacts if contact.kind == "pad"),
    )


def _line(chains: Sequence[Chain]) -> NDArray[np.intp]:
    """The first row of the lashing line that each row belongs to: two legs of one pair are one line."""
    names = [("line", chain.pair) if chain.pair else ("row", chain.tag) for chain in chains]
    return np.array([names.index(name) for name in names], dtype=np.intp)


def _restraint(unit: Unit, contacts: Sequence[Contact], on_load_m: Array, on_deck_m: Array) -> Restraint:
    friction = np.array([contact.friction_ratio for contact in contacts])
    normal = np.array([contact.normal for contact in contacts])
    return Restraint(
        reference_m=np.array(unit.centre_of_mass_m),
        on_load_m=on_load_m,
        pull_ratio=lashing.pull_ratio(on_load_m, on_deck_m),
        contact_m=np.array([contact.position_m for contact in contacts]),
        normal_ratio=normal / np.linalg.norm(normal, axis=-1, keepdims=True),
        friction_ratio=design_friction_ratio(friction, figure("securing_friction_conversion_ratio")),
    )


def _lost_moment_kNm(intact: Arrangement, vertical_ratio: Array, lost: tuple[Loss, ...], whole_kNm: Array) -> Array:
    """Only the loss of a top-over leg, which presses on the pads all the time, changes what the pads hold."""
    return np.stack(
        [
            moment_kNm(without(intact, loss.rows), vertical_ratio)
            if (intact.fixed_kN[loss.rows] > 0.0).any()
            else whole_kNm
            for loss in lost
        ]
    )


def _must_stand(held_kN: Array, moment_kNm: Array, vertical_ratio: Array) -> None:
    fallen = np.isnan(held_kN).any(axis=(0, -1)) | np.isnan(moment_kNm).any(axis=-1)
    if fallen.any():
        raise InputError(
            f"contact: the unit is not in equilibrium on its pads carrying {vertical_ratio[fallen][-1]:.3g} times "
            "its weight; give pads and deck more capacity_kN, or set the pads under the centre of mass"
        )


def _resistances(by_model_kN: Array, lost_kN: Array, weight_kN: float, level: int) -> dict[str, Any]:
    """Resistances at every vertical factor, and over the weight on a level deck."""
    intact, lost = by_model_kN[:, level] / weight_kN, lost_kN[:, :, level] / weight_kN
    return {
        "resistance_kN": (("model", "vertical_factor", "direction"), by_model_kN),
        "usable_resistance_kN": (("vertical_factor", "direction"), np.min(by_model_kN, axis=0)),
        "lost_resistance_kN": (("loss", "model", "vertical_factor", "direction"), lost_kN),
        "lost_usable_resistance_kN": (("loss", "vertical_factor", "direction"), np.min(lost_kN, axis=1)),
        "resistance_ratio": (("model", "direction"), intact),
        "usable_ratio": ("direction", np.min(intact, axis=0)),
        "lost_resistance_ratio": (("loss", "model", "direction"), lost),
        "lost_usable_ratio": ("direction", np.min(lost, axis=(0, 1))),
    }


def _pushed_apart(intact: Arrangement, pushed: Pushed, level: int, members: list[str]) -> dict[str, Any]:
    """What the elastic chains do on a level deck: first full member, movement there, slack chains, lifted pads."""
    full = [members[row] for row in pushed.full[level]]
    ended = pushed.reason[level]
    names = [name if reason in FULL else f"none, {reason}" for name, reason in zip(full, ended, strict=True)]
    chains = len(intact.capacity_kN)
    rate = rate_kN_per_m(resisting(intact) * counted(intact), intact.stiffness_kN, intact.length_m)
    return {
        "first_full": ("direction", names),
        "first_full_movement_m": ("direction", pushed.movement_m[level]),
        "slack_chains": ("direction", [_listed(row, members[:chains]) for row in pushed.is_slack[level]]),
        "lifted_contacts": ("direction", [_listed(row, members[chains:]) for row in pushed.is_lifted[level]]),
        "share_movement_m": (
            "direction",
            movement_m(rate * (intact.capacity_kN > 0.0), intact.capacity_kN, intact.movement_m),
        ),
    }


def _listed(chosen: NDArray[np.bool_], names: list[str]) -> str:
    return ", ".join(name for name, taken in zip(names, chosen, strict=True) if taken) or "none"


def _bounds(intact: Arrangement) -> dict[str, Any]:
    (upper_kN, velocity), (lower_kN, _) = free_kN(intact, with_friction=True), free_kN(intact, with_friction=False)
    apart_m = intact.restraint.contact_m[intact.is_pad] - intact.restraint.reference_m
    size_m = (float(np.max(np.linalg.norm(apart_m[:, :2], axis=-1))), -float(np.mean(apart_m[:, 2])))
    return {
        "upper_bound_ratio": ("direction", upper_kN / intact.weight_kN),
        "lower_bound_ratio": ("direction", lower_kN / intact.weight_kN),
        "mechanism": ("direction", [mechanism(motion, *size_m) for motion in velocity]),
    }


def _schedule(chains: Sequence[Chain], intact: Arrangement) -> dict[str, Any]:
    pull_ratio = intact.restraint.pull_ratio
    return {
        "chain_length_m": ("chain", intact.length_m),
        "chain_vertical_angle_deg": ("chain", lashing.vertical_angle_deg(pull_ratio)),
        "chain_plan_angle_deg": ("chain", lashing.plan_angle_deg(pull_ratio)),
        "chain_capacity_kN": ("chain", np.where(intact.fixed_kN > 0.0, intact.fixed_kN, intact.capacity_kN)),
        "chain_method": ("chain", [chain.method for chain in chains]),
        "chain_weakest": ("chain", list(gear_of(chains).weakest)),
    }
