"""The calculation sheet for the safety officer: what has not been read first, then every line to check by hand."""

from typing import Any

import numpy as np
import xarray as xr

from shared.assessment import Assessment
from transport.reports import plots
from transport.reports.cautions import CAUTION, CAUTION_HEADING
from transport.reports.fingerprint import fingerprint
from transport.reports.formulas import printed_lines
from transport.reports.glyphs import shown
from transport.reports.listings import Listing, state_listing
from transport.reports.masthead import heading, local_zone, remarks, rule
from transport.reports.notation import one_line, plain, stamp, worded, zone_name
from transport.reports.records import STATUS, default_listing, input_listing, option_listing, unread_listing
from transport.reports.rose_cells import one_valued
from transport.reports.schedules import schedules
from transport.reports.stretches import hold_listing, stretch_listing
from transport.reports.typesetting import typeset

__all__ = ["calculation", "head", "written"]

NARROW_COUNT = 16
TITLES = {
    "securing": "Securing",
    "trailer": "Trailer",
    "stopping": "Stopping and parking",
    "cover": "Cover",
    "seismic": "Earthquake",
    "route": "Road",
}


def calculation(result: Assessment) -> bytes:
    """The sheet as PDF."""
    data = head(result) | _tables(result) | _pictures(result)
    data |= {
        "size": 9.0,
        "verdict_note": _windows(len(result.openings)),
        "checks": [_check(result, name) for name in _names(result)],
        "status_marks": {words: words[:1].upper() for words in STATUS.values()}
        | {STATUS["memory"]: "M", STATUS["practice"]: "P"},
        "weather": printed_lines(result.forecast),
        "earthquake": _earthquake(result),
    }
    return typeset("calculation.typ", data, result.provenance.as_of)


def _windows(count: int) -> str:
    words = {0: "no window", 1: "one window"}.get(count, f"{count} windows")
    return f"{words} to start in the period asked for"


def head(result: Assessment) -> dict[str, Any]:
    """What both papers say about the move, the run and the caution."""
    names, zone, clock = heading(result), local_zone(result), result.provenance.as_of
    return {
        **{name: names[name] for name in ("organisation", "leg", "prepared_by", "prepared_on")},
        "title": shown(names["name"]),
        "author": shown(names["prepared_by"]),
        "verdict": result.verdict.upper(),
        "as_of": stamp(clock, zone),
        "zone": zone_name(zone, clock),
        "rule": rule(result),
        "footer": f"glasshaul {result.provenance.version}, as of {clock:%Y-%m-%d %H:%M} UTC",
        "mark": fingerprint(result),
        "caution_heading": CAUTION_HEADING,
        "caution": list(CAUTION),
        "remarks": list(remarks(result)),
        "reasons": [worded(line) for line in result.reasons],
        "would_open": [worded(line) for line in result.would_open],
    }


def written(listing: Listing) -> dict[str, Any]:
    """A table as data for the template; a weight of 0 is a column as wide as its text, which is never cut."""
    longest = [max(map(len, column)) for column in zip(listing.columns, *listing.rows, strict=True)]
    fixed = listing.numbers or {order for order, length in enumerate(longest) if length <= NARROW_COUNT}
    return {
        "title": listing.title,
        "columns": list(listing.columns),
        "rows": [list(row) for row in listing.rows],
        "note": listing.note,
        "weights": [0 if order in fixed else min(max(length, 14), 40) for order, length in enumerate(longest)],
    }


def _tables(result: Assessment) -> dict[str, Any]:
    tables = {
        "unread": unread_listing(result),
        "states": state_listing(result),
        "stretches": stretch_listing(result),
        "holds": hold_listing(result),
        "inputs": input_listing(result),
        "run": option_listing(result),
        "defaults": default_listing(result),
    }
    return {name: written(table) for name, table in tables.items()} | {"tables": list(map(written, schedules(result)))}


def _pictures(result: Assessment) -> dict[str, str]:
    return {
        "profile": plots.limit_profile(result),
        "profile_alt": "Grade and least gust limit along the road; the table of stretches holds the values.",
        "rose_sentence": one_valued(result),
        "rose": plots.limit_rose(result),
        "rose_alt": "Least gust limit by station and wind direction; the table of limit states holds the least values.",
    }


def _names(result: Assessment) -> list[str]:
    known = [name for name in TITLES if name in result.checks]
    return known + sorted(set(result.checks) - set(known))


def _check(result: Assessment, name: str) -> dict[str, Any]:
    check = result.checks[name]
    own = {one_line(state) for state in check["limit_state"].values} if "limit_state" in check.coords else set()
    listing = state_listing(result)
    rows = tuple(row for row in listing.rows if row[1] in own)
    return {
        "title": TITLES.get(name, name),
        "states": written(listing._replace(rows=rows)),
        "tables": [written(table) for table in _tensions(check)],
        "lines": printed_lines(check),
    }


def _tensions(check: xr.Dataset) -> list[Listing]:
    """Tension of every chain in every load case, where the check gives it."""
    tension = check.get("chain_tension_kN")
    if tension is None or set(tension.dims) != {"limit_state", "chain"}:
        return []
    values = np.asarray(tension.transpose("chain", "limit_state").values, dtype=float)
    columns = ("chain", *(one_line(state) for state in tension["limit_state"].values))
    tags = map(one_line, tension["chain"].values)
    rows = tuple((tag, *(plain(value, 3) for value in row)) for tag, row in zip(tags, values, strict=True))
    return [Listing("Chain tension, kN", columns, rows)]


def _earthquake(result: Assessment) -> list[str]:
    attrs = result.checks["seismic"].attrs if "seismic" in result.checks else {}
    return [one_line(text) for name, text in attrs.items() if str(name).endswith("_sentence")]
