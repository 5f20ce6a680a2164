"""What the scheme shows, read from the move: deck, axle lines, groups, contacts, chains, anchors, centre of mass."""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from transport.reports.notation import letter, one_line
from transport.reports.scheme_metrics import text_width_mm
from transport.reports.scheme_paper import SIZE_MM

__all__ = ["Bogies", "Chain", "Contact", "Point", "Scheme", "scheme", "scheme_reason"]

Point = tuple[float, float, float]
TAG_ROOM_MM = 7.0
SAME_M = 0.01
FARTHEST_M = 1e4  # no trailer is longer: such a number is an error
SIDES = {"left": (1.0,), "right": (-1.0,), "both": (1.0, -1.0)}


class Chain(NamedTuple):
    """One chain; the label is its tag, or its number where tags are too long for a circle."""

    label: str
    tag: str
    top_over: bool
    pair: str
    on_load: Point
    on_deck: Point


class Contact(NamedTuple):
    """A pad or a stop with its letter."""

    letter: str
    name: str
    stop: bool
    position: Point
    normal: Point


class Bogies(NamedTuple):
    """Bogies of one hydraulic group: neighbouring lines on one or both sides."""

    label: str
    name: str
    places: tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Scheme:
    """The unit on the trailer, in metres of the trailer frame; what is None is not known."""

    length_m: float
    width_m: float
    height_m: float
    centre: Point
    chains: tuple[Chain, ...]
    contacts: tuple[Contact, ...]
    free_anchors: tuple[Point, ...] = ()
    tolerance_m: float | None = None
    wind_centre: Point | None = None
    mirror_m: float | None = None
    line_x_m: tuple[float, ...] = ()
    bogie_y_m: float | None = None
    groups: tuple[Bogies, ...] = ()

    @property
    def numbered(self) -> bool:
        """Whether the labels are numbers that the key explains."""
        return any(chain.label != chain.tag for chain in self.chains)

    @property
    def given(self) -> list[Point]:
        """Points of the unit that the move gives: pads, stops, ends of chains on the load."""
        return [contact.position for contact in self.contacts] + [chain.on_load for chain in self.chains]


@dataclass
class _Reader:
    """Reads numbers and points; what is missing or no length that can be drawn is listed by its field."""

    lacking: list[str] = field(default_factory=list)

    def number(self, table: Mapping[str, Any], name: str, where: str) -> float:
        value = _finite(table.get(name))
        if value is None:
            self.lacking.append(f"{where}.{name}")
        return math.nan if value is None else value

    def point(self, table: Mapping[str, Any], name: str, where: str) -> Point:
        found = _point(table.get(name))
        if found is None:
            self.lacking.append(f"{where}.{name}")
        return (math.nan,) * 3 if found is None else found


def scheme(move: Mapping[str, Any]) -> Scheme | None:
    """The scheme of a move; None where it cannot be drawn."""
    found, lacking = _read(move)
    return None if lacking else found


def scheme_reason(move: Mapping[str, Any]) -> str:
    """Why a move cannot be drawn; nothing where it can."""
    lacking = _read(move)[1]
    listed = ", ".join(lacking[:6]) + (f" and {len(lacking) - 6} more" if len(lacking) > 6 else "")
    return f"not drawn: {listed} missing or no length that can be drawn" if lacking else ""


