"""A second reading of a TAF by a library: where it and ours differ, the forecast is refused.

Known of the library (metar-taf-parser 1.13): it drops P99KT and gusts above the scale, reads 240105KT as 10 kt and KMH
as knots without a word. Speeds of three digits or above the scale therefore stand on our reading alone; KMH is spelt
its way.
"""

from collections.abc import Sequence
from typing import Any

from shared.units import mps_from_kmh, mps_from_knots
from transport.weather.feeds.stations.report_time import UnreadableError
from transport.weather.feeds.stations.reports import Report
from transport.weather.feeds.stations.taf_groups import REST, Group
from transport.weather.feeds.stations.wind_group import Wind

__all__ = ["confirm"]

NEAR_MPS = 1e-6
UNITS = {"KT": mps_from_knots(1.0), "KM/H": mps_from_kmh(1.0), "MPS": 1.0}


def confirm(report: Report, groups: Sequence[Group]) -> None:
    """Compare kinds, times and winds of all groups with those that the library finds.

    Errors: UnreadableError naming the group.      Source: metar-taf-parser-mivek, TAFParser (read).
    """
    theirs = _parsed(report)
    if theirs is None:
        raise UnreadableError("cannot be read a second time by the library that checks it")
    trends = list(theirs.trends)
    if len(trends) + 1 != len(groups):
        raise UnreadableError(f"two readings differ: {len(groups)} groups, or {len(trends) + 1}")
    for group, their in zip(groups, [theirs, *trends], strict=True):
        _same_kind(group, their)
        _same_wind(group, their.wind)


def _parsed(report: Report) -> Any:
    from metar_taf_parser.parser.parser import TAFParser

    words = [word.replace("KMH", "KM/H") if word.endswith("KMH") else word for word in report.groups]
    last = next((number for number, word in enumerate(words) if word in REST), len(words))
    try:
        return TAFParser().parse(" ".join(("TAF", report.identifier, *words[:last])))
    except Exception:  # the library raises whatever it trips over, and all of it means: not read
        return None


def _same_kind(group: Group, their: Any) -> None:
    if group.kind == "BASE":
        return
    times = their.validity
    found: tuple[Any, ...] = (their.type.name, str(their.probability or ""), times.start_day, times.start_hour)
    ours: tuple[Any, ...] = (group.kind, group.chance, group.start.day, group.start.hour)
    if group.kind == "FM":
        found, ours = (*found, times.start_minutes), (*ours, group.start.minute)
    elif 24 not in (times.start_hour, times.end_hour):
        found, ours = (*found, times.end_day, times.end_hour), (*ours, group.end.day, group.end.hour)
    if found != ours:
        raise UnreadableError(f"two readings differ: {' '.join(map(str, ours))}, or {' '.join(map(str, found))}")


def _same_wind(group: Group, their: Any) -> None:
    wind = group.wind
    if wind is not None and _ours_alone(wind):
        return
    if (wind is None) != (their is None) or (wind is not None and not _agree(wind, their)):
        shown = "none" if their is None else f"{their.degrees} {their.speed} G{their.gust} {their.unit}"
        raise UnreadableError(f"two readings of a wind differ: '{wind.text if wind else 'none'}', or {shown}")


def _ours_alone(wind: Wind) -> bool:
    highest = wind.gust_mps if wind.gusty else wind.mean_mps
    scale = {"KT": UNITS["KT"], "KMH": UNITS["KM/H"], "MPS": 1.0}[wind.unit]
    return wind.top or "/" in wind.text or not highest < 99.5 * scale


def _agree(wind: Wind, their: Any) -> bool:
    factor = UNITS[str(their.unit)]
    if abs(their.speed * factor - wind.mean_mps) > NEAR_MPS or (their.gust is not None) != wind.gusty:
        return False
    if wind.gusty and abs(their.gust * factor - wind.gust_mps) > NEAR_MPS:
        return False
    variable = wind.from_deg != wind.from_deg
    return their.degrees in (None, 0) if variable else their.degrees == wind.from_deg
