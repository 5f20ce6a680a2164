"""The unit, its chains and its contacts, as they stand in `[unit]`, `[[chain]]`, `[[contact]]` and `[securing]`."""

from collections.abc import Iterator, Sequence
from typing import Annotated, Literal, Self

import numpy as np
from pydantic import Field, model_validator

from shared.arrays import Array
from shared.errors import Fault
from shared.inputs import Model, practice, quantity
from shared.tables import figure, published
from transport.securing.chains import largest_lc_kN
from transport.securing.tipping import inside_m, on_one_line

__all__ = ["Chain", "Contact", "Securing", "Unit", "arrangement_faults"]

Coordinate = Annotated[float, Field(ge=-60, le=60)]
Cosine = Annotated[float, Field(ge=-1, le=1)]
Point = tuple[Coordinate, Coordinate, Coordinate]


class Unit(Model):
    """Mirror, cell and carriage as one rigid body."""

    mass_t: float = quantity(gt=0, le=2000, help="weigh the unit as it will travel")
    mass_tolerance_t: float = quantity(ge=0, le=200, help="the error of the weighing")
    centre_of_mass_m: Point = Field(json_schema_extra={"remedy": "measured from the deck above the neutral point"})
    centre_of_mass_tolerance_m: float = quantity(ge=0, le=1, help="how well the centre of mass is known, each way")
    wind_area_front_m2: float = quantity(gt=0, le=500, help="area seen from ahead, cover included")
    wind_area_side_m2: float = quantity(gt=0, le=500, help="area seen from the side, cover included")
    wind_centre_m: Point = Field(json_schema_extra={"remedy": "centre of the area seen by the wind"})
    force_coefficient: float = quantity(gt=0, le=3, help="on the areas given, from a code or a test")
    lift_coefficient: float = quantity(ge=0, le=3, help="on the plan area, upwards, from a code or a test")
    plan_area_m2: float = quantity(gt=0, le=500, help="area seen from above")
    allowed_movement_m: float = quantity(gt=0, le=0.2, help="how far the unit may slide before the chains hold it")

    @model_validator(mode="after")
    def _plausible(self) -> Self:
        if not self.mass_tolerance_t <= 0.2 * self.mass_t:
            raise ValueError(
                f"mass_tolerance_t is {self.mass_tolerance_t:g} t of {self.mass_t:g} t, allowed up to a fifth; "
                "weigh the unit"
            )
        if not self.centre_of_mass_m[2] > 0.0:
            raise ValueError(
                f"centre_of_mass_m lies {self.centre_of_mass_m[2]:g} m above the deck, allowed above 0; "
                "z is measured upwards from the deck"
            )
        return self


class Chain(Model):
    """One straight lashing line from the load to the deck; a top-over lashing is two of them."""

    tag: str = Field(min_length=1, max_length=40)
    size_mm: float = quantity(ge=4, le=45, help="nominal diameter of the link steel")
    grade: Literal[4, 8, 10, 12]
    method: Literal["direct", "frictional"]
    pair: str | None = Field(
        None, min_length=1, max_length=40, json_schema_extra={"remedy": "one name for both legs of a top-over lashing"}
    )
    lc_kN: float = quantity(gt=0, le=2000, help="read LC from the tag of the chain; 100 daN are 1 kN")
    stf_kN: float | None = Field(None, gt=0, le=500, json_schema_extra={"remedy": "read STF from the tensioner's tag"})
    on_load_m: Point = Field(json_schema_extra={"remedy": "where the chain leaves the load, x forward, y left, z up"})
    on_deck_m: Point = Field(json_schema_extra={"remedy": "where the chain meets its anchor on the deck"})
    anchor_rating_kN: float = quantity(gt=0, le=2000, help="weakest of anchor, shackle and tensioner, this way")

    @model_validator(mode="after")
    def _capacity(self) -> Self:
        allowed_kN, reason = largest_lc_kN(self.size_mm, self.grade)
        if not self.lc_kN <= allowed_kN:
            raise ValueError(
                f"lc_kN is {self.lc_kN:g}, allowed up to {allowed_kN:.4g} for {self.size_mm:g} mm of grade "
                f"{self.grade} ({reason}); it looks like the breaking load or daN: "
                f"{self.lc_kN:g} daN are {self.lc_kN / 100:g} kN"
            )
        if self.stf_kN is not None and not self.stf_kN <= figure("securing_largest_stf_ratio") * self.lc_kN:
            raise ValueError(
                f"stf_kN is {self.stf_kN:g}, allowed up to half of lc_kN ({self.lc_kN / 2:g}); "
                "read STF, not LC, from the tag"
            )
        return self

    @model_validator(mode="after")
    def _legs(self) -> Self:
        if self.method == "frictional" and self.pair is None:
            raise ValueError(
                "method 'frictional' needs pair: a top-over lashing is one line with two legs, and both go slack when "
                "it breaks; give both legs the same pair"
            )
        if self.method == "direct" and self.pair is not None:
            raise ValueError(f"pair is '{self.pair}', allowed only with method 'frictional'; leave it out")
        return self

    @model_validator(mode="after")
    def _run(self) -> Self:
        length_m = float(np.linalg.norm(np.subtract(self.on_load_m, self.on_deck_m)))
        if not length_m >= 0.1:
            raise ValueError(f"the chain is {length_m:g} m long, allowed from 0.1; give its two different ends")
        if not self.on_load_m[2] > self.on_deck_m[2]:
            raise ValueError(
                f"the anchor (z = {self.on_deck_m[2]:g} m) is not below the point on the load "
                f"(z = {self.on_load_m[2]:g} m); a chain must pull down"
            )
        return self


