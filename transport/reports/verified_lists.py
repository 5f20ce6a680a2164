"""The single cases of a verification: each missed event, and what could not be scored."""

import math
from datetime import tzinfo
from typing import Any

import xarray as xr

from shared.verification import Verification
from transport.reports.listings import Listing
from transport.reports.masthead import local_zone
from transport.reports.notation import UNKNOWN, compass, down, gust, moment, share, up
from transport.reports.verified_text import count

__all__ = ["dated", "left_out_listing", "missed_listing", "scored"]

SHOWN_COUNT = 25
MISSED = ("forecast", "above", "until", "lead", "chance", "highest", "observed", "wind from")
LEFT_OUT = ("lacking", "from", "until", "pairs", "highest observed")


def missed_listing(result: Verification, most: int = SHOWN_COUNT) -> Listing:
    """Every missed event; of more than `most` those with the highest gust above each threshold, and a note."""
    scores, zone = result.scores, local_zone(result)
    total = scores.sizes["missed"]
    worst = scores["missed_observed_mps"].values.argsort(kind="stable")[::-1][:most]
    rows = tuple(_missed(scores.isel(missed=number), zone) for number in sorted(worst))
    note = f"{total - most} more, with lower gusts, stand in verification.json." if total > most else ""
    title = "Missed events: gust above the threshold, no warning"
    return Listing(title, MISSED, rows, frozenset(range(1, 8)), note)


def left_out_listing(result: Verification) -> Listing:
    """Stretches of time whose pairs could not be scored, and what they lack."""
    scores, zone = result.scores, local_zone(result)
    rows = tuple(_left_out(scores.isel(left_out=number), zone) for number in range(scores.sizes["left_out"]))
    note = "An anemometer that fails in a storm hides the misses of the storm: look at the highest gust observed."
    return Listing("Pairs that could not be scored", LEFT_OUT, rows, frozenset((1, 2, 3, 4)), note)


def dated(time: Any, zone: tzinfo) -> str:
    """Date with its year, hours and minutes in the zone: an archive is longer than a forecast."""
    there = moment(time)
    return there.astimezone(zone).strftime("%d %b %Y %H:%M") if there else UNKNOWN


def scored(result: Verification) -> str:
    """How many pairs were scored, of how many runs, and from when to when, in one sentence."""
    facts, zone = result.scores.attrs, local_zone(result)
    span = " to ".join(dated(facts[name], zone) for name in ("first_time", "last_time") if facts[name])
    counts = f"{facts['scored_count']} of {facts['pairs_count']} pairs scored"
    runs = f"from {facts['runs_count']} runs with {facts['members_count']} members"
    return f"{counts}, {runs}{', ' + span if span else ''}."


def _missed(row: xr.Dataset, zone: tzinfo) -> tuple[str, ...]:
    kind = str(row["missed_kind"].values)
    return (
        kind,
        gust(float(row["missed_threshold_mps"])),
        dated(row["missed_time"].values, zone),
        f"{float(row['missed_lead_h']):g} h",
        share(float(row["missed_chance_ratio"])),
        f"{down(float(row['missed_high_mps']))} m/s",
        f"{up(float(row['missed_observed_mps']), 1)} m/s",
        "not known" if math.isnan(row["missed_wind_from_deg"]) else compass(float(row["missed_wind_from_deg"])),
    )


def _left_out(row: xr.Dataset, zone: tzinfo) -> tuple[str, ...]:
    highest = float(row["left_out_highest_mps"])
    return (
        str(row["left_out_reason"].values),
        dated(row["left_out_from"].values, zone),
        dated(row["left_out_until"].values, zone),
        count(row["left_out_count"]),
        "not known" if math.isnan(highest) else f"{up(highest, 1)} m/s",
    )
