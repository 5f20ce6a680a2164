"""Faults between the tables, word for word, and the tables that have none."""

from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shared.inputs import Model
from transport.securing.faults import arrangement_faults
from transport.securing.inputs import Anchor

Built = Callable[..., Any]
DECK = {"deck_length_m": 12.0, "deck_width_m": 3.0}


def changed(item: Model, **changes: Any) -> Any:
    return item.model_copy(update=changes)


FAULTS = [
    (
        lambda t: t.chains.__setitem__(2, changed(t.chains[2], tag="C1")),
        "chain[2].tag: 'C1' stands twice; give each chain its own tag",
    ),
    (
        lambda t: t.chains.__setitem__(6, changed(t.chains[6], method="frictional", pair="T1")),
        "chain[6].pair: 'T1' stands on 1 chain, allowed on 2: the two legs of one top-over lashing",
    ),
    (
        lambda t: t.contacts.__setitem__(1, changed(t.contacts[1], name="pad 0")),
        "contact[1].name: 'pad 0' stands twice; give each contact its own name",
    ),
    (
        lambda t: t.contacts.__setitem__(4, changed(t.contacts[4], normal=(1.0, 0.0, 0.0))),
        "contact[4].normal: stop 'front' faces away from the unit; the normal points from the stop into the unit",
    ),
    (
        lambda t: t.contacts.__delitem__(slice(2, 6)),
        "contact: 2 pads that span no area, allowed at least 3 that are not in a line; give the corners of the pads",
    ),
    (
        lambda t: setattr(
            t,
            "contacts",
            [changed(c, position_m=(c.position_m[0] - c.position_m[1] / 4, 0.0, 0.0)) for c in t.contacts],
        ),
        "contact: 4 pads that span no area, allowed at least 3 that are not in a line; give the corners of the pads",
    ),
    (
        lambda t: setattr(t, "unit", changed(t.unit, centre_of_mass_m=(0.0, 1.05, 1.2))),
        (
            "unit.centre_of_mass_m: the centre of mass lies 0.05 m inside the outline of the pads, allowed more than "
            "its tolerance inside; the unit would not stand by itself"
        ),
    ),
    (
        lambda t: setattr(t, "unit", changed(t.unit, centre_of_mass_m=(0.0, 1.5, 1.2))),
        (
            "unit.centre_of_mass_m: the centre of mass lies 0.4 m outside the outline of the pads, allowed more than "
            "its tolerance inside; the unit would not stand by itself"
        ),
    ),
    (
        lambda t: setattr(t, "contacts", [changed(c, capacity_kN=70.0) for c in t.contacts]),
        "contact: all pads together carry 280 kN, the unit weighs 309 kN; use stronger or more pads",
    ),
    (
        lambda t: t.chains.__setitem__(0, changed(t.chains[0], on_deck_m=(6.4, 1.4, 0.0))),
        "chain[0].on_deck_m: the anchor of 'C1' is off the deck of 12 m by 3 m; measure from the middle of the deck",
    ),
    (
        lambda t: t.chains.__setitem__(0, changed(t.chains[0], on_deck_m=(1.0, 0.5, 0.0))),
        (
            "chain[0].on_deck_m: the anchor of 'C1' lies under the unit, inside the outline of its pads; give "
            "the anchor on the deck beside it"
        ),
    ),
    (
        lambda t: t.contacts.append(changed(t.contacts[0], name="pad 4", position_m=(2.2, 1.105, 0.0))),
        (
            "contact[6].position_m: pad 'pad 4' stands where 'pad 0' stands, and would count twice; give each its own "
            "place"
        ),
    ),
    (
        lambda t: t.contacts.__setitem__(4, changed(t.contacts[4], position_m=(26.0, 0.0, 0.3))),
        (
            "contact[4].position_m: stop 'front' is off the deck of 12 m by 3 m; measure from the middle of the deck; "
            "likely slip: a tenth of it is 2.6 m"
        ),
    ),
    (
        lambda t: t.contacts.__setitem__(0, changed(t.contacts[0], capacity_kN=16000.0)),
        (
            "contact[0].capacity_kN: pad 'pad 0' carries 16000 kN, allowed up to 20 times the weight of the unit, "
            "304.1 kN, more is of no use; likely slip: 16000 daN are 160 kN, or 16000 kg are 156.9 kN, or 16000 N are "
            "16 kN"
        ),
    ),
    (
        lambda t: t.contacts.__setitem__(0, changed(t.contacts[0], position_m=(2.2, 1.1, 15.0))),
        (
            "contact: a pad lies 15 m above the deck, the centre of mass 1.2 m; pads lie below the unit, in metres "
            "from the deck; likely slip: 15 mm are 0.015 m, or 15 cm are 0.15 m"
        ),
    ),
    (
        lambda t: setattr(t, "unit", changed(t.unit, mass_t=1400.0)),
        (
            "contact: all pads together carry 1600 kN, the unit weighs 1.374e+04 kN; use stronger or more pads; likely "
            "slip: 1400 kg are 1.4 t"
        ),
    ),
    (
        lambda t: t.chains.append(changed(t.chains[0], tag="C9")),
        (
            "chain[8].on_load_m: 'C9' stands twice: it runs between the same two points as 'C1'; take one out, or "
            "measure the ends of both"
        ),
    ),
    (
        lambda t: t.chains.__setitem__(0, changed(t.chains[0], on_load_m=(2.4, 1.0, 8.0))),
        (
            "chain[0].on_load_m: 'C1' leaves the load 8 m above the deck, allowed up to 4 times the height of the "
            "centre of mass, 1.2 m; likely slip: a tenth of it is 0.8 m"
        ),
    ),
    (
        lambda t: t.chains.__setitem__(0, changed(t.chains[0], on_deck_m=(44.0, 1.4, 0.0))),
        (
            "chain[0].on_deck_m: the anchor of 'C1' is off the deck of 12 m by 3 m; measure from the middle of the "
            "deck; likely slip: a tenth of it is 4.4 m"
        ),
    ),
    (
        lambda t: t.chains.__setitem__(0, changed(t.chains[0], on_load_m=(-2.4, -1.0, 0.8))),
        (
            "chain[0].on_deck_m: 'C1' runs through the unit: it leaves the load on the far side of its anchor and "
            "would cross the middle 0.52 m above the deck, below the centre of mass; is a sign of x or y wrong? Give "
            "the point where the chain leaves the load"
        ),
    ),
    (
        lambda t: t.chains.__setitem__(0, changed(t.chains[0], measured_diameter_mm=14.3)),
        (
            "chain[0].measured_diameter_mm: discard 'C1': its links are worn to 14.3 mm, allowed from 14.4 mm, nine "
            "tenths of 16 mm"
        ),
    ),
    (
        lambda t: t.chains.__setitem__(0, changed(t.chains[0], measured_diameter_mm=1.55)),
        (
            "chain[0].measured_diameter_mm: discard 'C1': its links are worn to 1.55 mm, allowed from 14.4 mm, nine "
            "tenths of 16 mm; likely slip: 1.55 cm are 15.5 mm"
        ),
    ),
    (
        lambda t: t.chains.__setitem__(
            0, changed(t.chains[0], measured_diameter_mm=15.0, measured_pitch_mm=51.5, new_pitch_mm=48.0)
        ),
        (
            "chain[0].measured_pitch_mm: discard 'C1': its links are stretched to 51.5 mm from 48 mm, allowed up to "
            "51.4 mm with the wear measured"
        ),
    ),
    (
        lambda t: t.chains.__setitem__(0, changed(t.chains[0], measured_pitch_mm=48.0, new_pitch_mm=51.0)),
        (
            "chain[0].measured_pitch_mm: 'C1' measures 48 mm, new 51 mm, and no chain shrinks; are the two swapped, or "
            "taken over different links?"
        ),
    ),
]


