"""What is said although nothing is refused, word for word."""

from collections.abc import Callable
from datetime import date
from types import SimpleNamespace
from typing import Any

import pytest

from shared.inputs import Model
from transport.securing.faults import arrangement_faults
from transport.securing.remarks import remarks

AS_OF = date(2026, 3, 9)
CARED = {"inspected_on": date(2026, 2, 1), "shackle_rating_kN": 200.0, "tensioner_rating_kN": 160.0}
ACROSS = (
    "Seen from above outside the 6 to 55 deg of diagonal lashing to the long axis, so that they hold along one axis: "
    "C5 (90 deg), C6 (90 deg), C7 (90 deg), C8 (90 deg)"
)


def changed(item: Model, **changes: Any) -> Any:
    return item.model_copy(update=changes)


@pytest.fixture
def cared(tables: SimpleNamespace) -> SimpleNamespace:
    """The scheme with every rating and date, so that only its pure side chains are remarked upon."""
    tables.chains = [changed(chain, **CARED) for chain in tables.chains]
    return tables


def said(tables: SimpleNamespace) -> tuple[str, ...]:
    assert arrangement_faults(tables.unit, tables.chains, tables.contacts) == []
    return remarks(tables.unit, tables.chains, tables.contacts, as_of=AS_OF)


def put(number: int, **changes: Any) -> Callable[[Any], None]:
    return lambda tables: tables.chains.__setitem__(number, changed(tables.chains[number], **changes))


def contact(number: int, **changes: Any) -> Callable[[Any], None]:
    return lambda tables: tables.contacts.__setitem__(number, changed(tables.contacts[number], **changes))


def unit(**changes: Any) -> Callable[[Any], None]:
    return lambda tables: setattr(tables, "unit", changed(tables.unit, **changes))


