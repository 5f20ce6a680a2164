"""A verification for the terminal and for programs."""

from typing import Any

from shared.verification import Verification
from transport.reports.cautions import caution
from transport.reports.extracts import Extract
from transport.reports.listings import Listing
from transport.reports.masthead import heading, local_zone, rule
from transport.reports.notation import zone_name
from transport.reports.numbers import numbers_of
from transport.reports.verified_lists import dated, left_out_listing, missed_listing, scored
from transport.reports.verified_tables import event_listing, general_listing, headline_listing, lead_listing
from transport.reports.verified_text import enough, few, first_threshold, headlines, kinds

__all__ = ["verified_extract"]

TITLE = "What the forecast has been worth at the mast"
SHOWN_COUNT = 20
SHORT = ("missed", "CRPS")


def verified_extract(result: Verification) -> Extract:
    """Missed events first; tables in short; the record holds every number."""
    threshold, names = first_threshold(result), kinds(result.scores)
    listings = (
        headline_listing(result),
        missed_listing(result, SHOWN_COUNT).only("forecast", "above", "until", "lead", "highest", "observed"),
        _narrow(lead_listing(result), names),
        event_listing(result, threshold),
        general_listing(result),
        left_out_listing(result),
    )
    short = () if enough(result.scores) else (few(result.scores),)
    said = (*short, scored(result), rule(result), *result.remarks)
    return Extract(_title(result), listings, tuple(dict.fromkeys(said)), _record(result))


def _title(result: Verification) -> str:
    zone, clock = local_zone(result), result.provenance.as_of
    named = f"{TITLE}: {heading(result)['name']}"
    return f"{named}\nas of {dated(clock, zone)}; all times are local: {zone_name(zone, clock)}"


def _narrow(listing: Listing, names: list[str]) -> Listing:
    """The table by lead as a terminal has room for it."""
    kept = listing.only("lead", "pairs", "events", *(f"{word} {kind}" for word in SHORT for kind in names))
    return kept._replace(columns=tuple(name.replace("calibrated", "cal.") for name in kept.columns))


def _record(result: Verification) -> dict[str, Any]:
    facts, numbers = result.provenance, numbers_of(result.scores)
    return {
        "headlines": [line for one in result.scores["threshold"].values for line in headlines(result, float(one))],
        "forecast_kinds": kinds(result.scores),
        "gust_limit_mps": result.limit_mps,
        "rule": rule(result),
        "currency": result.currency,
        "remarks": list(result.remarks),
        "scores": {name: numbers[name] for name in ("coordinates", "variables", "attributes")},
        "inputs": [{"path": file.path, "sha256": file.sha256} for file in facts.inputs],
        "unread_numbers": [used._asdict() for used in facts.unread],
        "defaults": [{"field": one.field, "value": str(one.value), "why": one.why} for one in facts.defaults],
        "version": facts.version,
        "as_of": facts.as_of.isoformat(),
        "caution": caution(),
    }