class Contact(Model):
    """One place where the unit rests on the deck (pad) or is blocked (stop)."""

    name: str = Field(min_length=1, max_length=60)
    kind: Literal["pad", "stop"]
    position_m: Point = Field(json_schema_extra={"remedy": "corner of the real pad; give at least three pads"})
    normal: tuple[Cosine, Cosine, Cosine]
    friction_ratio: float = quantity(ge=0, le=1, help="from the friction table, or measured")
    friction_pair: str = Field(min_length=1, max_length=120)
    capacity_kN: float = quantity(gt=0, le=20000, help="from the calculation of the pad or stop and the deck below")

    @model_validator(mode="after")
    def _normal(self) -> Self:
        length = float(np.linalg.norm(self.normal))
        if not abs(length - 1.0) <= 0.001:
            raise ValueError(f"normal has the length {length:.4g}, allowed 1; give a unit vector into the unit")
        if self.kind == "pad" and not self.normal[2] >= 0.99:
            raise ValueError("the normal of a pad must point up, [0, 0, 1]")
        if self.kind == "stop" and not abs(self.normal[2]) <= 0.1:
            raise ValueError("the normal of a stop must lie level, such as [-1, 0, 0]")
        return self

    @model_validator(mode="after")
    def _friction(self) -> Self:
        if self.friction_ratio == 0.0 or self.friction_pair.startswith("measured"):
            return self
        pair, table = self.friction_pair.split(",")[0].strip(), published("friction")
        known = {row["pair"]: row for row in table.rows}
        if pair not in known:
            raise ValueError(
                f"friction_pair '{pair}' is not in the friction table ({'; '.join(known)}); take one of these, "
                "or write 'measured, ...' with the test"
            )
        dry, wet = known[pair]["dry_ratio"], known[pair]["wet_ratio"]
        allowed, state = min(float(dry), float(wet or dry)), "dry or wet" if wet else "dry, none is published for wet"
        if not self.friction_ratio <= allowed:
            raise ValueError(
                f"friction_ratio is {self.friction_ratio:g}, allowed up to {allowed:g} for {pair}, both swept clean, "
                f"{state}"
            )
        return self

    @property
    def is_dry(self) -> bool:
        """Whether friction is counted on a pair that is published for dry surfaces only."""
        pair = self.friction_pair.split(",")[0].strip()
        dry_only = {row["pair"] for row in published("friction").rows if not row["wet_ratio"]}
        return self.friction_ratio > 0.0 and pair in dry_only


class Securing(Model):
    """How the securing is judged."""

    code: Literal["EN 12195-1", "49 CFR 393"]
    capacity_divisor: float = practice(
        1.5, "uneven sharing between chains, as CS = MSL / 1.5 in the CSS Code", ge=1, le=4
    )
    unit_length_m: float | None = Field(
        None, gt=0, le=60, json_schema_extra={"remedy": "needed for the number of tiedowns of 49 CFR 393.110"}
    )

    @model_validator(mode="after")
    def _united_states(self) -> Self:
        if self.code == "49 CFR 393" and self.unit_length_m is None:
            raise ValueError("code 49 CFR 393 needs unit_length_m, for the number of tiedowns (393.110)")
        if self.code == "49 CFR 393" and not self.capacity_divisor >= 2.0:
            raise ValueError(
                f"capacity_divisor is {self.capacity_divisor:g}, allowed from 2 with code 49 CFR 393: "
                "the working load limit of a chain is half its LC"
            )
        return self