@pytest.mark.parametrize(("spoil", "message"), FAULTS, ids=range(len(FAULTS)))
def test_faults_between_the_tables(tables: SimpleNamespace, spoil: Callable[[Any], None], message: str) -> None:
    spoil(tables)
    faults = arrangement_faults(tables.unit, tables.chains, tables.contacts, **DECK)
    assert [str(fault) for fault in faults] == [message]


def test_all_faults_come_in_one_run(tables: SimpleNamespace) -> None:
    for spoil, _ in (FAULTS[0], FAULTS[3], FAULTS[9]):
        spoil(tables)
    faults = arrangement_faults(tables.unit, tables.chains, tables.contacts, **DECK)
    assert [fault.field for fault in faults] == ["chain[2].tag", "contact[4].normal", "chain[0].on_deck_m"]


def test_the_sound_tables_have_no_fault(tables: SimpleNamespace) -> None:
    assert arrangement_faults(tables.unit, tables.chains, tables.contacts, **DECK) == []


def test_a_chain_at_its_limit_of_wear_and_pitch_is_taken(tables: SimpleNamespace) -> None:
    """DGUV Regel 109-004, section 7: d0 16, t0 48, d 15 is rejected above 51.4 mm."""
    worn = {"measured_diameter_mm": 15.0, "measured_pitch_mm": 51.3, "new_pitch_mm": 48.0}
    tables.chains[0] = changed(tables.chains[0], **worn)
    tables.chains[1] = changed(tables.chains[1], measured_diameter_mm=14.41)
    assert arrangement_faults(tables.unit, tables.chains, tables.contacts, **DECK) == []


