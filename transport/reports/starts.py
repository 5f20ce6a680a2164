"""Start times as the outputs show them: verdict, what governs, where and when."""

import math
from datetime import datetime
from typing import NamedTuple

import xarray as xr

from shared.assessment import Assessment
from transport.reports.notation import moment, text_of, worded

__all__ = ["Start", "first_shown", "starts"]


class Start(NamedTuple):
    """One start time: its verdict and what governs it, where and when."""

    start: datetime
    verdict: str
    utilisation_ratio: float
    chance_ratio: float
    margin_ratio: float
    governed_by: str
    words: str
    stage: str
    station_m: float
    time: datetime | None
    feed: str = ""


def starts(result: Assessment) -> tuple[Start, ...]:
    """All start times, in order."""
    window = result.window
    order = range(window.sizes.get("start", 0))
    begins = [moment(value) for value in window["start"].values] if order else []
    return tuple(_start(window, index, begin) for index, begin in enumerate(begins) if begin)


def first_shown(result: Assessment) -> int:
    """Position of the start to show first: the first that is go, else the one nearest to it, else the first."""
    rows = starts(result)
    going = [index for index, row in enumerate(rows) if row.verdict == "go"]
    known = [index for index, row in enumerate(rows) if not math.isnan(row.utilisation_ratio)]
    nearest = min(known, key=lambda index: rows[index].utilisation_ratio, default=0)
    return going[0] if going else nearest


def _start(window: xr.Dataset, index: int, begin: datetime) -> Start:
    row = window.isel(start=index)

    def number(name: str) -> float:
        return float(row[name].values) if name in row else math.nan

    return Start(
        begin,
        str(row["verdict"].values),
        number("utilisation_ratio"),
        number("chance_ratio"),
        number("margin_ratio"),
        text_of(row, "governed_by"),
        worded(text_of(row, "governing_words")),
        text_of(row, "governing_stage"),
        number("governing_station_m"),
        moment(row["governing_time"].values),
        text_of(row, "governing_feed"),
    )
