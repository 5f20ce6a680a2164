"""The gear that lies ready, as it stands in `[[available.chain]]`, `.anchor`, `.attachment` and `.stop`.

Nothing of it is on the vehicle yet: it is what the search for the least change may take.
"""

from collections.abc import Iterator, Sequence
from typing import Literal, Self

import numpy as np
from pydantic import Field, model_validator

from shared.errors import Fault
from shared.inputs import Model, quantity
from transport.securing.fields import (
    Capacity,
    Cosine,
    LinkSize,
    MarkedCapacity,
    Point,
    Rating,
    refuse_pretension,
)
from transport.securing.gear_inputs import Anchor
from transport.securing.inputs import Chain, Contact, Unit
from transport.securing.tipping import inside_m, on_one_line

__all__ = ["Available", "ReadyAnchor", "ReadyAttachment", "ReadyChain", "ReadyStop", "available_faults"]

HIGHEST_M = 10.0
SAME_PLACE_M = 0.05


class ReadyChain(Model):
    """Chains of one size that lie ready, each with its tensioner."""

    size_mm: LinkSize = quantity(gt=0, help="nominal diameter of the link steel")
    grade: Literal[4, 8, 10, 12] = Field(json_schema_extra={"remedy": "grade 80 is 8, grade 100 is 10"})
    lc_kN: MarkedCapacity = quantity(gt=0, help="read LC from the tag of the chain; 100 daN are 1 kN")
    stf_kN: float | None = Field(None, gt=0, json_schema_extra={"remedy": "read STF from the tensioner's tag"})
    count: int = quantity(ge=1, le=200, help="how many of them lie ready; leave the table out if there is none")

    @model_validator(mode="after")
    def _pretension(self) -> Self:
        refuse_pretension(self.stf_kN, self.lc_kN)
        return self


class ReadyAnchor(Anchor):
    """One lashing point of the deck that no chain hangs on."""

    rating_kN: Rating = quantity(gt=0, help="weakest of anchor, shackle and tensioner")


class ReadyAttachment(Model):
    """One rated point of the unit that no chain is hooked to."""

    name: str = Field(min_length=1, max_length=60)
    position_m: Point = Field(json_schema_extra={"remedy": "x forward, y left, z up, from the middle of the deck"})
    rating_kN: Rating = quantity(gt=0, help="from the drawing of the unit, in the direction of the pull")

    @model_validator(mode="after")
    def _height(self) -> Self:
        if not 0.0 < self.position_m[2] <= HIGHEST_M:
            raise ValueError(
                f"position_m lies {self.position_m[2]:g} m above the deck, allowed above 0 up to {HIGHEST_M:g}; "
                "z is measured upwards from the deck, in m"
            )
        return self


class ReadyStop(Model):
    """One place where a keyed stop can be set, with the stop for it."""

    name: str = Field(min_length=1, max_length=60)
    position_m: Point = Field(json_schema_extra={"remedy": "where the stop meets the unit"})
    normal: tuple[Cosine, Cosine, Cosine]
    capacity_kN: Capacity = quantity(gt=0, help="from the calculation of the stop and the deck below")

    @model_validator(mode="after")
    def _normal(self) -> Self:
        length = float(np.linalg.norm(self.normal))
        if not (abs(length - 1.0) <= 0.001 and abs(self.normal[2]) <= 0.1):
            raise ValueError(
                f"normal is {list(self.normal)}, allowed a level unit vector into the unit, such as [-1, 0, 0]"
            )
        return self


class Available(Model):
    """Everything that lies ready; a list that is left out is gear that does not exist."""

    chain: tuple[ReadyChain, ...] = Field((), max_length=32)
    anchor: tuple[ReadyAnchor, ...] = Field((), max_length=64)
    attachment: tuple[ReadyAttachment, ...] = Field((), max_length=64)
    stop: tuple[ReadyStop, ...] = Field((), max_length=32)


def available_faults(
    available: Available,
    unit: Unit,
    chains: Sequence[Chain],
    contacts: Sequence[Contact],
    *,
    deck_length_m: float,
    deck_width_m: float,
) -> list[Fault]:
    """Everything of the gear that does not fit unit and deck, though each table is right by itself.

    Source: house rule, every fault in one run (practice).
    """
    faults = [fault for table in ("anchor", "attachment", "stop") for fault in _doubled(available, table)]
    pad_m = np.array([contact.position_m for contact in contacts if contact.kind == "pad"]).reshape(-1, 3)
    outlined = len(pad_m) >= 3 and not on_one_line(pad_m)
    for number, anchor in enumerate(available.anchor):
        x_m, y_m, _ = anchor.position_m
        field = f"available.anchor[{number}].position_m"
        if not (abs(x_m) <= deck_length_m / 2 and abs(y_m) <= deck_width_m / 2):
            text = f"anchor '{anchor.name}' is off the deck of {deck_length_m:g} m by {deck_width_m:g} m"
            faults.append(Fault("", field, f"{text}; measure from the middle of the deck"))
        if outlined and float(inside_m(pad_m, np.array([anchor.position_m]))[0]) > 0.0:
            text = f"anchor '{anchor.name}' lies under the unit, inside the outline of its pads"
            faults.append(Fault("", field, f"{text}; give anchors on the deck beside it"))
    for table, end in (("anchor", "on_deck_m"), ("attachment", "on_load_m")):
        faults += _taken(available, table, {chain.tag: getattr(chain, end) for chain in chains})
    return [*faults, *_stop_faults(available, unit)]


def _doubled(available: Available, table: str) -> Iterator[Fault]:
    names = [one.name for one in getattr(available, table)]
    for number, name in enumerate(names):
        if name in names[:number]:
            field = f"available.{table}[{number}].name"
            yield Fault("", field, f"'{name}' stands twice; give each {table} its own name")


def _taken(available: Available, table: str, ends_m: dict[str, Point]) -> Iterator[Fault]:
    for number, one in enumerate(getattr(available, table)):
        for tag, end_m in ends_m.items():
            if float(np.linalg.norm(np.subtract(one.position_m, end_m))) <= SAME_PLACE_M:
                text = f"{table} '{one.name}' is where chain '{tag}' is hooked; list only points that are free"
                yield Fault("", f"available.{table}[{number}].position_m", text)


def _stop_faults(available: Available, unit: Unit) -> Iterator[Fault]:
    for number, stop in enumerate(available.stop):
        inward_m = np.subtract(unit.centre_of_mass_m, stop.position_m)[:2] @ np.array(stop.normal[:2])
        if not inward_m > 0.0:
            text = f"stop '{stop.name}' faces away from the unit; the normal points from the stop into the unit"
            yield Fault("", f"available.stop[{number}].normal", text)