def test_two_legs_of_one_top_over_lashing_hang_on_two_anchors(tables: SimpleNamespace, built: Built) -> None:
    legs = [changed(tables.chains[n], method="frictional", pair="T1", anchor=f"A{n}") for n in (4, 5)]
    tables.chains[4:6] = legs
    rated = {"greatest_vertical_angle_deg": 90.0}
    anchors = [built(Anchor, name=leg.anchor, position_m=list(leg.on_deck_m), **rated) for leg in legs]
    assert arrangement_faults(tables.unit, tables.chains, tables.contacts, anchors, **DECK) == []


@pytest.mark.parametrize(
    ("changes", "chain_changes", "message"),
    [
        (
            {},
            {"anchor": "A 1"},
            "chain[0].anchor: no [[anchor]] is called 'A 1'; did you mean 'A1'?",
        ),
        (
            {},
            {"anchor": "ring at the gooseneck"},
            "chain[0].anchor: no [[anchor]] is called 'ring at the gooseneck'",
        ),
        (
            {},
            {},
            (
                "chain[0]: 'C1' meets the deck at the anchor 'A1' but does not name it; write anchor, so that its "
                "rating and angles are checked"
            ),
        ),
        (
            {"position_m": [4.4, 1.42, 0.0]},
            {"anchor": "A1"},
            (
                "chain[0].on_deck_m: 'C1' meets the deck 20 mm from its anchor 'A1', allowed up to 10 mm; measure both "
                "again"
            ),
        ),
        (
            {"rating_kN": 100.0},
            {"anchor": "A1"},
            (
                "chain[0].anchor_rating_kN: 'C1' counts on 200 kN at its anchor 'A1', rated for 100 kN; give no more "
                "than that"
            ),
        ),
        (
            {"least_vertical_angle_deg": 30.0},
            {"anchor": "A1"},
            (
                "chain[0].on_load_m: 'C1' pulls its anchor 'A1' at 21.4 deg to the deck, rated from 30 to 60 deg; take "
                "another anchor or move the chain"
            ),
        ),
        (
            {"position_m": [6.4, 1.4, 0.0]},
            {},
            "anchor[0].position_m: 'A1' is off the deck of 12 m by 3 m; measure from the middle of the deck",
        ),
    ],
)
def test_faults_between_chains_and_anchors(
    tables: SimpleNamespace, built: Built, changes: dict[str, Any], chain_changes: dict[str, Any], message: str
) -> None:
    tables.chains[0] = changed(tables.chains[0], **chain_changes)
    faults = arrangement_faults(tables.unit, tables.chains, tables.contacts, [built(Anchor, **changes)], **DECK)
    assert [str(fault) for fault in faults] == [message]


def test_anchors_stand_once(tables: SimpleNamespace, built: Built) -> None:
    tables.chains[0] = changed(tables.chains[0], anchor="A1")
    anchors = [built(Anchor), built(Anchor), built(Anchor, name="A2", position_m=[-4.4, 0.0, 0.0])]
    faults = arrangement_faults(tables.unit, tables.chains, tables.contacts, anchors, **DECK)
    assert [str(fault) for fault in faults] == [
        "anchor[1].name: 'A1' stands twice; give each anchor its own name",
        "anchor[1].position_m: 'A1' is where 'A1' is; give each lashing point once",
    ]


def test_names_of_anchors_are_looked_up_only_in_a_list_of_anchors(tables: SimpleNamespace) -> None:
    tables.chains[0] = changed(tables.chains[0], anchor="A1")
    assert arrangement_faults(tables.unit, tables.chains, tables.contacts, **DECK) == []
    assert len(arrangement_faults(tables.unit, tables.chains, tables.contacts, [], **DECK)) == 1


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=50)
@given(st.floats(0.1, 60.0), st.floats(0.0, 3.0))
def test_a_chain_that_is_more_worn_or_longer_is_never_taken_again(
    tables: SimpleNamespace, pitch_mm: float, more_mm: float
) -> None:
    def faults_of(diameter_mm: float, measured_mm: float) -> int:
        worn = {"measured_diameter_mm": diameter_mm, "measured_pitch_mm": measured_mm, "new_pitch_mm": 48.0}
        chains = [changed(tables.chains[0], **worn), *tables.chains[1:]]
        return len(arrangement_faults(tables.unit, chains, tables.contacts, **DECK))

    assert faults_of(14.4 - 0.01 - more_mm, 48.0) >= 1
    if pitch_mm > 51.4:
        assert faults_of(15.0, pitch_mm + more_mm) >= 1
