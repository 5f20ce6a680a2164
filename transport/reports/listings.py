"""The result as tables of text that all outputs share: windows, hours, starts, limit states, stretches."""

import math
from datetime import tzinfo
from typing import NamedTuple

from shared.assessment import Assessment
from transport.reports.hours import Hour, hours, runs
from transport.reports.masthead import by_factor, local_zone
from transport.reports.notation import (
    clock,
    compass,
    cut,
    gust,
    margin,
    one_line,
    place,
    share,
    short_stamp,
    stamp,
    up,
    use,
)
from transport.reports.starts import Start, starts
from transport.reports.states import State, states

__all__ = [
    "Listing",
    "holds",
    "hour_listing",
    "opening_listing",
    "short_start_listing",
    "start_listing",
    "started",
    "state_listing",
    "verdict_listing",
]

NAME_COUNT = 22
CASE = "(LC"


class Listing(NamedTuple):
    """A table; `numbers` tells which columns hold numbers and verdicts, which may never be cut.

    `note` is a sentence under the table.
    """

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    numbers: frozenset[int] = frozenset()
    note: str = ""

    def only(self, *columns: str) -> "Listing":
        """The same table with fewer columns."""
        kept = [self.columns.index(name) for name in columns]
        rows = tuple(tuple(row[index] for index in kept) for row in self.rows)
        numbers = frozenset(order for order, index in enumerate(kept) if index in self.numbers)
        return Listing(self.title, columns, rows, numbers, self.note)


def opening_listing(result: Assessment) -> Listing:
    """The windows, in the time of the site."""
    zone = local_zone(result)
    rows = tuple(
        (
            stamp(opening.opens, zone),
            stamp(opening.latest_start, zone),
            stamp(opening.closes, zone),
            margin(opening.margin_ratio),
            one_line(opening.governed_by),
        )
        for opening in result.openings
    )
    title = f"Windows: {started(result)}"
    return Listing(title, ("opens", "latest start", "closes", "margin", "governed by"), rows, frozenset(range(4)))


def started(result: Assessment) -> str:
    """What a start is: the beginning of the first stage, which need not be the drive."""
    names = list(map(one_line, result.window["stage"].values)) if "stage" in result.window else []
    return "start of the operation" + (f" (stage '{names[0]}')" if names else "")


def hour_listing(result: Assessment) -> Listing:
    """Start by start, hour by hour; what governs the worst start of the hour, where and when."""
    zone = local_zone(result)
    rows = tuple(_hour_row(row, zone) for row in runs(hours(starts(result), zone)))
    columns = ("hour", "starts", "util.", "governed by", "where", "when")
    title = "Hour by hour: G go, x no-go, ? undecided; util. = action over its limit, worst start of the hour"
    return Listing(title, columns, rows, frozenset((0, 1, 2, 4, 5)))


def start_listing(result: Assessment) -> Listing:
    """Every start time."""
    zone = local_zone(result)
    factor = by_factor(result)
    columns = (
        "start",
        "verdict",
        "utilisation",
        "chance",
        "margin",
        "governed by",
        "action against limit",
        "stage",
        "where",
        "when",
    )
    rows = tuple(_start_row(row, zone, factor) for row in starts(result))
    return Listing("Starts", columns, rows, frozenset((2, 3, 4)))


def short_start_listing(result: Assessment) -> Listing:
    """Every start time on one line of 80 columns."""
    zone = local_zone(result)
    columns = ("start", "verdict", "util.", "governed by", "when")
    rows = tuple(_short_start_row(row, zone) for row in starts(result))
    title = "Starts; util. = action over its limit, in the hour that ends at 'when'"
    return Listing(title, columns, rows, frozenset(range(5)))


def state_listing(result: Assessment) -> Listing:
    """Every limit state with its least limit on the gust."""
    columns = ("", "limit state", "gust limit", "station", "wind from", "still air", "clause")
    return Listing(
        "Limit states: least limit on the gust, and utilisation in still air",
        columns,
        tuple(map(_state_row, states(result))),
        frozenset((0, 2, 3, 4, 5)),
    )


def verdict_listing(result: Assessment) -> Listing:
    """In words whether each check holds: the load cases first, then every other limit state."""
    found = states(result)
    first = [row for row in found if CASE in row.name]
    rows = tuple(_verdict_row(row) for row in (*first, *(row for row in found if row not in first)))
    columns = ("limit state", "holds", "still air", "gust limit", "limit at", "wind from")
    return Listing("Verdict by load case and limit state", columns, rows, frozenset(range(1, 6)))


def holds(utilisation_ratio: float, limit_mps: float) -> str:
    """Whether a check holds in still air and leaves room for wind; what is not known does not hold."""
    if math.isnan(utilisation_ratio) or math.isnan(limit_mps):
        return "not known"
    return "yes" if utilisation_ratio <= 1.0 and limit_mps > 0.0 else "NO"


def _verdict_row(row: State) -> tuple[str, ...]:
    _, name, limit, where, wind, still, _ = _state_row(row)
    return name, holds(row.utilisation_ratio, row.limit_mps), still, limit, where, wind


def _hour_row(row: Hour, zone: tzinfo) -> tuple[str, ...]:
    until = "" if row.first == row.last else f"-{clock(row.last, zone)}"
    worst = row.worst
    where = place(worst.station_m) if math.isfinite(worst.station_m) else "-"
    when = short_stamp(worst.time, zone) if worst.time else "-"
    marks = " ".join(row.marks) if not until else f"{row.marks} all"
    return short_stamp(row.first, zone) + until, marks, use(worst.utilisation_ratio), worst.governed_by, where, when


def _short_start_row(row: Start, zone: tzinfo) -> tuple[str, ...]:
    when = short_stamp(row.time, zone)
    named = cut(row.governed_by, NAME_COUNT)
    return short_stamp(row.start, zone), row.verdict, use(row.utilisation_ratio), named, when


def _start_row(row: Start, zone: tzinfo, factor: bool) -> tuple[str, ...]:
    return (
        stamp(row.start, zone),
        row.verdict,
        use(row.utilisation_ratio),
        "not used (factor rule)" if factor else share(row.chance_ratio),
        margin(row.margin_ratio),
        row.governed_by,
        row.words,
        row.stage,
        place(row.station_m),
        stamp(row.time, zone),
    )


def _state_row(row: State) -> tuple[str, ...]:
    limited = math.isfinite(row.limit_mps)
    still = "not stated" if math.isnan(row.utilisation_ratio) else up(row.utilisation_ratio)
    where = "all" if row.everywhere else place(row.station_m)
    where = where if limited or math.isnan(row.limit_mps) else "-"
    wind = compass(row.wind_from_deg) if limited and row.limit_mps > 0 else "-"
    return row.letter, row.name, gust(row.limit_mps), where, wind, still, row.clause
