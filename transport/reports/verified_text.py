"""A verification in words: its headline, its kinds of forecast, and how its numbers are written."""

import math
from collections.abc import Iterator
from typing import Any

import xarray as xr

from shared.verification import Verification
from transport.reports.notation import UNKNOWN, gust, plain, share

__all__ = ["chosen", "count", "enough", "few", "first_threshold", "headlines", "kinds", "ratio", "speed"]

NOT_TOLD = "-"
NOTHING = 1e-9


def kinds(scores: xr.Dataset) -> list[str]:
    """Kinds of forecast that were scored, the raw one first."""
    return [str(kind) for kind in scores["forecast_kind"].values]


def first_threshold(result: Verification) -> float:
    """The threshold that is shown first: the limit of the move, else the lowest that it states."""
    known = result.scores["threshold"].values
    return float(result.limit_mps if result.limit_mps in known else known[0])


def chosen(scores: xr.Dataset, **where: Any) -> xr.Dataset:
    """The scores of one kind, threshold or class; all leads unless a class is named."""
    leads = {} if "lead_class" in where or "lead_class" not in scores.dims else {"lead_class": scores.lead_class[0]}
    return scores.sel({**leads, **where})


def enough(scores: xr.Dataset) -> bool:
    """Whether there are as many pairs as a score needs."""
    return bool(scores.attrs["scored_count"] >= scores.attrs["least_pairs_count"])


def few(scores: xr.Dataset) -> str:
    """Why no score is told."""
    told, least = scores.attrs["scored_count"], scores.attrs["least_pairs_count"]
    return f"Too few pairs: {told} can be scored, at least {least} are needed. No score is told."


def headlines(result: Verification, threshold: float) -> Iterator[str]:
    """Of one threshold and each kind: events, missed ones, and how many of all such spells may hold a miss."""
    whose = "the least limit of the move" if threshold == result.limit_mps else "a stated threshold"
    one = chosen(result.scores, threshold=threshold)
    events = int(one["event_count"].values.flat[0])
    if not events:
        yield f"Above {gust(threshold)} ({whose}) nothing was observed: nothing is known about misses there."
        return
    for kind in kinds(one):
        yield _misses(one.sel(forecast_kind=kind), kind, f"{gust(threshold)} ({whose})", events)


def count(value: Any) -> str:
    """A number of cases; shared ties to one place."""
    return UNKNOWN if math.isnan(float(value)) else f"{round(float(value), 1):g}"


def ratio(value: Any) -> str:
    """A score without a unit."""
    number = float(value)
    return NOT_TOLD if math.isnan(number) else plain(0.0 if abs(number) < NOTHING else number, 3)


def speed(value: Any) -> str:
    """A score in m/s."""
    return NOT_TOLD if math.isnan(float(value)) else f"{float(value):.2f}"


def _misses(row: xr.Dataset, kind: str, limit: str, events: int) -> str:
    lost, spells = int(row["missed_spell_count"]), int(row["event_spell_count"])
    bound = share(float(row["missed_spell_bound_ratio"]))
    sure = f"{row.attrs['confidence_ratio']:.0%}"
    if not int(row["miss_count"]) + int(row["correct_negative_count"]):
        return f"Every case was warned of by the {kind} forecast: that none of {events} events was missed says nothing."
    return (
        f"{int(row['miss_count'])} of {events} events above {limit} missed by the {kind} forecast, "
        f"in {lost} of {spells} spells of weather; up to {bound} of such spells may hold a miss ({sure} sure)."
    )
