"""The weather for those who ask for it alone: what was read, derived and refused, and the gust at the load by hour."""

import json
from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime, tzinfo
from typing import Any

import numpy as np
import xarray as xr

from shared.assessment import Ahead
from shared.units import celsius_from_kelvin
from transport.reports.extracts import Extract
from transport.reports.listings import Listing
from transport.reports.masthead import heading, local_zone
from transport.reports.notation import down, moment, one_line, short_stamp, stamp, up, zone_name
from transport.reports.sources import source_listings, source_records

__all__ = ["Told", "hour_listing", "source_listing", "told", "weather_extract"]


def weather_extract(ahead: Ahead) -> Extract:
    """Hour by hour: gust at the load over the whole road and the other weather; what was refused and why.

    Beside it second opinions and instruments, where there are any, and for each source what was read and derived.
    """
    zone, forecast = local_zone(ahead), ahead.forecast
    rows = _hours(forecast)
    refused = _refused((forecast, *ahead.opinions, *ahead.observations))
    facts = {name: forecast.attrs.get(name) for name in ("forecast_reference_time", "age_h", "gust_kind")}
    differing = ahead.disagreement if ahead.opinions else None
    found = (ahead.opinions, ahead.observations, differing)
    said = [f"{one.file} {kind}: {line}" for one in told(ahead) for kind, lines in _kinds(one) for line in lines]
    sentences = (*map(one_line, ahead.remarks), *said, *(f"refused: {message}" for message in refused))
    record = {
        "hours": [{**row, "time": row["time"].isoformat()} for row in rows],
        "refusals": refused,
        "sources": [one.plain() for one in told(ahead)],
        "remarks": list(map(one_line, ahead.remarks)),
        **facts,
        **source_records(found),
    }
    listings = (source_listing(ahead), hour_listing(forecast, zone), *source_listings(found, zone))
    clock = ahead.provenance.as_of
    named = f"Weather: {heading(ahead)['name']}"
    title = f"{named}\nas of {stamp(clock, zone)}; all times are local: {zone_name(zone, clock)}"
    return Extract(title, listings, sentences, record)


class Told:
    """What one source says of itself: what was read from what, what was derived, what was refused and why."""

    def __init__(self, data: xr.Dataset) -> None:
        self.file, self.role = (one_line(data.attrs[name]) for name in ("file", "role"))
        self.read, self.derived = (_sentences(data, name) for name in ("read", "derived"))
        self.refused = tuple(one_line(one["message"]) for one in json.loads(data.attrs.get("refusals", "[]")))

    def plain(self) -> dict[str, Any]:
        """The same as a plain object."""
        lists = {name: list(getattr(self, name)) for name in ("read", "derived", "refused")}
        return {"file": self.file, "role": self.role, **lists}


def told(ahead: Ahead) -> list[Told]:
    """Every source, the forecast first."""
    return [Told(data) for data in (ahead.forecast, *ahead.opinions, *ahead.observations)]


def source_listing(ahead: Ahead) -> Listing:
    """Every source: its file, role and kind, the time it speaks of, and whether it was refused."""
    columns = ("source", "role", "kind", "issued or heard", "age h", "members", "believed")
    zone = local_zone(ahead)
    sources = (ahead.forecast, *ahead.opinions, *ahead.observations)
    rows = tuple(_source(data, zone) for data in sources)
    return Listing("Sources of weather", columns, rows, frozenset(range(3, 7)))


def hour_listing(forecast: xr.Dataset, zone: tzinfo) -> Listing:
    """Gust at the load at the worst place of the road and the other weather, each step of the forecast."""
    return Listing(
        "Worst place of the road: gust at the load in m/s (lowest, median, highest member), rain mm/h, air, dew margin",
        ("until", "low", "median", "high", "rain", "view km", "air °C", "dew K"),
        tuple(_hour_row(row, zone) for row in _hours(forecast)),
        frozenset(range(8)),
    )


def _kinds(one: Told) -> Iterator[tuple[str, tuple[str, ...]]]:
    yield "read", one.read
    yield "derived", one.derived


def _refused(sources: Iterable[xr.Dataset]) -> list[str]:
    """Each reason once: what an instrument holds against the forecast stands with both."""
    return list(dict.fromkeys(message for data in sources for message in Told(data).refused))


def _sentences(data: xr.Dataset, name: str) -> tuple[str, ...]:
    return tuple(one_line(line) for line in json.loads(data.attrs.get(name, "[]")))


def _source(data: xr.Dataset, zone: tzinfo) -> tuple[str, ...]:
    facts = data.attrs
    when = facts.get("forecast_reference_time") or facts.get("observed_until")
    heard = short_stamp(datetime.fromisoformat(str(when)), zone) if when else "unknown"
    age = up(float(facts["age_h"]), 1) if "age_h" in facts else "-"
    members = str(data.sizes["realization"]) if "realization" in data.sizes else "-"
    believed = "REFUSED" if facts.get("refusals", "[]") != "[]" else "yes"
    role = one_line(facts["role"]).replace("_", " ")
    return one_line(facts["file"]), role, one_line(facts.get("source_kind", "")), heard, age, members, believed


def _hours(forecast: xr.Dataset) -> list[dict[str, Any]]:
    return [_hour(forecast.isel(time=index)) for index in range(forecast.sizes["time"])]


def _hour(row: xr.Dataset) -> dict[str, Any]:
    gusts = row["gust_apparent_mps"].transpose("realization", "station").values.max(axis=1)
    return {
        "time": moment(row["time"].values),
        "gust_low_mps": float(gusts.min()),
        "gust_median_mps": float(np.median(gusts)),
        "gust_high_mps": float(gusts.max()),
        "precipitation_mm_per_h": float(row["precipitation_mm_per_h"].values.max()),
        "visibility_m": float(row["visibility_m"].values.min()),
        "air_temperature_K": float(row["air_temperature_K"].values.min()),
        "dew_margin_K": float(row["dew_margin_K"].values.min()),
    }


def _hour_row(row: Mapping[str, Any], zone: tzinfo) -> tuple[str, ...]:
    gusts = (up(row[f"gust_{name}_mps"], 1) for name in ("low", "median", "high"))
    air_c = float(celsius_from_kelvin(row["air_temperature_K"]))
    return (
        short_stamp(row["time"], zone),
        *gusts,
        up(row["precipitation_mm_per_h"], 1),
        down(row["visibility_m"] / 1000.0),
        down(air_c),
        down(row["dew_margin_K"]),
    )
