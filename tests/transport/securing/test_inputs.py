"""The tables of move.toml: what is refused, word for word, and what is taken."""

import tomllib
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pint
import pytest
from pydantic import ConfigDict

from shared.errors import InputError
from shared.inputs import Model, defaults_of, load_toml
from transport.securing.inputs import Anchor, Chain, Contact, Securing, Unit, arrangement_faults

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
        {"stf_kN": 1600.0},
        (
            "stf_kN is 1600, allowed up to half of lc_kN (80); likely slip: 1600 daN are 16 kN, or 1600 kg are "
            "15.69 kN; read STF, not LC, from the tag"
        ),
    ),
    (
        Chain,
        {"stf_kN": 50.0, "edge_radius_mm": 10.0},
        "stf_kN is 50, allowed up to half of lc_kN over an edge of 10 mm (40); read STF, not LC, from the tag",
    ),
    (
        Chain,
        {"measured_pitch_mm": 49.0},
        (
            "measured_pitch_mm and new_pitch_mm come together, or neither; both over the same links, of the used chain "
            "and as new"
        ),
    ),
    (
        Chain,
        {"on_deck_m": [4.4, 1.4, 20.0]},
        (
            "the anchor (z = 20 m) is not below the point on the load (z = 0.8 m); a chain must pull down; likely "
            "slip: 20 mm are 0.02 m, or 20 cm are 0.2 m"
        ),
    ),
    (
        Anchor,
        {"least_vertical_angle_deg": 70.0},
        (
            "least_vertical_angle_deg is 70, above greatest_vertical_angle_deg of 60; 0 lies on the deck, 90 points "
            "straight up"
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
        {"code": ["EN 12195-1", "49 CFR 393"]},
        "code 49 CFR 393 needs unit_length_m, for the number of tiedowns (393.110)",
    ),
    (
        Securing,
        {"code": ["CTU Code", "EN 12195-1", "CTU Code"]},
        "code names CTU Code twice; give each code once",
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
        322.0,
        (
            "is 322, allowed up to 168 for 16 mm of grade 8 (table 160 kN); likely slip: half of a breaking load of "
            "322 kN is 161 kN; read LC, size and grade from the tag"
        ),
    ),
    (
        Chain,
        "lc_kN",
        16000.0,
        (
            "is 16000, allowed up to 168 for 16 mm of grade 8 (table 160 kN); likely slip: 16000 daN are 160 kN, or "
            "16000 kg are 156.9 kN; read LC, size and grade from the tag"
        ),
    ),
    (
        Chain,
        "lc_kN",
        1600.0,
        (
            "is 1600, allowed up to 168 for 16 mm of grade 8 (table 160 kN); likely slip: a tenth of it is 160 kN; "
            "read LC, size and grade from the tag"
        ),
    ),
    (
        Chain,
        "lc_kN",
        180.0,
        "is 180, allowed up to 168 for 16 mm of grade 8 (table 160 kN); read LC, size and grade from the tag",
    ),
    (
        Chain,
        "anchor_rating_kN",
        None,
        "field required; rating of the lashing point on the deck in the direction of the pull",
    ),
    (Chain, "grade", 80, "input should be 4, 8, 10 or 12 (got 80); grade 80 is 8, grade 100 is 10"),
    (
        Chain,
        "size_mm",
        1.6,
        "is 1.6, allowed 4 to 45 mm, the steel of the link; likely slip: 1.6 cm are 16 mm, or 1.6 in are 40.64 mm",
    ),
    (
        Chain,
        "anchor_rating_kN",
        2000.0,
        (
            "is 2000, allowed 0 to 750 kN, for lashing points carry up to some 300, and more than its LC helps no "
            "chain; likely slip: 2000 daN are 20 kN, or 2000 kg are 19.61 kN"
        ),
    ),
    (
        Chain,
        "shackle_rating_kN",
        8500.0,
        (
            "is 8500, allowed 0 to 750 kN, for lashing points carry up to some 300, and more than its LC helps no "
            "chain; likely slip: 8500 daN are 85 kN, or 8500 kg are 83.36 kN, or 8500 N are 8.5 kN"
        ),
    ),
    (
        Chain,
        "tensioner_rating_kN",
        -1.0,
        ("is -1, allowed 0 to 750 kN, for lashing points carry up to some 300, and more than its LC helps no chain"),
    ),
    (Chain, "tensioner_rating_kN", 0.0, "input should be greater than 0 (got 0.0); read LC from its tag"),
    (
        Chain,
        "edge_radius_mm",
        -5.0,
        (
            "input should be greater than or equal to 0 (got -5.0); radius of the edge that the chain runs over; else "
            "leave it out"
        ),
    ),
    (
        Anchor,
        "rating_kN",
        20000.0,
        (
            "is 20000, allowed 0 to 750 kN, for lashing points carry up to some 300, and more than its LC helps no "
            "chain; likely slip: 20000 daN are 200 kN, or 20000 kg are 196.1 kN, or 20000 N are 20 kN"
        ),
    ),
    (Anchor, "least_vertical_angle_deg", None, "field required; of the pull to the deck, as rated"),
    (Unit, "mass_t", 31000.0, "is 31000, allowed 0 to 2000 t, the unit as it travels; likely slip: 31000 kg are 31 t"),
    (Unit, "mass_t", -31.0, "input should be greater than 0 (got -31.0); weigh the unit as it will travel"),
    (
        Unit,
        "mass_tolerance_t",
        500.0,
        "is 500, allowed 0 to 200 t, the error of the weighing; likely slip: 500 kg are 0.5 t",
    ),
    (
        Unit,
        "centre_of_mass_tolerance_m",
        50.0,
        ("is 50, allowed 0 to 1 m, how well the point is known; likely slip: 50 mm are 0.05 m, or 50 cm are 0.5 m"),
    ),
    (Unit, "mass_t", 0.0, "input should be greater than 0 (got 0.0); weigh the unit as it will travel"),
    (
        Unit,
        "allowed_movement_m",
        0.5,
        (
            "is 0.5, allowed 0 to 0.2 m, the slide until the chains hold; likely slip: 0.5 cm are 0.005 m, or a tenth "
            "of it is 0.05 m"
        ),
    ),
    (
        Unit,
        "allowed_movement_m",
        20.0,
        "is 20, allowed 0 to 0.2 m, the slide until the chains hold; likely slip: 20 mm are 0.02 m",
    ),
    (Contact, "friction_ratio", 1.5, "is 1.5, allowed 0 to 1 from the friction table or a test"),
    (
        Contact,
        "friction_ratio",
        30.0,
        "is 30, allowed 0 to 1 from the friction table or a test; likely slip: 30 % are 0.3",
    ),
    (
        Contact,
        "capacity_kN",
        40000.0,
        (
            "is 40000, allowed 0 to 20000 kN, pad or stop and the deck below; likely slip: 40000 daN are 400 kN, or "
            "40000 kg are 392.3 kN, or 40000 N are 40 kN"
        ),
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


KNOWN = "input should be 'EN 12195-1', 'CTU Code' or '49 CFR 393'"
ONLY = "one code or several, for a move by road; no rail or sea rows here"


@pytest.mark.parametrize(
    ("code", "message"),
    [
        ("CTU code", f"code[0]: {KNOWN} (got 'CTU code'); {ONLY} - did you mean 'CTU Code'?"),
        (["EN 12195-1", "CTU Code, sea area B"], f"code[1]: {KNOWN} (got 'CTU Code, sea area B'); {ONLY}"),
        ([], f"code: tuple should have at least 1 item after validation, not 0 (got ()); {ONLY}"),
    ],
)
def test_codes_that_are_not_held_are_refused(built: Built, code: Any, message: str) -> None:
    with pytest.raises(InputError) as refusal:
        built(Securing, code=code)
    assert str(refusal.value) == f"move.toml:1: {message}"


def test_one_code_or_several(built: Built) -> None:
    assert built(Securing).code == ("EN 12195-1",)
    every = ["49 CFR 393", "EN 12195-1", "CTU Code"]
    assert built(Securing, code=every, unit_length_m=6.0).code == tuple(every)


def test_the_hint_converts_as_the_reference_library_does(built: Built, expected: Callable[[str], dict]) -> None:
    """Reference library: pint. 10 000 daN are 100 kN, or 10.197 tonnes-force."""
    unit = pint.UnitRegistry()
    force = unit.Quantity(10_000.0, "daN")
    assert force.to("kN").magnitude == pytest.approx(expected("chains")["CV51a"].expected)
    assert force.to("force_metric_ton").magnitude == pytest.approx(10.197, abs=1e-3)
    with pytest.raises(InputError, match=r"10000 daN are 100 kN, or 10000 kg are 98\.07 kN"):
        built(Chain, lc_kN=10_000.0, size_mm=13.0)


@pytest.mark.parametrize("field", ["on_load_m", "on_deck_m"])
def test_positions_in_millimetres_are_named(built: Built, field: str) -> None:
    with pytest.raises(InputError) as refusal:
        built(Chain, **{field: [2400.0, 1000.0, 800.0]})
    assert [fault.message for fault in refusal.value.faults] == [
        f"is {value}, allowed -60 to 60 m, measured from the middle of the deck; likely slip: {slip}"
        for value, slip in (
            (2400, "2400 mm are 2.4 m, or 2400 cm are 24 m"),
            (1000, "1000 mm are 1 m, or 1000 cm are 10 m"),
            (800, "800 mm are 0.8 m, or 800 cm are 8 m"),
        )
    ]
    assert [fault.field for fault in refusal.value.faults] == [f"{field}[{axis}]" for axis in range(3)]


def test_a_size_that_is_not_in_the_table_is_held_to_half_its_breaking_force(built: Built) -> None:
    with pytest.raises(InputError) as refusal:
        built(Chain, lc_kN=2500.0, size_mm=20.0)
    assert str(refusal.value).split(": ", 1)[1] == (
        "lc_kN: is 2500, allowed up to 251.3 for 20 mm of grade 8 (half the breaking force of 502.7 kN); likely slip: "
        "a tenth of it is 250 kN; read LC, size and grade from the tag"
    )


def test_without_a_sound_size_only_the_size_is_a_fault(built: Built) -> None:
    with pytest.raises(InputError) as refusal:
        built(Chain, lc_kN=1600.0, size_mm=0.0)
    assert [fault.field for fault in refusal.value.faults] == ["size_mm"]


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


def test_the_gear_that_is_not_given_is_left_open(built: Built) -> None:
    plain = built(Chain)
    assert plain.edge_ratio == 1.0
    assert plain.anchor is plain.shackle_rating_kN is plain.tensioner_rating_kN is plain.inspected_on is None
    whole = built(Chain, edge_radius_mm=20.0, shackle_rating_kN=85.0, tensioner_rating_kN=160.0, anchor="A1")
    assert (whole.edge_ratio, whole.shackle_rating_kN, whole.anchor) == (0.7, 85.0, "A1")
    assert built(Chain, inspected_on=date(2026, 2, 1)).inspected_on == date(2026, 2, 1)
