"""What the driver must know of each stretch and hold point: speed, the wind that stops him, and why."""

from typing import NamedTuple

import numpy as np
import xarray as xr

from shared.arrays import Array
from shared.datasets import dataset
from shared.units import kmh_from_mps

__all__ = ["orders"]


class Order(NamedTuple):
    """One line of the driver's orders."""

    kind: str
    stretch_name: str
    from_station_m: float
    to_station_m: float
    wait_h: float
    release_limit_mps: float


def orders(road: xr.Dataset, cells: xr.Dataset, relief_ratio: Array) -> xr.Dataset:
    """Stretches and hold points in the order of travel.

    The limit of a stretch is the least over its cells and all directions, for the gust there. A hold point is released
    by the gust measured there: the least of limit / relief over the road up to the next one, with no relief counted at
    the hold point itself. Shapes: relief (cell), the rest (stretch).
    """
    ahead = cells.assign(gust_limit_mps=cells["gust_limit_mps"] / xr.DataArray(relief_ratio, dims="station"))
    lines = sorted([*_stretches(road), *_holds(road, ahead)], key=lambda line: (line.from_station_m, line.kind))
    found = [_facts(line, _along(road, line), cells) for line in lines]
    columns = {name: ("stretch", np.array([row[name] for row in found])) for name in found[0]}
    return dataset(columns, {"stretch": np.arange(len(found))})


def _stretches(road: xr.Dataset) -> list[Order]:
    section, station = road["section"].values, road["station"].values
    starts = np.flatnonzero(np.diff(section, prepend=section[0] - 1))
    ends = np.append(starts[1:], section.size - 1)
    names = road["section_name"].values
    return [
        Order("stretch", str(names[section[a]]), float(station[a]), float(station[b]), 0.0, np.nan)
        for a, b in zip(starts, ends, strict=True)
    ]


def _holds(road: xr.Dataset, cells: xr.Dataset) -> list[Order]:
    station = road["hold_station_m"].values
    ends = np.append(station, road["station"].values[-1])[1:]
    return [
        Order("hold point", str(name), float(here), float(here), float(wait), _least(cells, float(here), float(end)))
        for name, here, wait, end in zip(
            road["hold_name"].values, station, road["hold_wait_h"].values, ends, strict=True
        )
    ]


def _along(road: xr.Dataset, line: Order) -> xr.Dataset:
    """The stations of a stretch, none of the next; a hold point takes the stations on either side of it."""
    if line.kind == "hold point":
        return _between(road, line.from_station_m, line.to_station_m)
    section = road["section"].values
    first = int(np.searchsorted(road["station"].values, line.from_station_m))
    return road.isel(station=section == section[first])


def _facts(line: Order, part: xr.Dataset, cells: xr.Dataset) -> dict[str, object]:
    limits = _between(cells, line.from_station_m, line.to_station_m)
    values = limits["gust_limit_mps"].values
    worst = np.unravel_index(np.argmin(np.where(np.isnan(values), -np.inf, values)), values.shape)
    with np.errstate(divide="ignore"):
        radius_m = 1.0 / np.abs(part["curvature_per_m"].values).max()
    grade = part["grade_ratio"].values
    return line._asdict() | {
        "speed_kmh": float(kmh_from_mps(float(part["speed_mps"].min(skipna=False)))),
        "grade_max_ratio": float(grade[np.argmax(np.where(np.isnan(grade), np.inf, np.abs(grade)))]),
        "radius_min_m": float(radius_m),
        "gust_limit_mps": float(values[worst]),
        "wind_from_worst_deg": float(limits["wind_from"].values[worst[1]]),
        "governed_by": str(limits["governed_by"].values[worst]),
    }


def _least(cells: xr.Dataset, begin_m: float, end_m: float) -> float:
    return float(_between(cells, begin_m, end_m)["gust_limit_mps"].values.min())


def _between(data: xr.Dataset, begin_m: float, end_m: float) -> xr.Dataset:
    """The stations from begin to end, with the one nearest to each end so that nothing is empty."""
    station = data["station"].values
    first = max(int(np.searchsorted(station, begin_m, side="right")) - 1, 0)
    last = min(int(np.searchsorted(station, end_m, side="left")), station.size - 1)
    return data.isel(station=slice(first, last + 1))
