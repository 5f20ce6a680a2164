"""Time and peak memory of the window: 51 members, 240 hourly steps, 20 x 20 nodes, 200 places, a start every 10 min.

Run: python tests/bench/window.py [starts of the xarray script, default 40]
The three ways get the same fields, road and limits, and must give the same numbers; the xarray script is timed on its
first starts and scaled, because all of them take minutes. Ratios are of the same run on the same machine.
"""

import resource
import sys
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import numpy as np
import xarray as xr
from plain import whole_array, xarray_per_start

from shared.datasets import dataset
from transport.weather import assess as weather
from transport.weather.feeds.inputs import Feed
from transport.weather.inputs import Site, Weather
from transport.weather.space import cells as corner_nodes
from transport.weather.space import shares
from transport.window.decision import worst_of
from transport.window.demand import wind_field
from transport.window.inputs import Stage
from transport.window.operation import steps_of
from transport.window.overlap import Stay
from transport.window.schedule import Passage

MEMBERS, STEPS, NODES, PLACES = 51, 240, 20, 200
FIELDS = ["gust_mps", "eastward_wind_mps", "northward_wind_mps"]
BEGIN = np.datetime64("2026-03-09T00:00", "ns")
HOUR = np.timedelta64(1, "h")


def feed() -> xr.Dataset:
    """A forecast in normal form, seeded; a light steady mean wind, so that the gust field alone decides."""
    random = np.random.default_rng(20260309)
    time = BEGIN + np.arange(STEPS + 1) * HOUR
    shape = (MEMBERS, STEPS + 1, NODES, NODES)
    axes = ("realization", "time", "latitude", "longitude")
    rough = (5.0 + random.gamma(4.0, 2.0, shape)).astype(np.float32)
    steady = np.full(shape, 1.0, dtype=np.float32)
    turn = np.deg2rad(random.uniform(0, 360, MEMBERS))[:, None, None, None]
    fields: dict[str, Any] = {"gust_mps": (axes, rough), "mean_wind_mps": (axes, steady)}
    fields |= {"eastward_wind_mps": (axes, (steady * np.sin(turn)).astype(np.float32))}
    fields |= {"northward_wind_mps": (axes, (steady * np.cos(turn)).astype(np.float32))}
    fields |= {"air_temperature_K": (axes, steady + 280), "dew_point_K": (axes, steady + 270)}
    fields |= {"surface_pressure_Pa": (axes, steady + 8e4), "visibility_m": (axes, steady + 2e4)}
    fields |= {"precipitation_mm_per_h": (axes, 0 * steady), "surface_altitude_m": (axes[2:], steady[0, 0] + 2000)}
    ends = {f"{kind}_end": ("time", time) for kind in ("gust", "precipitation")}
    starts = {f"{kind}_start": ("time", time - HOUR) for kind in ("gust", "precipitation")}
    grid = {"latitude": -39 + 0.05 * np.arange(NODES), "longitude": -21.8 + 0.05 * np.arange(NODES)}
    attrs = {"file": "bench", "role": "forecast", "forecast_reference_time": "2026-03-09T00:00:00Z"}
    attrs |= {"gust_kind": "maximum", "resolves_relief": 0, "estimates_gust": 0, "remarks": "[]"}
    coords = {"realization": np.arange(MEMBERS), "time": time, **grid, **ends, **starts}
    return dataset(fields, coords, attrs)


def places() -> xr.Dataset:
    """200 places with one limit each, and when they can be passed."""
    along = np.linspace(0.0, 1.0, PLACES)
    late = 3600.0 * (3.0 + 3.5 * np.append(along[1:], 1.02))
    return xr.Dataset(
        {
            "longitude": ("station", -21.31 + 0.11 * along),
            "latitude": ("station", -38.52 + 0.07 * along),
            "early_s": ("station", 3600.0 * (2.0 + 1.2 * along)),
            "late_s": ("station", late),
        }
    )


def limits() -> np.ndarray:
    """A limit for each place and sector."""
    along, turn = np.linspace(0.0, 9.0, PLACES)[:, None], np.deg2rad(np.arange(24) * 15.0)
    return 16.0 + 5.0 * np.cos(along) + 3.0 * np.cos(turn - along)


