"""A TAF hour by hour: the strongest wind, gust and the least visibility of every group that touches the hour."""

from collections.abc import Sequence
from datetime import datetime
from typing import NamedTuple

import numpy as np

from shared.arrays import Array
from shared.tables import figure
from shared.units import mps_from_kmh, mps_from_knots
from transport.weather.feeds.stations.report_time import instant
from transport.weather.feeds.stations.taf_groups import Group
from transport.weather.feeds.stations.wind_group import Wind
from transport.weather.fields import Instants

__all__ = ["Stretch", "gust_mps", "hourly", "stretches", "thunder"]

HOUR = np.timedelta64(1, "h")
LASTING = ("BASE", "FM", "BECMG")


class Stretch(NamedTuple):
    """A wind or a visibility and the time in which it may occur."""

    start: datetime
    end: datetime
    wind: Wind | None
    sight_m: float


def stretches(groups: Sequence[Group], end: datetime) -> list[Stretch]:
    """When each stated wind and visibility may occur: through a BECMG both the old and the new one.

    TEMPO and PROB add to what lasts and never replace it. An FM replaces everything; what it leaves out is unknown.
    Source: WMO-No. 306, FM 51 (read).
    """
    lasting = [group for group in groups if group.kind in LASTING]
    passing = [group for group in groups if group.kind not in LASTING]
    winds = [group for group in lasting if group.wind is not None]
    sights = [group for group in lasting if group.sight_m is not None or group.kind != "BECMG"]
    found = [Stretch(group.start, until, group.wind, np.nan) for group, until in _until(winds, end)]
    found += [Stretch(group.start, until, None, _known(group.sight_m)) for group, until in _until(sights, end)]
    found += [Stretch(group.start, group.end, group.wind, np.nan) for group in passing if group.wind is not None]
    seen = [group for group in passing if group.sight_m is not None]
    return found + [Stretch(group.start, group.end, None, _known(group.sight_m)) for group in seen]


def _until(groups: Sequence[Group], end: datetime) -> list[tuple[Group, datetime]]:
    ends = [group.end for group in groups[1:]]
    return list(zip(groups, [*ends, end], strict=True))


def _known(value_m: float | None) -> float:
    return float("nan") if value_m is None else value_m


def gust_mps(wind: Wind) -> float:
    """Gust of a forecast wind; where none is stated, the highest that need not be stated; unknown above the scale.

    mean + 10 kt (KT and MPS), mean + 20 km/h (KMH).      Source: ICAO Annex 3, reporting of gusts (read; KMH memory).
    """
    if wind.top:
        return float("nan")
    if wind.gusty:
        return wind.gust_mps
    kmh = mps_from_kmh(figure("weather_unreported_gust_kmh"))
    return wind.mean_mps + (kmh if wind.unit == "KMH" else mps_from_knots(figure("weather_unreported_gust_kt")))


def hourly(found: Sequence[Stretch], start: datetime, end: datetime) -> tuple[Instants, dict[str, Array]]:
    """Whole hours from start to end, and for each: mean wind, gust, direction and visibility.

    A stretch counts at every whole hour in it and at those next to its ends, so in every hour that it touches and in
    the one before. Unknown wins over known.      Source: house rule, the worst case (practice).
    """
    time = np.arange(instant(start), instant(end) + HOUR, HOUR)
    winds = [(part.wind, _touched(part, time)) for part in found if part.wind is not None]
    sights = [(part.sight_m, _touched(part, time)) for part in found if part.wind is None]
    means = [(float("nan") if wind.top else wind.mean_mps, hours) for wind, hours in winds]
    directions = [(wind.from_deg, hours) for wind, hours in winds]
    low, high = _least(directions), _greatest(directions)
    return time, {
        "mean_wind_mps": _greatest(means),
        "gust_mps": _greatest([(gust_mps(wind), hours) for wind, hours in winds]),
        "wind_from_deg": np.where(low == high, low, np.nan),
        "visibility_m": _least(sights),
    }


def _touched(part: Stretch, time: Instants) -> np.ndarray:
    return np.asarray((instant(part.start) - HOUR < time) & (time < instant(part.end) + HOUR))


def _greatest(values: Sequence[tuple[float, np.ndarray]]) -> Array:
    return np.asarray(np.max([np.where(hours, value, -np.inf) for value, hours in values], axis=0))


def _least(values: Sequence[tuple[float, np.ndarray]]) -> Array:
    return np.asarray(np.min([np.where(hours, value, np.inf) for value, hours in values], axis=0))


def thunder(groups: Sequence[Group], end: datetime) -> list[tuple[datetime, datetime]]:
    """Spans in which thunderstorms or cumulonimbus are foreseen; a lasting one ends with the next FM only.

    Source: WMO-No. 306, FM 51, w'w' and NsNsNshshshs with CB (read).
    """
    starts = [group.start for group in groups if group.kind == "FM"]
    spans = []
    for group in groups:
        later = [start for start in starts if start > group.start]
        until = min([*later, end]) if group.kind in LASTING else group.end
        spans += [(group.start, until)] if group.thunder else []
    return spans
