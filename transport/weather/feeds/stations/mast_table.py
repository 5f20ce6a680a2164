"""A logger file as its layout was declared: the wanted columns as text and numbers, nothing guessed or skipped."""

import csv
import re
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from shared.arrays import Array
from shared.errors import Fault, InputError
from transport.weather.feeds.stations.logger import Column, Logger
from transport.weather.feeds.units import UNITS
from transport.weather.fields import Instants

__all__ = ["Table", "numbers", "table_of", "times"]

NUMBER = {".": re.compile(r"[+-]?[0-9]+(?:\.[0-9]*)?(?:[eE][+-]?[0-9]{1,2})?")}
NUMBER[","] = re.compile(NUMBER["."].pattern.replace(r"\.", ","))
SPELLINGS = {
    **dict.fromkeys(("meters/second", "metres/second", "meter/second", "metre/second", "mps"), "m/s"),
    **dict.fromkeys(("celcius", "deg c", "°c", "c"), "degC"),
    **dict.fromkeys(("millibars", "mb"), "mbar"),
    "°": "degree",
}
STATISTICS = {
    "avg": ("mean",),
    "max": ("maximum",),
    "min": ("minimum",),
    "smp": ("point",),
    "tot": ("sum",),
    "wvc": ("mean",),
}


class Table(NamedTuple):
    """Columns of a file as text, by name, and the line of the file on which each row stands."""

    file: str
    lines: Sequence[int]
    columns: dict[str, list[str]]


def table_of(text: Sequence[str], file: str, logger: Logger, columns: Sequence[Column]) -> Table:
    """Take the time column and the declared columns out of a file; its unit and statistic rows must agree.

    Errors: InputError naming line and column for any row with another count of fields, or a heading that disagrees.
    Source: layout of logger files with rows of names, units and processing, read at help.campbellsci.com (TOA5) (read).
    """
    header = _row(text, logger.header_row, file, logger)
    places = {name: _place(header, name, file, logger) for name in (logger.time_column, *(c.name for c in columns))}
    for number, check in ((logger.unit_row, _check_unit), (logger.statistic_row, _check_statistic)):
        row = _row(text, number, file, logger) if number is not None else []
        for column in columns if row else ():
            place = places[column.name]
            check(row[place].strip() if place < len(row) else "", column, f"{file}:{number}")
    return _taken(text, file, logger, places, len(header))


def _row(text: Sequence[str], number: int, file: str, logger: Logger) -> list[str]:
    if number > len(text):
        raise InputError(Fault(file, "", f"has {len(text)} rows, but row {number} is declared as part of its head"))
    try:
        return next(csv.reader([text[number - 1]], delimiter=logger.delimiter, strict=True), [])
    except csv.Error as problem:
        raise InputError(Fault(f"{file}:{number}", "", f"cannot be cut into fields ({problem})")) from None


def _place(header: Sequence[str], name: str, file: str, logger: Logger) -> int:
    found = [place for place, other in enumerate(header) if other.strip() == name]
    if len(found) != 1:
        shown = ", ".join(other.strip() for other in header)[:300]
        what = f"{len(found)} columns are called '{name}', needed is one; the row of names holds {shown}"
        raise InputError(Fault(f"{file}:{logger.header_row}", name, what))
    return found[0]


def _check_unit(text: str, column: Column, where: str) -> None:
    known = UNITS[column.quantity]
    spelt = next((unit for unit in known if unit.lower() == text.lower()), SPELLINGS.get(text.lower(), ""))
    if spelt not in known or known[spelt] != known[column.unit]:
        message = f"the file says the unit is '{text}', the move says '{column.unit}'; correct the move"
        raise InputError(Fault(where, column.name, message))


def _check_statistic(text: str, column: Column, where: str) -> None:
    fits = column.statistic in STATISTICS.get(text.lower(), ())
    if text.lower() == "wvc" and column.quantity != "wind_from_direction":
        raise InputError(Fault(where, column.name, "is a vector mean, which lies below the mean speed; take another"))
    if not fits:
        message = f"the file says '{text}', the move says '{column.statistic}'; correct the move"
        raise InputError(Fault(where, column.name, message))


