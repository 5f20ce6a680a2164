"""What all outputs show, picked from the result: starts, limit states, windows, names. Nothing is calculated."""

import json
import math
from datetime import datetime
from typing import NamedTuple
from zoneinfo import ZoneInfo

import numpy as np
import xarray as xr

from shared.arrays import Array
from shared.assessment import Assessment
from transport.reports.notation import letter, moment, one_line

__all__ = [
    "Start",
    "State",
    "first_shown",
    "heading",
    "least_limit",
    "local_zone",
    "remarks",
    "rule",
    "starts",
    "states",
    "worst",
]


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


class State(NamedTuple):
    """One limit state: its least limit on the gust, where that is, and its worst utilisation in still air."""

    letter: str
    name: str
    limit_mps: float
    station_m: float
    wind_from_deg: float
    utilisation_ratio: float
    clause: str
    remedy: str


def heading(result: Assessment) -> dict[str, str]:
    """Name, organisation, leg and author of the move; what is missing is said."""
    table = result.move.get("move", {})
    names = ("name", "organisation", "leg", "prepared_by", "prepared_on")
    return {name: one_line(table.get(name) or "not stated") for name in names}


def local_zone(result: Assessment) -> ZoneInfo:
    """The site's time zone; UTC when the move has none."""
    return ZoneInfo(str(result.move.get("site", {}).get("time_zone", "UTC")))


def rule(result: Assessment) -> str:
    """How the error of the forecast is allowed for, in one sentence."""
    table = result.move.get("decision", {})
    if table.get("rule") == "ensemble":
        chance, sure = table.get("acceptable_chance_ratio"), table.get("confidence_ratio")
        return f"Forecast error: ensemble, acceptable chance {chance:.0%}, confidence {sure:.0%}."
    if table.get("rule") == "alpha":
        return f"Forecast error: factor {table.get('alpha_ratio')} on every limit."
    return "Forecast error: no rule stated."


def remarks(result: Assessment) -> tuple[str, ...]:
    """What was not checked or only estimated: of the move and the forecast, then of the survey."""
    survey = json.loads(result.road.attrs.get("remarks", "[]"))
    return tuple(dict.fromkeys(one_line(line) for line in (*result.remarks, *survey)))


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


def states(result: Assessment) -> tuple[State, ...]:
    """All limit states, in the order of the rose, lettered A, B, C, ..."""
    rose = result.rose
    still = _still_air(result)
    return tuple(_state(rose, index, still) for index in range(rose.sizes.get("limit_state", 0)))


def least_limit(rose: xr.Dataset) -> Array:
    """Least gust limit over the directions, per station; unknown where any direction is."""
    return np.asarray(np.min(rose["gust_limit_mps"].transpose("station", "wind_from").values, axis=1), dtype=float)


def worst(values: Array) -> int:
    """Position of the least value; of the first unknown one, if there is any."""
    return int(np.argmin(np.where(np.isnan(values), -np.inf, values)))


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
        _text(row, "governed_by"),
        _text(row, "governing_words"),
        _text(row, "governing_stage"),
        number("governing_station_m"),
        moment(row["governing_time"].values),
    )


def _state(rose: xr.Dataset, index: int, still: dict[str, float]) -> State:
    row = rose.isel(limit_state=index)
    name = one_line(row["limit_state"].values)
    limit = row["gust_limit_by_state_mps"].transpose("station", "wind_from").values
    station, wind = np.unravel_index(worst(limit.ravel()), limit.shape)
    return State(
        letter(index),
        name,
        float(limit[station, wind]),
        float(row["station"].values[station]),
        float(row["wind_from"].values[wind]),
        still.get(name, math.nan),
        _text(row, "clause"),
        _text(row, "remedy"),
    )


def _text(row: xr.Dataset, name: str) -> str:
    return one_line(row[name].values) if name in row else ""


def _still_air(result: Assessment) -> dict[str, float]:
    """Highest utilisation in still air over the road, by limit state."""
    found: dict[str, float] = {}
    for check in result.checks.values():
        values = check.get("utilisation_ratio")
        if values is not None and "limit_state" in values.dims:
            rows = zip(values["limit_state"].values, values.transpose("limit_state", ...).values, strict=True)
            found |= {one_line(name): float(np.max(row)) for name, row in rows if np.size(row)}
    return found
