"""The tables of move.toml: what is refused, word for word, and what is taken."""

import tomllib
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pint
import pytest
from pydantic import ConfigDict

from shared.errors import InputError
from shared.inputs import Model, defaults_of, load_toml
from transport.securing.inputs import Chain, Contact, Securing, Unit, arrangement_faults

SAMPLE = Path(__file__).parents[3] / "samples" / "sheltered_morning" / "move.toml"
Built = Callable[..., Any]
PAIRS = (
    "sawn timber on laminate or plywood; sawn timber on grooved aluminium; "
    "sawn timber on stainless sheet or shrink film; "
    "planed wood on laminate or plywood; planed wood on grooved aluminium; planed wood on stainless sheet; "
    "plastic pallet on laminate or plywood; plastic pallet on grooved aluminium; plastic pallet on stainless sheet; "
    "metal rough unpainted on same; metal rough painted on same; metal smooth painted on same; "
    "metal smooth on metal smooth; steel crate on laminate or plywood; steel crate on grooved aluminium; "
    "steel crate on stainless sheet; concrete rough on sawn wood; certified anti-slip rubber"
)
REFUSED = [
    (
        Chain,
        {"lc_kN": 322.0},
        (
            "lc_kN is 322, allowed up to 168 for 16 mm of grade 8 (table 160 kN); it looks like the breaking load or "
            "daN: 322 daN are 3.22 kN"
        ),
    ),
    (
        Chain,
        {"lc_kN": 1600.0, "size_mm": 20.0, "stf_kN": None},
        (
            "lc_kN is 1600, allowed up to 251.3 for 20 mm of grade 8 (half the breaking force of 502.7 kN); it looks "
            "like the breaking load or daN: 1600 daN are 16 kN"
        ),
    ),
    (Chain, {"stf_kN": 90.0}, "stf_kN is 90, allowed up to half of lc_kN (80); read STF, not LC, from the tag"),
    (
        Chain,
        {"on_deck_m": [2.4, 1.0, 0.75]},
        "the chain is 0.05 m long, allowed from 0.1; give its two different ends",
    ),
    (
        Chain,
        {"on_deck_m": [4.4, 1.4, 1.0]},
        "the anchor (z = 1 m) is not below the point on the load (z = 0.8 m); a chain must pull down",
    ),
    (Contact, {"normal": [0.0, 0.0, 0.5]}, "normal has the length 0.5, allowed 1; give a unit vector into the unit"),
    (Contact, {"normal": [1.0, 0.0, 0.0]}, "the normal of a pad must point up, [0, 0, 1]"),
    (Contact, {"kind": "stop"}, "the normal of a stop must lie level, such as [-1, 0, 0]"),
    (
        Contact,
        {"friction_ratio": 0.45},
        (
            "friction_ratio is 0.45, allowed up to 0.3 for metal rough painted on same, both swept clean, dry, "
            "none is published for wet"
        ),
    ),
    (
        Contact,
        {"friction_ratio": 0.5, "friction_pair": "sawn timber on grooved aluminium"},
        ("friction_ratio is 0.5, allowed up to 0.4 for sawn timber on grooved aluminium, both swept clean, dry or wet"),
    ),
    (
        Chain,
        {"method": "frictional"},
        (
            "method 'frictional' needs pair: a top-over lashing is one line with two legs, and both go slack when it "
            "breaks; give both legs the same pair"
        ),
    ),
    (Chain, {"pair": "T1"}, "pair is 'T1', allowed only with method 'frictional'; leave it out"),
    (
        Contact,
        {"friction_pair": "felt on ice"},
        (
            f"friction_pair 'felt on ice' is not in the friction table ({PAIRS}); take one of these, or "
            "write 'measured, ...' with the test"
        ),
    ),
    (
        Unit,
        {"mass_tolerance_t": 7.0},
        "mass_tolerance_t is 7 t of 31 t, allowed up to a fifth; weigh the unit",
    ),
    (
        Unit,
        {"centre_of_mass_m": [0.0, 0.0, -0.2]},
        "centre_of_mass_m lies -0.2 m above the deck, allowed above 0; z is measured upwards from the deck",
    ),
    (
        Securing,
        {"code": "49 CFR 393", "capacity_divisor": 2.0},
        "code 49 CFR 393 needs unit_length_m, for the number of tiedowns (393.110)",
    ),
    (
        Securing,
        {"code": "49 CFR 393", "unit_length_m": 6.0},
        (
            "capacity_divisor is 1.5, allowed from 2 with code 49 CFR 393: "
            "the working load limit of a chain is half its LC"
        ),
    ),
]


@pytest.mark.parametrize(("kind", "changes", "message"), REFUSED, ids=lambda value: str(value)[:40])
def test_refusals(built: Built, kind: type[Model], changes: dict[str, Any], message: str) -> None:
    with pytest.raises(InputError) as refusal:
        built(kind, **changes)
    assert str(refusal.value) == f"move.toml: {message}"


