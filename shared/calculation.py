"""Calculation lines: one formula with its numbers, result, source and clause, ready to be checked by hand."""

import json
import math
from collections.abc import Iterable
from dataclasses import asdict, dataclass

import xarray as xr

__all__ = ["Line", "attach", "lines_of"]


@dataclass(frozen=True)
class Line:
    """One line of the calculation sheet.

    `formula` is Typst mathematics and a constant of the code, never text of a user; `spoken` is the same in plain text.
    `values` holds (symbol, value, unit, where it comes from); `result` holds (symbol, value, unit).
    """

    check: str
    title: str
    formula: str
    spoken: str
    values: tuple[tuple[str, float, str, str], ...]
    result: tuple[str, float, str]
    source: str
    clause: str
    status: str

    def __post_init__(self) -> None:
        if self.status not in {"read", "memory", "practice", "own"}:
            raise ValueError(f"{self.title}: status {self.status} is not known")


def attach(data: xr.Dataset, lines: Iterable[Line]) -> xr.Dataset:
    """Store the lines in the Dataset as JSON; infinities and NaN as text."""
    rows = [_plain(asdict(line)) for line in lines]
    return data.assign_attrs(calculation=json.dumps(rows, ensure_ascii=False, allow_nan=False))


def lines_of(data: xr.Dataset) -> tuple[Line, ...]:
    """The lines stored in a Dataset, in order."""
    rows = json.loads(data.attrs.get("calculation", "[]"))
    return tuple(_line(row) for row in rows)


def _plain(row: dict[str, object]) -> dict[str, object]:
    def number(value: object) -> object:
        if isinstance(value, str | int) or value is None:
            return value
        value = float(value)  # type: ignore[arg-type]
        return value if math.isfinite(value) else str(value)

    values = [[number(part) for part in value] for value in row["values"]]  # type: ignore[attr-defined]
    return row | {"values": values, "result": [number(part) for part in row["result"]]}  # type: ignore[attr-defined]


def _line(row: dict[str, object]) -> Line:
    def value(parts: list[object]) -> tuple[object, ...]:
        return (parts[0], float(parts[1]), *parts[2:])  # type: ignore[arg-type]

    values = tuple(value(parts) for parts in row["values"])  # type: ignore[attr-defined]
    return Line(**row | {"values": values, "result": value(row["result"])})  # type: ignore[arg-type]