def _read(move: Mapping[str, Any]) -> tuple[Scheme, list[str]]:
    reader = _Reader()
    trailer, unit = _table(move, "trailer"), _table(move, "unit")
    names = ("deck_length_m", "deck_width_m", "deck_height_m")
    length_m, width_m, height_m = (reader.number(trailer, name, "trailer") for name in names)
    reader.lacking += [f"trailer.{n}" for n, v in zip(names, (length_m, width_m, height_m), strict=True) if v <= 0.0]
    chains = _chains(_tables(move, "chain"), reader)
    line_x_m = tuple(x for x in map(_finite, trailer.get("axle_line_x_m") or ()) if x is not None)
    bogie_y_m = _finite(trailer.get("bogie_y_m"))
    found = Scheme(
        length_m=length_m,
        width_m=width_m,
        height_m=height_m,
        centre=reader.point(unit, "centre_of_mass_m", "unit"),
        chains=chains,
        contacts=_contacts(_tables(move, "contact"), reader),
        free_anchors=tuple(_free_anchors(_tables(move, "anchor"), chains)),
        tolerance_m=_finite(unit.get("centre_of_mass_tolerance_m")),
        wind_centre=_point(unit.get("wind_centre_m")),
        mirror_m=_finite(_table(move, "mirror").get("diameter_m")),
        line_x_m=line_x_m,
        bogie_y_m=bogie_y_m,
        groups=tuple(_groups(_tables(trailer, "group"), line_x_m, bogie_y_m)),
    )
    return found, reader.lacking


def _chains(tables: list[Mapping[str, Any]], reader: _Reader) -> tuple[Chain, ...]:
    tags = [one_line(table.get("tag", "")) for table in tables]
    fit = all(tag and text_width_mm(tag, SIZE_MM, bold=True) <= TAG_ROOM_MM for tag in tags)
    labels = tags if fit and len(set(tags)) == len(tags) else [str(order) for order in range(1, len(tags) + 1)]
    return tuple(
        Chain(
            labels[order],
            tags[order],
            table.get("method") == "frictional",
            one_line(table.get("pair") or ""),
            reader.point(table, "on_load_m", f"chain[{order}]"),
            reader.point(table, "on_deck_m", f"chain[{order}]"),
        )
        for order, table in enumerate(tables)
    )


def _contacts(tables: list[Mapping[str, Any]], reader: _Reader) -> tuple[Contact, ...]:
    return tuple(
        Contact(
            letter(order),
            one_line(table.get("name", "")),
            table.get("kind") == "stop",
            reader.point(table, "position_m", f"contact[{order}]"),
            reader.point(table, "normal", f"contact[{order}]"),
        )
        for order, table in enumerate(tables)
    )


def _free_anchors(tables: list[Mapping[str, Any]], chains: tuple[Chain, ...]) -> Iterable[Point]:
    """Anchors of the deck at which no chain ends."""
    for table in tables:
        place = _point(table.get("position_m"))
        if place is not None and all(math.dist(place, chain.on_deck) > SAME_M for chain in chains):
            yield place


def _groups(tables: list[Mapping[str, Any]], line_x_m: tuple[float, ...], bogie_y_m: float | None) -> Iterable[Bogies]:
    for order, table in enumerate(tables, start=1):
        lines = [n for n in table.get("lines", ()) if isinstance(n, int) and 1 <= n <= len(line_x_m)]
        sides = SIDES.get(str(table.get("side")), ())
        if bogie_y_m is not None and lines and sides:
            places = tuple((line_x_m[n - 1], side * bogie_y_m) for n in lines for side in sides)
            yield Bogies(f"G{order}", one_line(table.get("name", "")), places)


def _table(move: Mapping[str, Any], name: str) -> Mapping[str, Any]:
    found = move.get(name)
    return found if isinstance(found, Mapping) else {}


def _tables(move: Mapping[str, Any], name: str) -> list[Mapping[str, Any]]:
    found = move.get(name) or ()
    return [table for table in found if isinstance(table, Mapping)]


def _finite(value: Any) -> float | None:
    number = isinstance(value, int | float) and not isinstance(value, bool)
    return float(value) if number and abs(value) <= FARTHEST_M else None


def _point(value: Any) -> Point | None:
    if not isinstance(value, list | tuple) or len(value) != 3:
        return None
    found = [number for number in map(_finite, value) if number is not None]
    return (found[0], found[1], found[2]) if len(found) == 3 else None
