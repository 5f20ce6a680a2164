"""Second opinions and instruments beside the forecast: in short tables, and as plain objects."""

import json
from collections.abc import Iterable, Sequence
from datetime import tzinfo
from typing import Any

import numpy as np
import xarray as xr

from shared.assessment import Assessment
from transport.reports.listings import Listing
from transport.reports.notation import cut, moment, one_line, short_stamp, up

__all__ = ["instrument_listing", "opinion_listing", "source_listings", "source_records", "sources_of"]

NAME_COUNT = 24
Found = tuple[Sequence[xr.Dataset], Sequence[xr.Dataset], xr.Dataset | None]


def sources_of(result: Assessment) -> Found:
    """Second opinions, instruments and disagreement of a result."""
    return result.opinions, result.observations, result.disagreement


def source_listings(found: Found, zone: tzinfo) -> tuple[Listing, Listing]:
    """The two short tables; without rows where there is nothing to show."""
    return opinion_listing(found[2], zone), instrument_listing(found[1], zone)


def opinion_listing(differing: xr.Dataset | None, zone: tzinfo) -> Listing:
    """Each second opinion: highest gust beside that of the forecast over what both know, and what it decides."""
    counted = differing is not None and "starts_differ_count" in differing
    columns = ("second opinion", "forecast", "opinion", "above", "known until")
    more = ("differ", "governs") if counted else ()
    rows = [_opinion(differing.isel(opinion=n), zone) for n in range(differing.sizes["opinion"])] if differing else []
    title = "Second opinions: highest gust over the road where both know it, m/s; above: most in one step"
    note = "The worse counts: a second opinion can only close starts. " if rows else ""
    note += "Differ: of the starts both know, those that one of them alone lets go." if rows and counted else ""
    return Listing(title, (*columns, *more), tuple(rows), frozenset(range(1, 7)), note.strip())


def instrument_listing(observations: Iterable[xr.Dataset], zone: tzinfo) -> Listing:
    """Each instrument: its highest gust in the last hours and its mean, beside the forecast at the same times."""
    columns = ("instrument", "gust", "members then", "mean", "forecast mean", "told until", "compared")
    rows = tuple(_instrument(data, zone) for data in observations)
    title = "Instruments: what they saw in the hours before now, m/s, and the forecast at the same place and time"
    return Listing(title, columns, rows, frozenset(range(1, 7)))


def source_records(found: Found) -> dict[str, Any]:
    """The same as plain objects, step by step."""
    opinions, observations, differing = found
    return {
        "opinions": [_facts(data) | {"members": data.sizes["realization"]} for data in opinions],
        "observations": [_facts(data) | {"cases": _cases(data)} for data in observations],
        "disagreement": _disagreement(differing) if differing is not None else {},
    }


def _opinion(row: xr.Dataset, zone: tzinfo) -> tuple[str, ...]:
    above = row["opinion_above_mps"].values
    known = np.flatnonzero(~np.isnan(above))
    name = cut(one_line(row["opinion"].values), NAME_COUNT)
    counts = _counts(row) if "starts_differ_count" in row else ()
    if not known.size:
        return (name, *("unknown",) * 4, *counts)
    highest = [up(float(row[f"{who}_gust_high_mps"].values[known].max()), 1) for who in ("road", "opinion")]
    until = short_stamp(moment(row["time"].values[known[-1]]), zone)
    return (name, *highest, up(float(above[known].max()), 1), until, *counts)


def _counts(row: xr.Dataset) -> tuple[str, str]:
    differ, known, governs = (int(row[f"starts_{name}_count"]) for name in ("differ", "compared", "governed"))
    return f"{differ} of {known}", str(governs)


def _instrument(data: xr.Dataset, zone: tzinfo) -> tuple[str, ...]:
    name = cut(one_line(data.attrs["station"] or data.attrs["file"]), NAME_COUNT)
    means = [up(float(data.attrs.get(f"{who}_average_mps", np.nan)), 1) for who in ("observed", "forecast")]
    compared = "yes" if data.attrs["compared"] else "NO"
    heard = np.flatnonzero(~np.isnan(data["observed_mean_mps"].values))
    until = short_stamp(moment(data["time"].values[heard[-1]]), zone) if heard.size else "unknown"
    return (name, *_gusts(data), *means, until, compared)


def _gusts(data: xr.Dataset) -> tuple[str, str]:
    """The highest observed gust, and lowest to highest member at its time."""
    gust = data["observed_gust_mps"].values
    if np.isnan(gust).all():
        return "unknown", "unknown"
    case = int(np.nanargmax(gust))
    low, high = (up(float(data[f"forecast_{name}_mps"].values[case]), 1) for name in ("low", "high"))
    return up(float(gust[case]), 1), f"{low} to {high}"


def _facts(data: xr.Dataset) -> dict[str, Any]:
    names = ("file", "role", "source_kind", "station", "forecast_reference_time", "age_h", "gust_kind", "compared")
    averages = ("observed_average_mps", "forecast_average_mps")
    facts = {name: data.attrs[name] for name in (*names, *averages) if name in data.attrs}
    return facts | {"refusals": [str(one["message"]) for one in json.loads(data.attrs.get("refusals", "[]"))]}


def _cases(data: xr.Dataset) -> list[dict[str, Any]]:
    times = _stamps(data)
    return [
        {"time": time} | {str(name): float(data[name].values[case]) for name in data.data_vars}
        for case, time in enumerate(times)
    ]


def _disagreement(differing: xr.Dataset) -> dict[str, Any]:
    steps = {name: differing[name].values.tolist() for name in map(str, differing) if differing[name].dims == ("time",)}
    rows = [differing.isel(opinion=number) for number in range(differing.sizes["opinion"])]
    own = [name for name in map(str, differing) if "opinion" in differing[name].dims]
    opinions = [{"file": str(row["opinion"].values)} | {key: row[key].values.tolist() for key in own} for row in rows]
    return {"time": _stamps(differing), **steps, "opinions": opinions}


def _stamps(data: xr.Dataset) -> list[str]:
    return [found.isoformat() if (found := moment(value)) else "" for value in data["time"].values]