def arrangement_faults(
    unit: Unit,
    chains: Sequence[Chain],
    contacts: Sequence[Contact],
    *,
    deck_length_m: float = np.inf,
    deck_width_m: float = np.inf,
) -> list[Fault]:
    """Everything that is wrong between the tables, though each is right by itself.

    Source: house rule, every fault in one run (practice).
    """
    faults = [*_doubled("chain", "tag", [chain.tag for chain in chains])]
    faults += _doubled("contact", "name", [contact.name for contact in contacts])
    faults += [*_pair_faults(chains), *_stop_faults(unit, contacts)]
    pad_m = np.array([contact.position_m for contact in contacts if contact.kind == "pad"]).reshape(-1, 3)
    if len(pad_m) < 3 or on_one_line(pad_m):
        text = f"{len(pad_m)} pads that span no area, allowed at least 3 that are not in a line"
        return [*faults, Fault("", "contact", f"{text}; give the corners of the pads")]
    return [*faults, *_pad_faults(unit, contacts, pad_m), *_anchor_faults(chains, pad_m, deck_length_m, deck_width_m)]


def _doubled(table: str, field: str, names: list[str]) -> Iterator[Fault]:
    for number, name in enumerate(names):
        if name in names[:number]:
            yield Fault("", f"{table}[{number}].{field}", f"'{name}' stands twice; give each {table} its own {field}")


def _pair_faults(chains: Sequence[Chain]) -> Iterator[Fault]:
    pairs = [chain.pair for chain in chains]
    for number, chain in enumerate(chains):
        if chain.method == "frictional" and (legs := pairs.count(chain.pair)) != 2:
            text = f"'{chain.pair}' stands on {legs} chain{'s' * (legs > 1)}, allowed on 2"
            yield Fault("", f"chain[{number}].pair", f"{text}: the two legs of one top-over lashing")


def _stop_faults(unit: Unit, contacts: Sequence[Contact]) -> Iterator[Fault]:
    for number, contact in enumerate(contacts):
        inward_m = np.subtract(unit.centre_of_mass_m, contact.position_m)[:2] @ np.array(contact.normal[:2])
        if contact.kind == "stop" and not inward_m > 0.0:
            text = f"stop '{contact.name}' faces away from the unit; the normal points from the stop into the unit"
            yield Fault("", f"contact[{number}].normal", text)


def _pad_faults(unit: Unit, contacts: Sequence[Contact], pad_m: Array) -> Iterator[Fault]:
    margin_m = float(inside_m(pad_m, np.array([unit.centre_of_mass_m]))[0])
    if not margin_m > 2.0**0.5 * unit.centre_of_mass_tolerance_m:
        text = (
            f"the centre of mass lies {margin_m:.3g} m inside the outline of the pads, allowed more than its "
            "tolerance; the unit would not stand by itself"
        )
        yield Fault("", "unit.centre_of_mass_m", text)
    capacity_kN = sum(contact.capacity_kN for contact in contacts if contact.kind == "pad")
    weight_kN = (unit.mass_t + unit.mass_tolerance_t) * figure("securing_gravity_mps2")
    if not capacity_kN >= weight_kN:
        text = f"all pads together carry {capacity_kN:.4g} kN, the unit weighs {weight_kN:.4g} kN"
        yield Fault("", "contact", f"{text}; use stronger or more pads")


def _anchor_faults(chains: Sequence[Chain], pad_m: Array, deck_length_m: float, deck_width_m: float) -> Iterator[Fault]:
    for number, chain in enumerate(chains):
        x_m, y_m, _ = chain.on_deck_m
        field = f"chain[{number}].on_deck_m"
        if not (abs(x_m) <= deck_length_m / 2 and abs(y_m) <= deck_width_m / 2):
            text = f"the anchor of '{chain.tag}' is off the deck of {deck_length_m:g} m by {deck_width_m:g} m"
            yield Fault("", field, f"{text}; measure from the middle of the deck")
        if float(inside_m(pad_m, np.array([chain.on_deck_m]))[0]) > 0.0:
            text = f"the anchor of '{chain.tag}' lies under the unit, inside the outline of its pads"
            yield Fault("", field, f"{text}; give the anchor on the deck beside it")
