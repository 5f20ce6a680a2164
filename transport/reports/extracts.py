"""Parts of the result for those who ask for one: the road, the checks, the weather; as tables and as plain objects."""

import json
import math
from collections.abc import Iterable, Mapping
from typing import Any, NamedTuple

import numpy as np
import xarray as xr

from shared.units import kmh_from_mps
from transport.reports.drawing import spans
from transport.reports.listings import Listing
from transport.reports.notation import compass, down, gust, one_line, place, share, up
from transport.reports.states import worst

__all__ = ["Extract", "check_extract", "road_extract"]

SECTIONS = (
    "Sections: from and to, m; lowest speed; steepest grade, %, + climbs, with two standard errors; least radius R, m, "
    "- straight; steepest crossfall, %, R falls to the right, L to the left; least width to the left and right, m"
)


class Extract(NamedTuple):
    """One part of the result: its title, tables and sentences, and the same as one plain object."""

    title: str
    listings: tuple[Listing, ...]
    sentences: tuple[str, ...]
    record: dict[str, Any]


def check_extract(title: str, checks: Iterable[xr.Dataset], road: xr.Dataset) -> Extract:
    """Limit states: least limit and where, utilisation in still air, and the least limit on each section."""
    rows = [row for check in checks for row in _states(check)]
    sections = _sections(road)
    columns = ("limit state", "gust limit", "station", "wind from", "still air")
    listings = (
        Listing(
            "Least limit on the gust, and highest utilisation in still air",
            columns,
            tuple(map(_state_row, rows)),
            frozenset((1, 2, 3, 4)),
        ),
        _by_section(rows, sections),
    )
    remedies = tuple(f"{row['name']}: {row['remedy']}" for row in rows if not _open(row) and row["remedy"])
    record = {"limit_states": [_plain(row, sections) for row in rows]}
    return Extract(title, listings, remedies, record)


def road_extract(road: xr.Dataset, fit: xr.Dataset) -> Extract:
    """Sections with grade, bend, crossfall and width, each with two standard errors, and whether the trailer fits."""
    sections = _sections(road)
    columns = ("section", "from", "to", "km/h", "grade", "±2se", "R", "falls", "left", "right")
    table = Listing(SECTIONS, columns, tuple(_section_row(one) for one in sections), frozenset(range(1, 10)))
    fitted = check_extract("", [fit], road)
    facts = {name: road.attrs[name] for name in ("survey_class", "crs") if name in road.attrs}
    sentences = (*(f"{_spaced(name)}: {value}" for name, value in facts.items()), *_said(road), *fitted.sentences)
    record = {"sections": [_section(one) for one in sections], **facts, **fitted.record}
    return Extract("Road", (table, fitted.listings[0]), sentences, record)


def _states(check: xr.Dataset) -> list[dict[str, Any]]:
    still = check.get("utilisation_ratio")
    return [_state(check.isel(limit_state=index), still is not None) for index in range(check.sizes["limit_state"])]


def _state(row: xr.Dataset, has_still: bool) -> dict[str, Any]:
    limit = row["gust_limit_mps"].transpose("station", "wind_from").values
    station, wind = np.unravel_index(worst(limit.ravel()), limit.shape)
    still = row["utilisation_ratio"].values if has_still else np.array([math.nan])
    return {
        "name": one_line(row["limit_state"].values),
        "gust_limit_mps": float(limit[station, wind]),
        "station_m": float(row["station"].values[station]),
        "wind_from_deg": float(row["wind_from"].values[wind]),
        "everywhere": bool(limit.min(axis=1).max() == limit.min()),
        "any_direction": bool(np.ptp(limit[station]) == 0) if np.isfinite(limit[station]).all() else True,
        "still_air_ratio": float(np.max(still)),
        "clause": one_line(row["clause"].values),
        "remedy": one_line(row["remedy"].values),
        "limit": row["gust_limit_mps"].min("wind_from", skipna=False),
    }


