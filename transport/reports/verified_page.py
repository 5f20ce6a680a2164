"""A verification as one page that needs nothing else: no network, no script, no second file."""

from typing import Any

from shared.verification import Verification
from transport.reports import rank_chart, reliability_chart, value_chart
from transport.reports.document import document
from transport.reports.fingerprint import fingerprint
from transport.reports.masthead import heading, local_zone, rule
from transport.reports.notation import gust, worded, zone_name
from transport.reports.records import default_listing, input_listing, option_listing, unread_listing
from transport.reports.verified_lists import dated, left_out_listing, missed_listing, scored
from transport.reports.verified_tables import (
    bin_listing,
    event_listing,
    general_listing,
    headline_listing,
    lead_listing,
    sector_listing,
    stake_listing,
    value_listing,
)
from transport.reports.verified_text import chosen, enough, few, first_threshold, headlines

__all__ = ["verified_page"]

LISTED_COUNT = 1000


def verified_page(result: Verification) -> str:
    """The whole page as text."""
    zone, clock = local_zone(result), result.provenance.as_of
    names = heading(result)
    frame = {
        "result": result,
        "names": names,
        "as_of": dated(clock, zone),
        "zone": zone_name(zone, clock),
        "rule": rule(result),
        "remarks": list(map(worded, result.remarks)),
        "mark": fingerprint(result),
        "first": gust(first_threshold(result)),
        "headlines": list(headlines(result, first_threshold(result))),
        **_headline(result),
        "scored": scored(result),
        "few": "" if enough(result.scores) else few(result.scores),
    }
    return document("verification.html.j2", names["name"], frame | _tables(result) | _drawings(result))


def _headline(result: Verification) -> dict[str, int]:
    """Of the threshold that is shown first: events, and the misses of the forecast that missed most."""
    one = chosen(result.scores, threshold=first_threshold(result))
    return {name: int(one[name].values.max()) for name in ("miss_count", "event_count")}


def _tables(result: Verification) -> dict[str, Any]:
    return {
        "summary": headline_listing(result),
        "missed": missed_listing(result)._replace(note=""),
        "all_missed": missed_listing(result, LISTED_COUNT),
        "leads": lead_listing(result),
        "sectors": sector_listing(result),
        "general": general_listing(result),
        "events": [event_listing(result, float(one)) for one in result.scores["threshold"].values],
        "bins": bin_listing(result),
        "values": value_listing(result),
        "stake": stake_listing(result),
        "left_out": left_out_listing(result),
        "unread": unread_listing(result),
        "defaults": default_listing(result),
        "inputs": input_listing(result),
        "run": option_listing(result),
    }


def _drawings(result: Verification) -> dict[str, Any]:
    return {
        "reliability_chart": reliability_chart.draw(result),
        "rank_chart": rank_chart.draw(result),
        "value_chart": value_chart.draw(result),
    }