def ours(data: xr.Dataset, road: xr.Dataset, start_s: np.ndarray) -> np.ndarray:
    """From the feed to the worst utilisation of every start and member, as the tool does it."""
    site = Site(time_zone="Etc/GMT+1", terrain_category="II", air_density_kg_per_m3=1.25)
    rules = Weather(
        maximum_age_h=12.0,
        minimum_members=20,
        maximum_height_mismatch_m=500.0,
        direction_spread_deg=30.0,
        feed=(Feed(path="bench.nc", role="forecast"),),
    )
    now = datetime(2026, 3, 9, tzinfo=UTC)
    forecast = weather.assess(
        data,
        site,
        rules,
        station_m=np.arange(PLACES) * 30.0,
        longitude_deg=road["longitude"].values,
        latitude_deg=road["latitude"].values,
        elevation_m=np.full(PLACES, 2000.0),
        heading_deg=np.zeros(PLACES),
        speed_mps=np.zeros(PLACES),
        load_height_m=2.4,
        as_of=now,
        needed_from=now,
        needed_until=now + timedelta(hours=8),
    )
    axes = ("station", "wind_from")
    rose = dataset(
        {"gust_limit_mps": (axes, limits()), "governed_by": (axes, np.full((PLACES, 24), "a"))},
        {"station": np.arange(PLACES) * 30.0, "wind_from": np.arange(24) * 15.0},
    )
    wind = wind_field(
        rose, forecast["gust_apparent_mps"].values, forecast["wind_from_deg"].values, spread_deg=30.0, factor=1.0
    )
    drive = Stage(name="Drive", kind="drive", contingency_ratio=0.5, daylight=False)
    passage = Passage(drive, np.arange(PLACES), Stay(road["early_s"].values, road["late_s"].values))
    return worst_of([wind.demand(passage)], (), steps_of(forecast), start_s, MEMBERS).known


def numpy_way(data: xr.Dataset, road: xr.Dataset, start_s: np.ndarray) -> np.ndarray:
    """The whole-array script on the same inputs."""
    where = road["longitude"].values, road["latitude"].values
    grid = data["longitude"].values, data["latitude"].values
    fields = {name: data[name].values[:, 1:].reshape(MEMBERS, STEPS, -1) for name in FIELDS}
    ends = data["time"].values[1:].astype("datetime64[s]").astype(float)
    stays = road["early_s"].values, road["late_s"].values
    weighted = corner_nodes(*where, *grid), shares(*where, *grid).astype(np.float32)
    return whole_array(fields, weighted, limits(), stays, ends, start_s)


def xarray_way(data: xr.Dataset, road: xr.Dataset, start_s: np.ndarray) -> np.ndarray:
    """The script per start on the same inputs."""
    spans = {name: road[f"{name}_s"].astype("timedelta64[s]") for name in ("early", "late")}
    starts = start_s.astype("datetime64[s]").astype("datetime64[ns]")
    return xarray_per_start(data[FIELDS], road.assign(spans), limits(), starts, HOUR)


def timed(work: Callable[[], np.ndarray], repeats: int) -> tuple[float, np.ndarray]:
    """Least time of the repeats, and the result."""
    found, least = work(), np.inf
    for _ in range(repeats):
        begin = time.perf_counter()
        found = work()
        least = min(least, time.perf_counter() - begin)
    return least, found


def main() -> None:
    """Run all three, check that they agree, print ratios."""
    some = int(sys.argv[1]) if len(sys.argv) > 1 else 40
    data, road = feed(), places()
    begin = BEGIN.astype("datetime64[s]").astype(float)
    start_s = begin + np.arange(0.0, 3600.0 * (STEPS - 7), 600.0)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    mine, answer = timed(lambda: ours(data, road, start_s), 5)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    array, second = timed(lambda: numpy_way(data, road, start_s), 2)
    script, third = timed(lambda: xarray_way(data, road, start_s[:some]), 1)
    np.testing.assert_allclose(answer, second, rtol=2e-5)
    np.testing.assert_allclose(answer[:some], third, rtol=2e-5)
    scaled = script * start_s.size / some
    print(f"starts {start_s.size}, members {MEMBERS}, steps {STEPS}, places {PLACES}")  # noqa: T201
    print(f"glasshaul {mine:.3f} s, peak {peak:.0f} MB of which {before:.0f} MB before (inputs and imports)")  # noqa: T201
    print(f"whole-array numpy {array:.3f} s, ratio {array / mine:.1f}")  # noqa: T201
    print(f"xarray per start {scaled:.1f} s (scaled from {some} starts), ratio {scaled / mine:.0f}")  # noqa: T201


if __name__ == "__main__":
    main()