def _state_row(row: Mapping[str, Any]) -> tuple[str, ...]:
    limited = math.isfinite(row["gust_limit_mps"])
    wind = compass(math.nan if row["any_direction"] else row["wind_from_deg"]) if limited else "-"
    still = "not stated" if math.isnan(row["still_air_ratio"]) else up(row["still_air_ratio"])
    where = "all" if row["everywhere"] else place(row["station_m"])
    where = "-" if math.isinf(row["gust_limit_mps"]) else where
    return row["name"], gust(row["gust_limit_mps"]), where, wind, still


def _open(row: Mapping[str, Any]) -> bool:
    return bool(row["gust_limit_mps"] > 0)


def _by_section(rows: list[dict[str, Any]], sections: list[xr.Dataset]) -> Listing:
    """Of each limit state that knows a wind limit: the runs of sections whose limits print alike."""
    lines = []
    for row in rows:
        limits = [] if math.isinf(row["gust_limit_mps"]) else [gust(_least(row["limit"], part)) for part in sections]
        for begin, end, limit in spans(limits):
            lines.append((row["name"], _run(sections, begin, end), str(limit)))
    columns = ("limit state", "sections", "gust limit")
    return Listing("Least limit on each section", columns, tuple(lines), frozenset((2,)))


def _run(sections: list[xr.Dataset], begin: int, end: int) -> str:
    if end - begin == len(sections):
        return "all sections"
    first, last = (sections[index].attrs["name"] for index in (begin, end - 1))
    return str(first) if first == last else f"{first} to {last}"


def _least(limit: xr.DataArray, part: xr.Dataset) -> float:
    return float(limit.sel(station=part["station"]).values.min())


def _plain(row: dict[str, Any], sections: list[xr.Dataset]) -> dict[str, Any]:
    kept = {name: value for name, value in row.items() if name not in {"limit", "any_direction", "everywhere"}}
    return kept | {"sections": {part.attrs["name"]: _least(row["limit"], part) for part in sections}}


def _sections(road: xr.Dataset) -> list[xr.Dataset]:
    names = road["section_name"].values
    parts = [road.isel(station=road["section"].values == index) for index in range(len(names))]
    named = (part.assign_attrs(name=one_line(name)) for part, name in zip(parts, names, strict=True))
    return [part for part in named if part.sizes["station"]]


def _section(part: xr.Dataset) -> dict[str, Any]:
    def steepest(name: str) -> float:
        values = part[name].values
        return float(values[np.argmax(np.where(np.isnan(values), np.inf, np.abs(values)))])

    with np.errstate(divide="ignore"):
        radius_m = float(1.0 / np.abs(part["curvature_per_m"].values).max())
    return {
        "name": part.attrs["name"],
        "from_station_m": float(part["station"].values[0]),
        "to_station_m": float(part["station"].values[-1]),
        "speed_mps": float(part["speed_mps"].values.min()),
        "grade_ratio": steepest("grade_ratio"),
        "grade_2se_ratio": float(2 * part["grade_se_ratio"].values.max()),
        "radius_m": radius_m,
        "crossfall_ratio": steepest("crossfall_ratio"),
        "width_left_m": float(part["width_left_m"].values.min()),
        "width_right_m": float(part["width_right_m"].values.min()),
    }


def _section_row(part: xr.Dataset) -> tuple[str, ...]:
    one = _section(part)
    grade, falls = one["grade_ratio"], one["crossfall_ratio"]
    return (
        one["name"],
        f"{one['from_station_m']:.0f}",
        f"{one['to_station_m']:.0f}",
        down(kmh_from_mps(one["speed_mps"])),
        "unknown" if math.isnan(grade) else f"{'-' if grade < 0 else '+'}{_percent(abs(grade))}",
        _percent(one["grade_2se_ratio"]),
        "-" if math.isinf(one["radius_m"]) else down(one["radius_m"], 0),
        "unknown" if math.isnan(falls) else f"{_percent(abs(falls))} {'L' if falls < 0 else 'R'}",
        down(one["width_left_m"]),
        down(one["width_right_m"]),
    )


def _percent(value_ratio: float) -> str:
    return share(value_ratio).removesuffix(" %")


def _spaced(name: str) -> str:
    """A name as words."""
    return name.replace("_", " ")


def _said(data: xr.Dataset) -> list[str]:
    return [one_line(remark) for remark in json.loads(data.attrs.get("remarks", "[]"))]
