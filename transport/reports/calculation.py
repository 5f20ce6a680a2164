"""The calculation sheet for the safety officer: verdict and unread numbers first, then every line to check by hand."""

from collections.abc import Iterable
from typing import Any

import xarray as xr

from shared.assessment import Assessment
from transport.reports import plots
from transport.reports.capacities import capacity_listings, capacity_remarks, code_listings, strictest
from transport.reports.capacity_polar import capacity_alt, capacity_polar, no_polar_words
from transport.reports.cautions import CAUTION, CAUTION_HEADING
from transport.reports.chain_schedule import chain_remarks, chain_schedule
from transport.reports.fingerprint import fingerprint
from transport.reports.formulas import printed_lines
from transport.reports.glyphs import shown
from transport.reports.lashing import lacking
from transport.reports.listings import Listing, state_listing, verdict_listing
from transport.reports.masthead import heading, local_zone, remarks, rule
from transport.reports.notation import one_line, stamp, worded, zone_name
from transport.reports.proofs import (
    balance_listings,
    balance_remarks,
    balance_sentence,
    group_listing,
    loss_listing,
    loss_remarks,
    worst_loss,
)
from transport.reports.proposed import proposal_listing
from transport.reports.record_sheet import SEQUENCE, SIGNATURES, inspection_listing, tension_listing
from transport.reports.records import (
    STATUS,
    default_listing,
    input_listing,
    option_listing,
    table_listings,
    unread_listing,
    unread_words,
)
from transport.reports.rose_cells import one_valued
from transport.reports.schedules import other_schedules, unit_schedules
from transport.reports.scheme_views import (
    WIDTH_MM,
    no_scheme_words,
    scheme_alt,
    scheme_end,
    scheme_plan,
    scheme_side,
)
from transport.reports.slides import code_slide_listing, movement_listing, slide_sentence
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
SCHEME = {"plan": "Plan, to scale.", "side": "Side view, to scale.", "end": "View from behind, to scale, with the key."}
POLAR = "What the securing holds over the weight, against what codes and load cases ask for."
MARKS = {STATUS["memory"]: "M", STATUS["practice"]: "P", STATUS["own"]: "O"}
NOTHING = xr.Dataset()


def calculation(result: Assessment) -> bytes:
    """The sheet as PDF."""
    data = head(result) | _tables(result) | _securing(result) | _pictures(result)
    data |= {
        "size": 9.0,
        "verdict_note": _windows(len(result.openings)),
        "checks": [_check(result, name) for name in _names(result)],
        "unread_words": [(name, value, MARKS.get(status, "?")) for name, value, status in unread_words(result)],
        "weather": printed_lines(result.forecast),
        "earthquake": _earthquake(result),
        "sequence": list(SEQUENCE),
        "signatures": list(SIGNATURES),
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
        "verdicts": verdict_listing(result),
        "stretches": stretch_listing(result),
        "holds": hold_listing(result),
        "inputs": input_listing(result),
        "run": option_listing(result),
        "defaults": default_listing(result),
        "retension": tension_listing(result.move),
        "inspection": inspection_listing(result.move),
    }
    several = {
        "unit": unit_schedules(result.move),
        "others": other_schedules(result.move),
        "published": table_listings(result),
    }
    return {name: written(table) for name, table in tables.items()} | {
        name: list(map(written, found)) for name, found in several.items()
    }


def _securing(result: Assessment) -> dict[str, Any]:
    """The sections on the securing: tables, and sentences that say what is missing."""
    check, stand = (result.checks.get(name, NOTHING) for name in ("securing", "trailer"))
    return {
        "key_facts": [strictest(check), worst_loss(check), slide_sentence(check)],
        "one_set": balance_sentence(check),
        "chains": _section(chain_schedule(result.move, check), chain_remarks(check)),
        "models": _section(capacity_listings(check), capacity_remarks(check)),
        "codes": _section(code_listings(check), lacking(check, "code_name")),
        "proposals": _section([proposal_listing(result.proposals)], ()),
        "balance": _section(balance_listings(check), balance_remarks(check)),
        "movement": _section(
            [movement_listing(check), code_slide_listing(check)], lacking(check, "movement_m", "allowed_movement_m")
        ),
        "losses": _section([loss_listing(check), group_listing(stand)], loss_remarks(check, stand)),
    }


def _section(listings: Iterable[Listing], said: Iterable[str]) -> dict[str, Any]:
    return {"tables": [written(one) for one in listings if one.rows], "said": list(said)}


def _pictures(result: Assessment) -> dict[str, Any]:
    return {
        "drawings": _drawings(result),
        "no_drawing": no_scheme_words(result),
        "polar": [_drawing(capacity_polar(result), capacity_alt(result), POLAR)] if not no_polar_words(result) else [],
        "no_polar": no_polar_words(result),
        "profile": plots.limit_profile(result),
        "profile_alt": "Grade and least gust limit along the road; the table of stretches holds the values.",
        "rose_sentence": one_valued(result),
        "rose": plots.limit_rose(result),
        "rose_alt": "Least gust limit by station and wind direction; the table of limit states holds the least values.",
    }


def _drawings(result: Assessment) -> list[dict[str, Any]]:
    """The scheme from above, from the side and from behind, at one scale; none where it cannot be drawn."""
    drawn = {"plan": scheme_plan, "side": scheme_side, "end": scheme_end}
    return [
        _drawing(svg, scheme_alt(result, view), SCHEME[view]) for view, draw in drawn.items() if (svg := draw(result))
    ]


def _drawing(svg: str, alt: str, caption: str) -> dict[str, Any]:
    return {"svg": svg, "alt": alt, "caption": caption, "width_mm": WIDTH_MM}


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
        "lines": printed_lines(check),
    }


def _earthquake(result: Assessment) -> list[str]:
    attrs = result.checks["seismic"].attrs if "seismic" in result.checks else {}
    return [one_line(text) for name, text in attrs.items() if str(name).endswith("_sentence")]
