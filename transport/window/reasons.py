"""Why it is no-go or undecided, and what would have to give for the best closed start to open."""

import json
from collections import Counter
from collections.abc import Sequence
from datetime import datetime, tzinfo

import numpy as np
import xarray as xr

from transport.window.answer import Answer, Found
from transport.window.inputs import Limits, Move

__all__ = ["reasons", "refusals", "unchecked", "would_open"]

SHOWN = 6


def refusals(forecast: xr.Dataset) -> tuple[str, ...]:
    """Why the forecast is not good enough to decide on."""
    return tuple(str(refusal["message"]) for refusal in json.loads(forecast.attrs.get("refusals", "[]")))


def reasons(window: xr.Dataset, refused: Sequence[str], zone: tzinfo) -> tuple[str, ...]:
    """Refusals first, then what closes the starts that are not go, the most frequent first and the night last."""
    names = ("verdict", "governed_by", "governing_stage", "governing_words", "governing_time")
    rows = [row for row in zip(*(window[name].values.tolist() for name in names), strict=True) if row[0] != "go"]
    counted = Counter(row[:3] for row in rows).most_common()
    ranked = sorted(counted, key=lambda one: (one[0][1] == "daylight", one[0][0] != "undecided"))
    total = window.sizes["start"]
    found = []
    for kind, count in ranked[:SHOWN]:
        words, time_ns = next(row[3:] for row in rows if row[:3] == kind)
        when = "" if time_ns < 0 else f", {_local(time_ns / 1e9, zone)}"
        found.append(f"{kind[0]}: {kind[1]} in stage '{kind[2]}', {count} of {total} starts; the first: {words}{when}")
    return (*(f"undecided: {message}" for message in refused), *found)


def would_open(given: Answer, zone: tzinfo) -> tuple[str, ...]:
    """What the closed start with the least utilisation lacks; all of its lines have to be met together."""
    closed = np.flatnonzero(given.outcome.verdict == "no-go")
    finite = [number for number in closed if np.isfinite(given.outcome.utilisation[number])]
    if not finite:
        return ()
    best = int(min(finite, key=lambda number: float(given.outcome.utilisation[number])))
    worst: dict[tuple[str, str], Found] = {}
    for found in given.over(best):
        key = (found.name, found.stage)
        if key not in worst or not found.utilisation <= worst[key].utilisation:
            worst[key] = found
    start = _local(float(given.start_s[best]), zone)
    return tuple(_line(start, found) for found in worst.values())


def unchecked(move: Move) -> tuple[str, ...]:
    """The limits in time that the move leaves out."""
    words = {
        "precipitation_mm_per_h": "rain",
        "dew_margin_K": "dew on the mirror",
        "visibility_m": "visibility",
        "lowest_air_temperature_c": "road ice",
    }
    limits: Limits = move.limits
    return tuple(
        f"not checked: {word} (limits.{name} is not given)"
        for name, word in words.items()
        if getattr(limits, name) is None
    )


def _local(time_s: float, zone: tzinfo) -> str:
    return datetime.fromtimestamp(time_s, tz=zone).strftime("%a %d %b %H:%M")


def _line(start: str, found: Found) -> str:
    where = "" if np.isnan(found.station_m) else f" at station {found.station_m:.0f} m"
    by = f", over by {100 * (found.utilisation - 1):.0f} %" if np.isfinite(found.utilisation) else ""
    return f"start {start}: {found.name} in stage '{found.stage}'{where}: {found.words}{by}"