RANGES = [
    (
        Chain,
        "lc_kN",
        0.0,
        "input should be greater than 0 (got 0.0); read LC from the tag of the chain; 100 daN are 1 kN",
    ),
    (
        Chain,
        "lc_kN",
        16000.0,
        "input should be less than or equal to 2000 (got 16000.0); read LC from the tag of the chain; 100 daN are 1 kN",
    ),
    (
        Chain,
        "anchor_rating_kN",
        None,
        "field required; weakest of anchor, shackle and tensioner, this way",
    ),
    (Chain, "grade", 80, "input should be 4, 8, 10 or 12 (got 80)"),
    (Unit, "mass_t", 0.0, "input should be greater than 0 (got 0.0); weigh the unit as it will travel"),
    (
        Unit,
        "allowed_movement_m",
        0.5,
        "input should be less than or equal to 0.2 (got 0.5); how far the unit may slide before the chains hold it",
    ),
    (
        Contact,
        "friction_ratio",
        1.5,
        "input should be less than or equal to 1 (got 1.5); from the friction table, or measured",
    ),
    (
        Contact,
        "capacity_kN",
        None,
        "field required; from the calculation of the pad or stop and the deck below",
    ),
]


@pytest.mark.parametrize(("kind", "field", "value", "message"), RANGES)
def test_ranges(built: Built, kind: type[Model], field: str, value: Any, message: str) -> None:
    with pytest.raises(InputError) as refusal:
        built(kind, **{field: value})
    assert str(refusal.value).split(": ", 1)[1] == f"{field}: {message}"


def test_the_hint_converts_as_the_reference_library_does(built: Built, expected: Callable[[str], dict]) -> None:
    """Reference library: pint. 10 000 daN are 100 kN, or 10.197 tonnes-force."""
    unit = pint.UnitRegistry()
    force = unit.Quantity(10_000.0, "daN")
    assert force.to("kN").magnitude == pytest.approx(expected("chains")["CV51a"].expected)
    assert force.to("force_metric_ton").magnitude == pytest.approx(10.197, abs=1e-3)
    with pytest.raises(InputError, match=r"1500 daN are 15 kN$"):
        built(Chain, lc_kN=1500.0)


def test_the_sample_is_taken_as_it_stands() -> None:
    class Tables(Model):
        unit: Unit
        chain: tuple[Chain, ...]
        contact: tuple[Contact, ...]
        securing: Securing
        model_config = ConfigDict(extra="ignore")

    read = load_toml(SAMPLE, Tables)
    deck = tomllib.loads(SAMPLE.read_text(encoding="utf-8"))["trailer"]
    size = {"deck_length_m": deck["deck_length_m"], "deck_width_m": deck["deck_width_m"]}
    assert arrangement_faults(read.unit, read.chain, read.contact, **size) == []


def test_without_a_tag_for_stf_there_is_none(built: Built) -> None:
    assert built(Chain, stf_kN=None).stf_kN is None


def test_measured_friction_and_a_stop_without_friction_are_taken(built: Built) -> None:
    assert built(Contact, friction_pair="measured, tilt test of 2026-02-01", friction_ratio=0.42).friction_ratio == 0.42
    stop = built(Contact, kind="stop", normal=[-1.0, 0.0, 0.0], friction_ratio=0.0, friction_pair="none counted")
    assert stop.friction_ratio == 0.0


def test_the_divisor_is_listed_when_it_is_not_given(built: Built) -> None:
    (default,) = defaults_of(built(Securing, capacity_divisor=None))
    assert default == ("capacity_divisor", 1.5, "uneven sharing between chains, as CS = MSL / 1.5 in the CSS Code")


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
        lambda t: setattr(t, "contacts", [changed(c, position_m=(c.position_m[0], 0.0, 0.0)) for c in t.contacts]),
        "contact: 4 pads that span no area, allowed at least 3 that are not in a line; give the corners of the pads",
    ),
    (
        lambda t: setattr(t, "unit", changed(t.unit, centre_of_mass_m=(0.0, 1.05, 1.2))),
        (
            "unit.centre_of_mass_m: the centre of mass lies 0.05 m inside the outline of the pads, allowed more than "
            "its tolerance; the unit would not stand by itself"
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
]


@pytest.mark.parametrize(("spoil", "message"), FAULTS, ids=range(len(FAULTS)))
def test_faults_between_the_tables(tables: SimpleNamespace, spoil: Callable[[Any], None], message: str) -> None:
    spoil(tables)
    faults = arrangement_faults(tables.unit, tables.chains, tables.contacts, deck_length_m=12.0, deck_width_m=3.0)
    assert [str(fault) for fault in faults] == [message]


def test_all_faults_come_in_one_run(tables: SimpleNamespace) -> None:
    for spoil, _ in (FAULTS[0], FAULTS[3], FAULTS[8]):
        spoil(tables)
    faults = arrangement_faults(tables.unit, tables.chains, tables.contacts, deck_length_m=12.0, deck_width_m=3.0)
    assert [fault.field for fault in faults] == ["chain[2].tag", "contact[4].normal", "chain[0].on_deck_m"]


def test_the_sound_tables_have_no_fault(tables: SimpleNamespace) -> None:
    assert arrangement_faults(tables.unit, tables.chains, tables.contacts, deck_length_m=12.0, deck_width_m=3.0) == []
