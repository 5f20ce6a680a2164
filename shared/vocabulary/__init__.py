"""Every result variable: its unit, its long name, and its CF standard name where one exists."""

import csv
from pathlib import Path
from typing import NamedTuple

__all__ = ["VOCABULARY", "Entry"]


class Entry(NamedTuple):
    """What a result variable means."""

    units: str
    long_name: str
    standard_name: str | None


def _entries(file: Path) -> dict[str, Entry]:
    with file.open(encoding="utf-8", newline="") as lines:
        rows = csv.DictReader(lines)
        return {row["name"]: Entry(row["units"], row["long_name"], row["standard_name"] or None) for row in rows}


VOCABULARY: dict[str, Entry] = {}
for _file in sorted(Path(__file__).parent.glob("*.csv")):
    for _name, _entry in _entries(_file).items():
        if VOCABULARY.setdefault(_name, _entry) != _entry:
            raise ValueError(f"{_file.name}: {_name} is already in the vocabulary with another meaning")