def _taken(text: Sequence[str], file: str, logger: Logger, places: dict[str, int], width: int) -> Table:
    taken: dict[str, list[str]] = {name: [] for name in places}
    lines: list[int] = []
    reader = csv.reader(iter(text[logger.first_row - 1 :]), delimiter=logger.delimiter, strict=True)
    before = 0
    try:
        for row in reader:
            line, before = logger.first_row + before, reader.line_num
            if not row or row == [""] or (len(row) == 1 and not row[0].strip()):
                continue
            if len(row) != width or logger.first_row - 1 + before != line:
                what = f"has {len(row)} fields, the row of names has {width}; it was cut or holds a stray '\"'"
                raise InputError(Fault(f"{file}:{line}", "", what))
            lines.append(line)
            for name, place in places.items():
                taken[name].append(row[place].strip())
    except csv.Error as problem:
        where = f"{file}:{logger.first_row - 1 + reader.line_num}"
        raise InputError(Fault(where, "", f"cannot be cut into fields ({problem})")) from None
    if not lines:
        raise InputError(Fault(file, "", f"has no data from row {logger.first_row} on"))
    return Table(file, lines, taken)


def numbers(table: Table, column: Column, logger: Logger) -> Array:
    """A column as numbers in the unit of the file; NaN only where it holds a declared sign for missing.

    Errors: InputError naming the line for text, a number with the other decimal sign, an empty field not declared.
    Source: house rule, text is never read as a number or as missing (practice).
    """
    form, empty = NUMBER[logger.decimal], set(logger.missing)
    values = np.full(len(table.lines), np.nan)
    for place, text in enumerate(table.columns[column.name]):
        if text in empty:
            continue
        if form.fullmatch(text) is None:
            shown = text if len(text) <= 40 else text[:37] + "..."
            what = f"'{shown}' is no number with decimal '{logger.decimal}' and is not declared as missing"
            raise InputError(Fault(f"{table.file}:{table.lines[place]}", column.name, what))
        values[place] = float(text.replace(",", "."))
    return values


def times(table: Table, logger: Logger) -> Instants:
    """End of the interval of each row, UTC; rising, and on one even grid, so that a lost row leaves a hole.

    Errors: InputError naming the line for a time of another form, twice, backward, or off the grid.
    Source: house rule on time (practice).
    """
    import pandas as pd

    texts = pd.Series(table.columns[logger.time_column], dtype="object")
    stamps = pd.to_datetime(texts, format=logger.time_format, exact=True, errors="coerce")
    time: Instants = stamps.to_numpy().astype("datetime64[s]")
    if np.isnat(time).any():
        at = int(np.argmax(np.isnat(time)))
        what = f"'{texts[at][:40]}' is no time of the form '{logger.time_format}'"
        raise InputError(Fault(f"{table.file}:{table.lines[at]}", logger.time_column, what))
    _check_grid(table, logger, time)
    interval = np.timedelta64(round(60 * logger.interval_min), "s")
    time = time - np.timedelta64(logger.offset_min, "m")
    return time + interval if logger.label == "start" else time


def _check_grid(table: Table, logger: Logger, time: Instants) -> None:
    interval = np.timedelta64(round(60 * logger.interval_min), "s")
    steps = np.diff(time)
    zero = np.timedelta64(0, "s")
    wrong = (steps <= zero) | (steps % interval != zero)
    if not wrong.any():
        return
    at = int(np.argmax(wrong)) + 1
    if steps[at - 1] <= zero:
        kind = "stands twice" if steps[at - 1] == zero else "lies before the row above it"
        what = f"the time {time[at]} {kind}; was the clock set, or does it follow summer time?"
    else:
        what = f"the time {time[at]} is not a multiple of {logger.interval_min:g} min after the row above it"
    raise InputError(Fault(f"{table.file}:{table.lines[at]}", logger.time_column, what))
