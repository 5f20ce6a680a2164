"""Chains and the lashing points of the deck, as they stand in `[[chain]]` and `[[anchor]]`."""

from datetime import date
from typing import Literal, Self

import numpy as np
from pydantic import Field, model_validator

from shared.inputs import Model, quantity
from transport.securing.edge import capacity_ratio
from transport.securing.fields import Angle, LinkSize, MarkedCapacity, Point, Rating, refuse_pretension
from transport.securing.slips import LENGTH, looks_like

__all__ = ["Anchor", "Chain"]

PITCH = "both over the same links, of the used chain and as new"


class Chain(Model):
    """One straight lashing line from the load to the deck; a top-over lashing is two of them."""

    tag: str = Field(min_length=1, max_length=40)
    size_mm: LinkSize = quantity(gt=0, help="nominal diameter of the link steel")
    grade: Literal[4, 8, 10, 12] = Field(json_schema_extra={"remedy": "grade 80 is 8, grade 100 is 10"})
    method: Literal["direct", "frictional"]
    pair: str | None = Field(
        None, min_length=1, max_length=40, json_schema_extra={"remedy": "one name for both legs of a top-over lashing"}
    )
    lc_kN: MarkedCapacity = quantity(gt=0, help="read LC from the tag of the chain; 100 daN are 1 kN")
    stf_kN: float | None = Field(None, gt=0, json_schema_extra={"remedy": "read STF from the tensioner's tag"})
    on_load_m: Point = Field(json_schema_extra={"remedy": "where the chain leaves the load, x forward, y left, z up"})
    on_deck_m: Point = Field(json_schema_extra={"remedy": "where the chain meets its anchor on the deck"})
    anchor_rating_kN: Rating = quantity(
        gt=0, help="rating of the lashing point on the deck in the direction of the pull"
    )
    anchor: str | None = Field(None, min_length=1, max_length=60, json_schema_extra={"remedy": "name of an [[anchor]]"})
    shackle_rating_kN: Rating | None = Field(
        None, gt=0, json_schema_extra={"remedy": "its working load limit; 1 t is 9.81 kN"}
    )
    tensioner_rating_kN: Rating | None = Field(None, gt=0, json_schema_extra={"remedy": "read LC from its tag"})
    edge_radius_mm: float | None = Field(
        None,
        ge=0,
        le=5000,
        json_schema_extra={"remedy": "radius of the edge that the chain runs over; else leave it out"},
    )
    inspected_on: date | None = None
    measured_diameter_mm: float | None = Field(
        None, gt=0, le=100, json_schema_extra={"remedy": "thinnest link, mean of two readings at right angles"}
    )
    measured_pitch_mm: float | None = Field(None, gt=0, le=5000, json_schema_extra={"remedy": PITCH})
    new_pitch_mm: float | None = Field(None, gt=0, le=5000, json_schema_extra={"remedy": PITCH})

    @property
    def edge_ratio(self) -> float:
        """Share of LC that is left where the chain runs over an edge; 1 where it runs over none."""
        if self.edge_radius_mm is None:
            return 1.0
        return float(capacity_ratio(np.array(self.edge_radius_mm / 1000.0), np.array(self.size_mm / 1000.0)))

    @model_validator(mode="after")
    def _pretension(self) -> Self:
        edge = "" if self.edge_ratio == 1.0 else f" over an edge of {self.edge_radius_mm:g} mm"
        refuse_pretension(self.stf_kN, self.lc_kN, self.edge_ratio, edge)
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
            slip = (
                looks_like(self.on_deck_m[2], LENGTH[:2], 0.001, self.on_load_m[2]) if self.on_deck_m[2] > 1.0 else ""
            )
            raise ValueError(
                f"the anchor (z = {self.on_deck_m[2]:g} m) is not below the point on the load "
                f"(z = {self.on_load_m[2]:g} m); a chain must pull down{slip}"
            )
        return self

    @model_validator(mode="after")
    def _pitches(self) -> Self:
        if (self.measured_pitch_mm is None) != (self.new_pitch_mm is None):
            raise ValueError(f"measured_pitch_mm and new_pitch_mm come together, or neither; {PITCH}")
        return self


class Anchor(Model):
    """One lashing point of the deck and the pulls that it is rated for; several chains on it share its rating."""

    name: str = Field(min_length=1, max_length=60)
    position_m: Point = Field(json_schema_extra={"remedy": "x forward, y left, z up, from the middle of the deck"})
    rating_kN: Rating = quantity(gt=0, help="from the plate of the lashing point or the drawing of the deck")
    least_vertical_angle_deg: Angle = quantity(help="of the pull to the deck, as rated")
    greatest_vertical_angle_deg: Angle = quantity(help="of the pull to the deck, as rated")

    @model_validator(mode="after")
    def _angles(self) -> Self:
        if not self.least_vertical_angle_deg <= self.greatest_vertical_angle_deg:
            raise ValueError(
                f"least_vertical_angle_deg is {self.least_vertical_angle_deg:g}, above greatest_vertical_angle_deg of "
                f"{self.greatest_vertical_angle_deg:g}; 0 lies on the deck, 90 points straight up"
            )
        return self
