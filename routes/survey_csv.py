"""Survey as CSV: one header line, one point a line, `,` between fields, `.` as decimal point, UTF-8."""

import csv
import io
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import numpy as np

from routes.points import POINT_LIMIT_COUNT, Points, content, number, refuse
from shared.errors import Fault, InputError
from shared.text import clean

__all__ = ["read"]

GRID = ("easting_m", "northing_m")
GEOGRAPHIC = ("longitude_deg", "latitude_deg")
OPTIONAL = ("crossfall_ratio", "width_left_m", "width_right_m", "surface")
SURFACE_LENGTH = 40


class Column(NamedTuple):
    """Plausible range of a column, and what to do outside it."""

    low: float
    high: float
    remedy: str


COLUMNS = {
    "easting_m": Column(-2e7, 2e7, "metres in the coordinate system of the route"),
    "northing_m": Column(-2e7, 2e7, "metres in the coordinate system of the route"),
    "longitude_deg": Column(-180.0, 180.0, "decimal degrees, east is positive"),
    "latitude_deg": Column(-85.0, 85.0, "decimal degrees, south is negative; are the two columns swapped?"),
    "elevation_m": Column(-450.0, 7000.0, "metres"),
    "crossfall_ratio": Column(
        -0.2, 0.2, "a ratio: write 0.025 for 2.5 %, positive where the road falls to the right"
    ),
    "width_left_m": Column(0.0, 50.0, "metres from the centreline to the left edge"),
    "width_right_m": Column(0.0, 50.0, "metres from the centreline to the right edge"),
}


def read(path: Path) -> Points:
    """Read the points; every fault is named with file and line."""
    rows = _rows(path)
    names = _header(path.name, *next(rows, (1, [])))
    lines: list[int] = []
    values: list[list[float]] = []
    surfaces: list[str] = []
    faults: list[Fault] = []
    for line, cells in rows:
        found, problems = _point(path.name, line, names, cells)
        faults += problems
        lines.append(line)
        values.append(found)
        surfaces.append(
            clean(cells[names.index("surface")])[:SURFACE_LENGTH] if _has_surface(names, cells) else ""
        )
    refuse(faults)
    return _points(path.name, names, lines, values, surfaces)


def _rows(path: Path) -> Iterator[tuple[int, list[str]]]:
    try:
        text = content(path).decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError(f"{path.name}: the file is not UTF-8 text; save it as UTF-8") from None
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    try:
        for count, cells in enumerate(reader):
            if count > POINT_LIMIT_COUNT:
                raise InputError(
                    f"{path.name}: more than {POINT_LIMIT_COUNT} points; thin the survey out to metres"
                )
            if any(cell.strip() for cell in cells):
                yield reader.line_num, [cell.strip() for cell in cells]
    except csv.Error as problem:
        raise InputError(Fault(f"{path.name}:{reader.line_num}", "", f"not valid CSV: {problem}")) from None


def _header(file: str, line: int, cells: list[str]) -> list[str]:
    allowed = f"the header is {','.join((*GRID, 'elevation_m', *OPTIONAL))}"
    if any(";" in cell for cell in cells):
        _stop(file, line, "fields are separated by ';'; save the file with ',' and with decimal points")
    if not cells:
        _stop(file, line, f"the file is empty; {allowed}")
    twice = sorted({cell for cell in cells if cells.count(cell) > 1})
    if twice:
        _stop(file, line, f"column '{clean(twice[0])[:40]}' stands there twice; keep one")
    unknown = [cell for cell in cells if cell not in COLUMNS and cell != "surface"]
    if unknown:
        _stop(file, line, f"unknown column '{clean(unknown[0])[:40]}'; {allowed}")
    axes = GEOGRAPHIC if set(GEOGRAPHIC) & set(cells) else GRID
    missing = [name for name in (*axes, "elevation_m") if name not in cells]
    if missing:
        _stop(file, line, f"column '{missing[0]}' is missing; {allowed}")
    if set(GRID) & set(cells) and set(GEOGRAPHIC) & set(cells):
        _stop(file, line, "give easting_m and northing_m, or longitude_deg and latitude_deg, not both")
    return cells


def _stop(file: str, line: int, message: str) -> None:
    raise InputError(Fault(f"{file}:{line}", "", message))


def _point(file: str, line: int, names: list[str], cells: list[str]) -> tuple[list[float], list[Fault]]:
    where = f"{file}:{line}"
    if cells == names:
        return [], [Fault(where, "", "the header stands here again; delete this line")]
    if len(cells) != len(names):
        message = (
            f"has {len(cells)} fields, the header has {len(names)}; a decimal comma, or a field missing?"
        )
        return [], [Fault(where, "", message)]
    values, faults = [], []
    for name, cell in zip(names, cells, strict=True):
        if name == "surface":
            continue
        try:
            values.append(_value(name, cell))
        except ValueError as problem:
            faults.append(Fault(where, name, str(problem)))
    return values, faults


def _value(name: str, cell: str) -> float:
    column = COLUMNS[name]
    if not cell:
        if name in OPTIONAL:
            return float("nan")
        raise ValueError("is empty; survey the point again or delete the line")
    try:
        return number(cell, column.low, column.high)
    except ValueError as problem:
        remedy = f"; {column.remedy}" if "allowed" in str(problem) else ""
        raise ValueError(f"{problem}{remedy}") from None


def _has_surface(names: list[str], cells: list[str]) -> bool:
    return "surface" in names and len(cells) == len(names)


def _points(
    file: str, names: list[str], lines: list[int], values: list[list[float]], surfaces: list[str]
) -> Points:
    numeric = [name for name in names if name != "surface"]
    table = dict(zip(numeric, np.array(values, dtype=float).reshape(-1, len(numeric)).T, strict=True))
    unknown = np.full(len(lines), np.nan)
    first, second = GEOGRAPHIC if GEOGRAPHIC[0] in table else GRID
    return Points(
        file=file,
        line=tuple(lines),
        first_axis=table[first],
        second_axis=table[second],
        is_geographic=first == GEOGRAPHIC[0],
        elevation_m=table["elevation_m"],
        crossfall_ratio=table.get("crossfall_ratio", unknown),
        width_left_m=table.get("width_left_m", unknown),
        width_right_m=table.get("width_right_m", unknown),
        surface=tuple(surfaces),
    )
