"""What is wrong between the tables of the securing, though each is right by itself: whole list, and the contacts."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import numpy as np

from shared.arrays import Array
from shared.errors import Fault
from shared.tables import figure
from transport.securing.anchor_faults import anchor_faults
from transport.securing.chain_faults import chain_faults, run_faults
from transport.securing.slips import LENGTH, MASS, TOO_STRONG, looks_like, off_deck
from transport.securing.tipping import inside_m, on_one_line

if TYPE_CHECKING:
    from transport.securing.inputs import Anchor, Chain, Contact, Unit

__all__ = ["arrangement_faults"]


def arrangement_faults(
    unit: Unit,
    chains: Sequence[Chain],
    contacts: Sequence[Contact],
    anchors: Sequence[Anchor] | None = None,
    *,
    deck_length_m: float = np.inf,
    deck_width_m: float = np.inf,
) -> list[Fault]:
    """Everything that is wrong between the tables, though each is right by itself.

    Without the list of anchors the names of anchors on the chains are not looked up.
    Source: house rule, every fault in one run (practice).
    """
    deck_m = np.array([deck_length_m, deck_width_m])
    faults = [*_doubled("chain", "tag", [chain.tag for chain in chains])]
    faults += _doubled("contact", "name", [contact.name for contact in contacts])
    faults += _doubled("anchor", "name", [anchor.name for anchor in anchors or ()])
    faults += [*chain_faults(unit, chains), *_contact_faults(unit, contacts, deck_m)]
    faults += anchor_faults(chains, anchors, deck_m) if anchors is not None else []
    pad_m = np.array([contact.position_m for contact in contacts if contact.kind == "pad"]).reshape(-1, 3)
    if len(pad_m) < 3 or on_one_line(pad_m):
        text = f"{len(pad_m)} pads that span no area, allowed at least 3 that are not in a line"
        return [*faults, Fault("", "contact", f"{text}; give the corners of the pads")]
    return [*faults, *_pad_faults(unit, contacts, pad_m), *run_faults(unit, chains, pad_m, deck_m)]


def _doubled(table: str, field: str, names: list[str]) -> Iterator[Fault]:
    for number, name in enumerate(names):
        if name in names[:number]:
            yield Fault("", f"{table}[{number}].{field}", f"'{name}' stands twice; give each {table} its own {field}")


def _contact_faults(unit: Unit, contacts: Sequence[Contact], deck_m: Array) -> Iterator[Fault]:
    weight_kN, most = unit.mass_t * figure("securing_gravity_mps2"), figure("securing_most_weights_ratio")
    for number, contact in enumerate(contacts):
        field, called = f"contact[{number}]", f"{contact.kind} '{contact.name}'"
        inward_m = np.subtract(unit.centre_of_mass_m, contact.position_m)[:2] @ np.array(contact.normal[:2])
        if contact.kind == "stop" and not inward_m > 0.0:
            text = f"{called} faces away from the unit; the normal points from the stop into the unit"
            yield Fault("", f"{field}.normal", text)
        if not contact.capacity_kN <= most * weight_kN:
            slip = looks_like(contact.capacity_kN, TOO_STRONG[:3], 0.02 * weight_kN, 5.0 * weight_kN)
            text = f"{called} carries {contact.capacity_kN:g} kN, allowed up to {most:g} times the weight of "
            yield Fault("", f"{field}.capacity_kN", f"{text}the unit, {weight_kN:.4g} kN, more is of no use{slip}")
        if not (np.abs(contact.position_m[:2]) <= deck_m / 2.0).all():
            text = (
                f"{called} is off the deck of {deck_m[0]:g} m by {deck_m[1]:g} m; measure from the middle of the deck"
            )
            yield Fault("", f"{field}.position_m", f"{text}{off_deck(contact.position_m, deck_m)}")
        for other in contacts[:number]:
            if not np.linalg.norm(np.subtract(contact.position_m, other.position_m)) > figure("securing_same_point_m"):
                text = f"{called} stands where '{other.name}' stands, and would count twice; give each its own place"
                yield Fault("", f"{field}.position_m", text)


def _pad_faults(unit: Unit, contacts: Sequence[Contact], pad_m: Array) -> Iterator[Fault]:
    margin_m = float(inside_m(pad_m, np.array([unit.centre_of_mass_m]))[0])
    if not margin_m > 2.0**0.5 * unit.centre_of_mass_tolerance_m:
        where = "inside" if margin_m >= 0.0 else "outside"
        text = (
            f"the centre of mass lies {abs(margin_m):.3g} m {where} the outline of the pads, allowed more than its "
            "tolerance inside; the unit would not stand by itself"
        )
        yield Fault("", "unit.centre_of_mass_m", text)
    if not float(np.max(pad_m[:, 2])) < unit.centre_of_mass_m[2]:
        high_m, centre_m = float(np.max(pad_m[:, 2])), unit.centre_of_mass_m[2]
        text = f"a pad lies {high_m:g} m above the deck, the centre of mass {centre_m:g} m; pads lie below the unit, "
        slip = looks_like(high_m, LENGTH[:2], 0.001, 0.5 * centre_m)
        yield Fault("", "contact", f"{text}in metres from the deck{slip}")
    capacity_kN = sum(contact.capacity_kN for contact in contacts if contact.kind == "pad")
    gravity_mps2 = figure("securing_gravity_mps2")
    weight_kN = (unit.mass_t + unit.mass_tolerance_t) * gravity_mps2
    if not capacity_kN >= weight_kN:
        most_t = figure("securing_pads_filled_ratio") * capacity_kN / gravity_mps2
        slip = looks_like(unit.mass_t, (*MASS, ("a tenth of it is {1} t", 0.1)), 1.0, most_t)
        text = f"all pads together carry {capacity_kN:.4g} kN, the unit weighs {weight_kN:.4g} kN"
        yield Fault("", "contact", f"{text}; use stronger or more pads{slip if weight_kN > 3.0 * capacity_kN else ''}")
