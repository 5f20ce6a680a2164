"""Why it is no-go or undecided, and what would have to give for the best closed start to open."""

import json
from collections import Counter
from collections.abc import Sequence
from datetime import datetime, tzinfo
from typing import NamedTuple

import numpy as np
import xarray as xr

from transport.window.answer import Found
from transport.window.chance import chance_bound_ratio
from transport.window.inputs import Decision, Limits, Move
from transport.window.joint import Joint

__all__ = ["conditional", "members_lacking", "reasons", "refusals", "unchecked", "would_open"]


class Row(NamedTuple):
    """What settles one start; there is no time where the forecast does not reach that far."""

    verdict: str
    name: str
    feed: str
    stage: str
    words: str
    time_ns: int | None
    utilisation: float


def refusals(forecast: xr.Dataset) -> tuple[str, ...]:
    """Why the forecast is not good enough to decide on."""
    return tuple(str(refusal["message"]) for refusal in json.loads(forecast.attrs.get("refusals", "[]")))


def reasons(window: xr.Dataset, refused: Sequence[str], zone: tzinfo) -> tuple[str, ...]:
    """Refusals first, then what closes the starts that are not go: undecided before no-go, the night last.

    One line for each check and source of weather; the words of a second opinion name it.
    A start whose checks are all met is undecided for a reason among the refusals alone.
    """
    where = ("governing_stage", "governing_words", "governing_time")
    columns = ("verdict", "governed_by", "governing_feed", *where, "utilisation_ratio")
    rows = [Row(*row) for row in zip(*(window[name].values.tolist() for name in columns), strict=True)]
    said = tuple(f"undecided: {message}" for message in refused)
    if said and all(row.verdict == "undecided" for row in rows):
        return said
    closed = [row for row in rows if row.verdict != "go" and not row.utilisation <= 1.0]
    counted = Counter((row.verdict, row.name, row.feed) for row in closed).most_common()
    ranked = sorted(counted, key=lambda one: (one[0][1] == "daylight", one[0][0] != "undecided"))
    kinds = ([row for row in closed if (row.verdict, row.name, row.feed) == kind] for kind, _ in ranked)
    return (*said, *(_reason(kind, len(rows), zone) for kind in kinds))


def _reason(rows: Sequence[Row], total: int, zone: tzinfo) -> str:
    stages = ", ".join(f"'{stage}' {count}" for stage, count in Counter(row.stage for row in rows).most_common())
    first = rows[0]
    when = "" if first.time_ns is None or first.time_ns < 0 else f", {_local(first.time_ns / 1e9, zone)}"
    head = f"{first.verdict}: {first.name}, {len(rows)} of {total} starts, in stage {stages}"
    return f"{head}; the first: {first.words}{when}"


def would_open(given: Joint, zone: tzinfo) -> tuple[str, ...]:
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


def members_lacking(decision: Decision, forecast: xr.Dataset) -> tuple[str, ...]:
    """Why the members at hand cannot prove any start: some are missing, or there are too few for the chance."""
    if decision.rule != "ensemble" or not decision.members_count or not decision.acceptable_chance_ratio:
        return ()
    there, due = forecast.sizes["realization"], decision.members_count
    found = []
    if there < due:
        found.append(f"{there} of {due} members are there; each of the {due - there} missing counts as over the limit")
    confidence = decision.confidence_ratio or 1.0
    least = float(chance_bound_ratio(np.zeros(1), max(there, due), confidence)[0])
    if not least <= decision.acceptable_chance_ratio:
        found.append(
            f"even with no member over the limit {max(there, due)} members leave a chance of up to {least:.1%}, "
            f"acceptable is {decision.acceptable_chance_ratio:.1%}; more members or a larger chance are needed"
        )
    return tuple(found)


def conditional(move: Move) -> tuple[str, ...]:
    """What the answer rests on besides the checks."""
    cover, found = move.cover, []
    for stage in move.stage:
        if stage.measures_tension:
            found.append(
                f"rests on the cover's tension, to be measured in stage '{stage.name}': go on only if every azimuth "
                f"lies between {cover.tension_min_kN_per_m:g} and {cover.tension_max_kN_per_m:g} kN/m"
            )
    if move.decision.rule == "alpha":
        found.append("the factor is on the wind limits; rain, dew, visibility and ice are those of the one member")
    return tuple(found)


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
