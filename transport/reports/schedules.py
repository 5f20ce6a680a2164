"""The move's own tables for the calculation sheet, as they stand in the file: unit, mirror, contacts, chains."""

from collections.abc import Iterable, Mapping
from typing import Any

from shared.assessment import Assessment
from transport.reports.listings import Listing
from transport.reports.notation import one_line

__all__ = ["schedules"]

SINGLE = ("unit", "mirror", "cover", "trailer", "tractor", "securing", "seismic", "site")
COLUMNS = {
    "contact": ("name", "kind", "position_m", "normal", "friction_ratio", "friction_pair", "capacity_kN"),
    "chain": ("tag", "size_mm", "grade", "method", "lc_kN", "stf_kN", "on_load_m", "on_deck_m", "anchor_rating_kN"),
}


def schedules(result: Assessment) -> list[Listing]:
    """Fields of the single tables, then contacts, then the chain schedule; lists with the columns they have."""
    move = result.move
    fields = [_fields(name, move[name]) for name in SINGLE if isinstance(move.get(name), Mapping)]
    groups = move.get("trailer", {}).get("group", ())
    lists = [_rows("trailer.group", groups, ("name", "lines", "side"))]
    lists += [_rows(name, move.get(name, ()), columns) for name, columns in COLUMNS.items()]
    return [listing for listing in (*fields, *lists) if listing.rows]


def _fields(name: str, table: Mapping[str, Any]) -> Listing:
    pairs = [(one_line(key), _text(value)) for key, value in table.items() if _simple(value)]
    half = (len(pairs) + 1) // 2
    second = [*pairs[half:], ("", "")][:half]
    rows = tuple((*left, *right) for left, right in zip(pairs[:half], second, strict=True))
    return Listing(name, ("field", "value", "field ", "value "), rows, frozenset((0, 2)))


def _rows(name: str, items: Iterable[Mapping[str, Any]], columns: tuple[str, ...]) -> Listing:
    rows = tuple(tuple(_text(item.get(column)) for column in columns) for item in items)
    return Listing(name, columns, rows)


def _simple(value: Any) -> bool:
    listed = isinstance(value, list | tuple)
    return not isinstance(value, Mapping) and not (listed and any(isinstance(item, Mapping) for item in value))


def _text(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float | int):
        return f"{value:.12g}"
    if isinstance(value, list | tuple):
        return ", ".join(map(_text, value))
    return "not given" if value is None else one_line(value)
