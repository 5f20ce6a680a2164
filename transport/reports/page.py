"""One page that needs nothing else: no network, no second file, readable without scripts, printable."""

import json
from typing import Any

from markupsafe import Markup

from shared.assessment import Assessment
from transport.reports import gust_chart, profile_chart, rose_chart
from transport.reports.document import document
from transport.reports.drawing import Scale, element
from transport.reports.fingerprint import fingerprint
from transport.reports.frame import seconds
from transport.reports.listings import opening_listing, start_listing, state_listing
from transport.reports.masthead import heading, local_zone, remarks, rule
from transport.reports.notation import stamp, worded, zone_name
from transport.reports.records import default_listing, input_listing, option_listing, unread_listing
from transport.reports.rose_cells import one_valued
from transport.reports.sources import source_listings, sources_of
from transport.reports.starts import Start, first_shown, starts
from transport.reports.stretches import hold_listing, stretch_listing
from transport.reports.timetable import timetable_listing

__all__ = ["page"]

LABELS = (
    *(("utilisation", "utilisation"), ("chance", "chance of passing a limit"), ("margin", "margin")),
    *(("governed", "governed by"), ("words", "action against limit"), ("stage", "stage")),
    *(("where", "where"), ("when", "when, end of the hour")),
)
BADGES = {
    "go": "M12 30l12 14 24-30",
    "no-go": "M14 14l32 32M46 14l-32 32",
    "undecided": "M20 22a10 10 0 1 1 12 12v6M32 46v7",
}


def page(result: Assessment) -> str:
    """The whole page as text."""
    zone, clock = local_zone(result), result.provenance.as_of
    names = heading(result)
    frame = {
        "result": result,
        "names": names,
        "as_of": stamp(clock, zone),
        "zone": zone_name(zone, clock),
        "rule": rule(result),
        **{name: list(map(worded, getattr(result, name))) for name in ("reasons", "would_open")},
        "remarks": remarks(result),
        "mark": fingerprint(result),
        "labels": LABELS,
    }
    given = frame | _tables(result) | _drawings(result) | _choice(result)
    return document("page.html.j2", names["name"], given, script="page.js")


def _tables(result: Assessment) -> dict[str, Any]:
    return {
        "openings": opening_listing(result),
        "timetable": timetable_listing(result),
        "starts": start_listing(result),
        "stretches": stretch_listing(result),
        "holds": hold_listing(result),
        "states": state_listing(result),
        "others": source_listings(sources_of(result), local_zone(result)),
        "unread": unread_listing(result),
        "defaults": default_listing(result),
        "inputs": input_listing(result),
        "run": option_listing(result),
    }


def _drawings(result: Assessment) -> dict[str, Any]:
    stroke = {"fill": "none", "stroke": "currentColor", "stroke_width": 7}
    path = element("path", d=BADGES.get(result.verdict, BADGES["undecided"]), **stroke)
    return {
        "badge": element("svg", path, viewBox="0 0 60 60", aria_hidden="true", focusable="false"),
        "gust_chart": gust_chart.draw(result),
        "profile_chart": profile_chart.draw(result),
        "rose_sentence": one_valued(result),
        "rose_chart": rose_chart.draw(result),
    }


def _choice(result: Assessment) -> dict[str, Any]:
    """The start shown first, and the data of all starts for the slider."""
    table, across = start_listing(result).rows, gust_chart.time_scale(result)
    road = profile_chart.station_scale(result)
    rows = [_row(start, cells, across, road) for start, cells in zip(starts(result), table, strict=True)]
    first = first_shown(result)
    chosen = rows[first] if rows else None
    return {"rows": rows, "first": first, "chosen": chosen, "data": _inert(rows)}


def _row(start: Start, cells: tuple[str, ...], across: Scale, road: Scale) -> dict[str, str]:
    names = ("start", "verdict", "utilisation", "chance", "margin", "governed", "words", "stage", "where", "when")
    where_px = road(start.station_m) if start.station_m == start.station_m else -9.0
    when_px = across(seconds(start.time)) if start.time else -9.0
    places = {"start_px": across(seconds(start.start)), "when_px": when_px, "where_px": where_px}
    return dict(zip(names, cells, strict=True)) | {name: f"{value:.1f}" for name, value in places.items()}


def _inert(rows: list[dict[str, str]]) -> Markup:
    """JSON that cannot end the element it stands in."""
    text = json.dumps(rows, allow_nan=False, sort_keys=True)
    for sign in "<>&":
        text = text.replace(sign, f"\\u{ord(sign):04x}")
    return Markup(text)  # noqa: S704  nothing left that HTML reads
