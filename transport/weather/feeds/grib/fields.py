"""Which GRIB fields are needed, told by discipline, category and number, by level and by process over time.

Short names are not used: they differ between centres and stand for several quantities at once.
"""

from functools import cache
from typing import Any, NamedTuple

from shared.tables import published
from transport.weather.feeds.grib.extract import INSTANT
from transport.weather.fields import NAMES, bounds_of

__all__ = ["METHODS", "Rule", "as_json", "rules"]

METHODS = {INSTANT: "point", 1: "sum", 2: "maximum"}  # code table 4.10
PROCESSES = {method: process for process, method in METHODS.items()}


class Rule(NamedTuple):
    """One needed field: name, CF name and units, key, levels and processes, the preferred ones first."""

    name: str
    standard_name: str
    units: str
    key: tuple[int, int, int]
    centre: int | None
    surfaces: tuple[int, ...]
    second: int | None
    processes: tuple[int, ...]


def rules() -> tuple[Rule, ...]:
    """All needed fields, the preferred one of each CF name first.

    Source: shared/published/grib2_fields.csv, WMO-No. 306 volume I.2, code tables 4.2, 4.5 and 4.10 (read).
    """
    return tuple(_rule(tuple(row.items())) for row in published("grib2_fields").rows)


@cache
def _rule(items: tuple[tuple[str, str], ...]) -> Rule:
    row = dict(items)
    return Rule(
        row["name"],
        row["standard_name"],
        row["units"],
        (int(row["discipline"]), int(row["category"]), int(row["number"])),
        int(row["centre"]) if row["centre"] else None,
        tuple(map(int, row["surfaces"].split())),
        int(row["second"]) if row["second"] else None,
        tuple(PROCESSES[method] for method in row["processes"].split()),
    )


def as_json(rule: Rule) -> dict[str, Any]:
    """A rule as the decoder takes it, with the heights above ground that the field is needed for."""
    bounds = bounds_of(NAMES[rule.standard_name])
    return {
        "key": rule.key,
        "centre": rule.centre,
        "surfaces": rule.surfaces,
        "second": rule.second,
        "processes": rule.processes,
        "low_m": bounds.height_low_m,
        "high_m": bounds.height_high_m,
    }
