"""The unit, its chains, contacts and anchors, as they stand in `[unit]`, `[[chain]]`, `[[contact]]`, `[[anchor]]`."""

from typing import Annotated, Literal, Self

import numpy as np
from pydantic import BeforeValidator, Field, model_validator

from shared.inputs import Model, practice, quantity
from shared.tables import published
from transport.securing.faults import arrangement_faults
from transport.securing.fields import Capacity, Cosine, Friction, Mass, MassTolerance, Movement, Point, Tolerance
from transport.securing.gear_inputs import Anchor, Chain

__all__ = ["Anchor", "Chain", "Contact", "Securing", "Unit", "arrangement_faults"]

Code = Literal["EN 12195-1", "CTU Code", "49 CFR 393"]


class Unit(Model):
    """Mirror, cell and carriage as one rigid body."""

    mass_t: Mass = quantity(gt=0, help="weigh the unit as it will travel")
    mass_tolerance_t: MassTolerance = quantity(ge=0, help="the error of the weighing")
    centre_of_mass_m: Point = Field(json_schema_extra={"remedy": "measured from the deck above the neutral point"})
    centre_of_mass_tolerance_m: Tolerance = quantity(ge=0, help="how well the centre of mass is known, each way")
    wind_area_front_m2: float = quantity(gt=0, le=500, help="area seen from ahead, cover included")
    wind_area_side_m2: float = quantity(gt=0, le=500, help="area seen from the side, cover included")
    wind_centre_m: Point = Field(json_schema_extra={"remedy": "centre of the area seen by the wind"})
    force_coefficient: float = quantity(gt=0, le=3, help="on the areas given, from a code or a test")
    lift_coefficient: float = quantity(ge=0, le=3, help="on the plan area, upwards, from a code or a test")
    plan_area_m2: float = quantity(gt=0, le=500, help="area seen from above")
    allowed_movement_m: Movement = quantity(gt=0, help="how far the unit may slide before the chains hold it")

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


class Contact(Model):
    """One place where the unit rests on the deck (pad) or is blocked (stop)."""

    name: str = Field(min_length=1, max_length=60)
    kind: Literal["pad", "stop"]
    position_m: Point = Field(json_schema_extra={"remedy": "corner of the real pad; give at least three pads"})
    normal: tuple[Cosine, Cosine, Cosine]
    friction_ratio: Friction = quantity(ge=0, help="from the friction table, or measured")
    friction_pair: str = Field(min_length=1, max_length=120)
    capacity_kN: Capacity = quantity(gt=0, help="from the calculation of the pad or stop and the deck below")

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
    """How the securing is judged: by one code or by several, of which the strictest governs."""

    code: Annotated[tuple[Code, ...], BeforeValidator(lambda code: (code,) if isinstance(code, str) else code)] = Field(
        min_length=1, json_schema_extra={"remedy": "one code or several, for a move by road; no rail or sea rows here"}
    )
    capacity_divisor: float = practice(
        1.5, "uneven sharing between chains, as CS = MSL / 1.5 in the CSS Code", ge=1, le=4
    )
    unit_length_m: float | None = Field(
        None, gt=0, le=60, json_schema_extra={"remedy": "needed for the number of tiedowns of 49 CFR 393.110"}
    )

    @model_validator(mode="after")
    def _codes(self) -> Self:
        if doubled := [name for number, name in enumerate(self.code) if name in self.code[:number]]:
            raise ValueError(f"code names {', '.join(doubled)} twice; give each code once")
        if "49 CFR 393" in self.code and self.unit_length_m is None:
            raise ValueError("code 49 CFR 393 needs unit_length_m, for the number of tiedowns (393.110)")
        return self
