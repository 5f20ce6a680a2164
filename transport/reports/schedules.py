"""The move's own tables for the calculation sheet, as they stand in the file: unit, contacts, anchors, the rest."""

from collections.abc import Iterable, Mapping
from typing import Any

from transport.reports.listings import Listing
from transport.reports.notation import one_line

__all__ = ["cell", "further_rows", "other_schedules", "unit_schedules"]

UNIT, OTHERS = ("unit", "securing"), ("mirror", "cover", "trailer", "tractor", "seismic", "site")
COLUMNS = {
    "contact": ("name", "kind", "position_m", "normal", "friction_ratio", "friction_pair", "capacity_kN"),
    "anchor": ("name", "position_m", "rating_kN"),
}


def unit_schedules(move: Mapping[str, Any]) -> list[Listing]:
    """Fields of unit and securing, then contacts and anchors with the columns they have."""
    lists = [further_rows(name, move.get(name) or (), columns) for name, columns in COLUMNS.items()]
    return [listing for listing in (*_tables(move, UNIT), *lists) if listing.rows]


def other_schedules(move: Mapping[str, Any]) -> list[Listing]:
    """Fields of all other single tables, and the hydraulic groups."""
    groups = move.get("trailer", {}).get("group", ())
    lists = [further_rows("trailer.group", groups, ("name", "lines", "side"))]
    return [listing for listing in (*_tables(move, OTHERS), *lists) if listing.rows]


def further_rows(title: str, items: Iterable[Mapping[str, Any]], columns: tuple[str, ...]) -> Listing:
    """The columns named, then every other simple field that any item gives."""
    rows = list(items)
    given = dict.fromkeys(key for item in rows for key, value in item.items() if value is not None and _simple(value))
    wanted = (*columns, *(key for key in given if key not in columns)) if rows else columns
    cells = tuple(tuple(cell(item.get(column)) for column in wanted) for item in rows)
    return Listing(title, tuple(map(one_line, wanted)), cells)


def cell(value: Any) -> str:
    """A value of the move as text."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float | int):
        return f"{value:.12g}"
    if isinstance(value, list | tuple):
        return ", ".join(map(cell, value))
    return "not given" if value is None else one_line(value)


def _tables(move: Mapping[str, Any], names: Iterable[str]) -> list[Listing]:
    return [_fields(name, move[name]) for name in names if isinstance(move.get(name), Mapping)]


def _fields(name: str, table: Mapping[str, Any]) -> Listing:
    pairs = [(one_line(key), cell(value)) for key, value in table.items() if _simple(value)]
    half = (len(pairs) + 1) // 2
    second = [*pairs[half:], ("", "")][:half]
    rows = tuple((*left, *right) for left, right in zip(pairs[:half], second, strict=True))
    return Listing(name, ("field", "value", "field ", "value "), rows, frozenset((0, 2)))


def _simple(value: Any) -> bool:
    listed = isinstance(value, list | tuple)
    return not isinstance(value, Mapping) and not (listed and any(isinstance(item, Mapping) for item in value))