SAID = [
    (put(0, on_load_m=(2.4, 1.0, 0.5)), "Flatter to the deck than the 20 deg of direct lashing: C1 (14 deg)"),
    (
        put(4, on_load_m=(1.2, 0.9, 1.4)),
        (
            "Steeper to the deck than the 65 deg of direct lashing, so that less than 0.42 of their pull resists a "
            "push: C5 (70 deg)"
        ),
    ),
    (
        put(0, on_load_m=(1.4, 1.0, 1.6)),
        "Chains of very unequal length hold a push right: C5 1.22 m, C1 3.42 m; the shorter takes more of it",
    ),
    (
        put(0, on_load_m=(-2.0, 0.0, 3.4)),
        "C1 crosses the middle of the unit 2.34 m above the deck; confirm that it is clear",
    ),
    (
        put(1, on_deck_m=(4.4, 1.4, 0.0)),
        "C1, C2 hang on one lashing point; each may count on 1/2 of its rating",
    ),
    (
        put(1, on_deck_m=(4.4, 1.3, 0.0)),
        "C1 and C2 meet the deck 100 mm apart; if that is one lashing point, give both the same on_deck_m",
    ),
    (
        put(0, shackle_rating_kN=None),
        "No rating of its own is given for the shackle of C1; confirm that it is not below LC",
    ),
    (
        put(0, tensioner_rating_kN=None),
        "No rating of its own is given for the tensioner of C1; confirm that it is not below LC",
    ),
    (
        put(0, measured_pitch_mm=49.6, new_pitch_mm=48.0),
        (
            "C1 has stretched by 3.3 %; some instructions for lashing chains discard from 3 %: read the instructions "
            "of its maker"
        ),
    ),
    (put(0, inspected_on=None), "No date of inspection is given for C1; look at the tag before use"),
    (
        put(0, inspected_on=date(2025, 3, 7)),
        "The last inspection is more than a year old: C1; a competent person has to inspect them",
    ),
    (put(0, inspected_on=date(2026, 3, 10)), "The date of inspection lies after 2026-03-09: C1; correct it"),
    (
        put(0, lc_kN=16.0, stf_kN=None, anchor_rating_kN=40.0, shackle_rating_kN=40.0, tensioner_rating_kN=40.0),
        (
            "C1: lc_kN is 16, far below the 168 that 16 mm of grade 8 may have; likely slip: 16 t are 156.9 kN; read "
            "LC from the tag"
        ),
    ),
    (
        put(0, lc_kN=1.6, stf_kN=None, anchor_rating_kN=4.0, shackle_rating_kN=4.0, tensioner_rating_kN=4.0),
        (
            "C1: lc_kN is 1.6, far below the 168 that 16 mm of grade 8 may have; likely slip: a hundred times as much "
            "is 160 kN; read LC from the tag"
        ),
    ),
    (
        put(0, stf_kN=1.6),
        (
            "C1: stf_kN is 1.6, far below what a tensioner reaches; likely slip: 1.6 t are 15.69 kN; read STF from the "
            "tag"
        ),
    ),
    (
        put(0, stf_kN=60.0),
        (
            "C1: stf_kN is 60, more than the 40 that tensioners drawn by hand usually reach; read STF, not LC, from "
            "the tag"
        ),
    ),
    (
        put(0, anchor_rating_kN=20.0),
        (
            "C1: anchor_rating_kN is 20, less than a fifth of its LC, and governs; likely slip: 20 t are 196.1 kN; "
            "confirm it"
        ),
    ),
    (
        put(0, shackle_rating_kN=8.5),
        (
            "C1: shackle_rating_kN is 8.5, less than a fifth of its LC, and governs; likely slip: 8.5 t are 83.36 kN; "
            "confirm it"
        ),
    ),
    (
        put(0, anchor_rating_kN=500.0),
        (
            "C1: anchor_rating_kN is 500, more than 3 times its LC; likely slip: 500 daN are 5 kN, or 500 kg are "
            "4.903 kN; were it too high, the line would be weaker than counted: confirm it"
        ),
    ),
    (put(0, measured_diameter_mm=19.0), "C1: the links measure 19 mm, thicker than 16 mm; is size_mm right?"),
    (
        put(0, edge_radius_mm=0.04),
        "C1: edge_radius_mm is 0.04, a sharp edge; if that is m or cm, correct it",
    ),
    (
        contact(0, capacity_kN=2500.0),
        (
            "pad 'pad 0': capacity_kN is 2500, 8.2 times the weight of the unit; likely slip: 2500 daN are 25 kN, or "
            "2500 kg are 24.52 kN; confirm it"
        ),
    ),
    (
        unit(centre_of_mass_m=(0.0, 0.0, 0.25)),
        "The centre of mass lies 0.25 m above the deck, the centre of wind 1.3 m; confirm both",
    ),
]


@pytest.mark.parametrize(("alter", "sentence"), SAID, ids=range(len(SAID)))
def test_remarks(cared: SimpleNamespace, alter: Callable[[Any], None], sentence: str) -> None:
    alter(cared)
    assert sentence in said(cared)


def test_the_sound_scheme_has_only_its_side_chains_remarked_upon(cared: SimpleNamespace) -> None:
    assert said(cared) == (ACROSS,)


def test_unlike_chains_are_named_for_each_push_they_share(cared: SimpleNamespace) -> None:
    put(0, size_mm=13.0, lc_kN=100.0, tensioner_rating_kN=100.0)(cared)
    found = [one for one in said(cared) if one != ACROSS]
    text = "Unlike chains hold a push {}: 13 mm grade 8, 16 mm grade 8; the thicker takes more for the same stretch"
    assert found == [text.format("rearward"), text.format("right")]


def test_a_flat_top_over_leg_is_remarked_upon(cared: SimpleNamespace) -> None:
    """Glossary read at ladungssicherung.eu: top-over lashing from 35 deg."""
    for number, y in ((4, 1.0), (5, -1.0)):
        ends = {"on_load_m": (1.2, 0.5 * y, 0.6), "on_deck_m": (1.2, 1.4 * y, 0.0)}
        put(number, method="frictional", pair="T1", **ends)(cared)
    assert "Flatter to the deck than the 35 deg of top-over lashing: C5 (34 deg), C6 (34 deg)" in said(cared)


def test_an_inspection_of_a_year_ago_is_still_good(cared: SimpleNamespace) -> None:
    put(0, inspected_on=date(2025, 3, 9))(cared)
    assert said(cared) == (ACROSS,)
