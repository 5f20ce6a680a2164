"""Published numbers: each stands once, in shared/published/*.csv, with its source and status.

Reading a number inside `ledger()` records it, so that a result can list every number it used that nobody has
read in its source.
"""

import csv
import re
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np

from shared.arrays import Array
from shared.errors import OutOfRangeError
from shared.ranges import require

__all__ = ["Table", "Used", "figure", "ledger", "published"]

FOLDER = Path(__file__).parent / "published"


class Used(NamedTuple):
    """One published number or table that a result used."""

    name: str
    value: str
    unit: str
    source: str
    status: str


_ledger: ContextVar[set[Used] | None] = ContextVar("ledger", default=None)


@contextmanager
def ledger() -> Iterator[set[Used]]:
    """Collect every published number that is read inside the block."""
    used: set[Used] = set()
    token = _ledger.set(used)
    try:
        yield used
    finally:
        _ledger.reset(token)


@dataclass(frozen=True)
class Table:
    """A published table: rows as text, with its source and status."""

    name: str
    source: str
    status: str
    rows: tuple[dict[str, str], ...]

    def column(self, name: str) -> list[str]:
        """One column as text."""
        return [row[name] for row in self.rows]

    def numbers(self, name: str) -> Array:
        """One column as numbers."""
        return np.array([float(row[name]) for row in self.rows])

    def row(self, **keys: str) -> dict[str, str]:
        """The one row whose columns equal the keys; a missing one is an error that names what exists."""
        found = [row for row in self.rows if all(row[name] == value for name, value in keys.items())]
        if len(found) != 1:
            known = "; ".join(", ".join(row[name] for name in keys) for row in self.rows)
            asked = ", ".join(keys.values())
            raise OutOfRangeError(f"{self.name}: {len(found)} rows for {asked}; the table has {known}")
        return found[0]

    def interpolate(self, x: str, y: str, value: Any) -> Array:
        """Linear interpolation of column y over column x; outside the table is an error."""
        grid = self.numbers(x)
        require(value, float(grid[0]), float(grid[-1]), name=x, what=f"the range of {self.name} ({self.source})")
        return np.asarray(np.interp(value, grid, self.numbers(y)), dtype=float)


def published(name: str) -> Table:
    """Read shared/published/NAME.csv and note that it was used."""
    table = _read(name)
    _note(Used(name, "table", "", table.source, table.status))
    return table


def figure(name: str) -> float:
    """Read one number of shared/published/figures.csv and note that it was used."""
    row = _figures().get(name)
    if row is None:
        raise KeyError(f"no published figure is called {name}")
    source = ", ".join(part for part in (row["source"], row["clause"]) if part)
    _note(Used(name, row["value"], row["unit"], source, row["status"]))
    return float(row["value"])


def _note(used: Used) -> None:
    if (book := _ledger.get()) is not None:
        book.add(used)


@cache
def _read(name: str) -> Table:
    head, *body = (FOLDER / f"{name}.csv").read_text(encoding="utf-8").splitlines()
    match = re.fullmatch(r"# source: (.+?) \| status: (read|memory|practice|own) \| key: (\S+)", head)
    if not match:
        raise ValueError(f"{name}.csv: the first line must give source, status and key")
    return Table(name, match[1], match[2], tuple(csv.DictReader(body)))


@cache
def _figures() -> dict[str, dict[str, str]]:
    with (FOLDER / "figures.csv").open(encoding="utf-8", newline="") as lines:
        return {row["name"]: row for row in csv.DictReader(lines)}
