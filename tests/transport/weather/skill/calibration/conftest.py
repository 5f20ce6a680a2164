"""An archive of invented runs over the invented road, and a mast beside it, in the normal form."""

from collections.abc import Callable
from datetime import UTC, date, datetime
from typing import Any

import numpy as np
import pytest
import xarray as xr

from shared.datasets import dataset
from transport.weather.feeds.inputs import Station
from transport.weather.inputs import Site
from transport.weather.skill.file import Calibration, Mast
from transport.weather.skill.fitness import basis_of
from transport.weather.skill.learning import errors_of, leads_of

BEGIN = np.datetime64("2026-06-01T00:00", "ns")
HOUR = np.timedelta64(1, "h")
FIELDS = ("air_temperature_K", "dew_point_K", "surface_pressure_Pa", "visibility_m", "precipitation_mm_per_h")
NODES = ("latitude", "longitude")
SITE = Site(time_zone="Etc/GMT+1", terrain_category="II", air_density_kg_per_m3=1.25)


def run_of(
    gust_mps: np.ndarray,
    reference: np.datetime64 = BEGIN,
    *,
    from_deg: float = 270.0,
    mean_ratio: float = 0.55,
    step_h: int = 3,
    altitude_m: float = 2000.0,
    **attrs: Any,
) -> xr.Dataset:
    """A forecast whose gust is the same at all of its four nodes; gust_mps: (member, step)."""
    members, steps = gust_mps.shape
    time = reference + np.arange(steps + 1) * step_h * HOUR
    filled = np.concatenate([gust_mps[:, :1], gust_mps], axis=1)[:, :, None, None]
    gust = np.broadcast_to(filled, (members, steps + 1, 2, 2)).astype(np.float32)
    mean, turn = gust * np.float32(mean_ratio), np.deg2rad(from_deg)
    axes = ("realization", "time", *NODES)
    east, north = -mean * np.float32(np.sin(turn)), -mean * np.float32(np.cos(turn))
    fields = {"gust_mps": gust, "mean_wind_mps": mean, "eastward_wind_mps": east, "northward_wind_mps": north}
    fields |= {name: np.full_like(gust, 280.0) for name in FIELDS}
    clock = {
        f"{kind}_{edge}": ("time", time - (edge == "start") * step_h * HOUR)
        for kind in ("gust", "precipitation")
        for edge in ("start", "end")
    }
    told = {"file": f"run_{reference.astype('datetime64[h]')}.nc", "role": "forecast", "gust_kind": "maximum"}
    told |= {"forecast_reference_time": f"{reference.astype('datetime64[s]')}Z", "remarks": "[]"}
    told |= {"resolves_relief": 0, "estimates_gust": 0} | attrs
    return dataset(
        {name: (axes, values) for name, values in fields.items()}
        | {"surface_altitude_m": (NODES, np.full((2, 2), altitude_m))},
        {
            "realization": np.arange(members),
            "time": time,
            "latitude": [-38.6, -38.4],
            "longitude": [-21.4, -21.2],
            **clock,
        },
        told,
    )


def mast_of(gust_mps: np.ndarray, begin: np.datetime64 = BEGIN, *, every_min: int = 10) -> xr.Dataset:
    """A mast whose interval i ends every_min x (i + 1) after the beginning; its mean is 0.7 of its gust."""
    span = np.timedelta64(every_min, "m")
    end = begin + (np.arange(len(gust_mps)) + 1) * span
    gust = np.asarray(gust_mps, dtype=np.float32)[None, :, None, None]
    axes = ("realization", "time", *NODES)
    return dataset(
        {"gust_mps": (axes, gust), "mean_wind_mps": (axes, 0.7 * gust)},
        {
            "realization": [0],
            "time": end,
            "latitude": [-38.5],
            "longitude": [-21.3],
            "gust_start": ("time", end - span),
            "gust_end": ("time", end),
        },
        {"file": "mast.csv", "role": "observation", "valid_within_m": 10_000.0},
    )


def invented_pairs(
    days: int = 60,
    members: int = 7,
    *,
    truth: tuple[float, float, float] = (0.5, 1.1, 2.5),
    leads: int = 8,
    from_deg: float | None = 260.0,
    seed: int = 1,
) -> xr.Dataset:
    """A run a day with steps of 3 h; the mast is normal around a + b mean, deviation: that of the members times k."""
    rng = np.random.default_rng(seed)
    day, ahead = (part.ravel() for part in np.meshgrid(np.arange(days), 3 * np.arange(1, leads + 1), indexing="ij"))
    level = 7.0 + 3.0 * np.sin(np.arange(days + 2) / 2.5) + rng.normal(size=days + 2)
    centre = level[day + ahead // 24] + rng.normal(size=day.size)
    spread = rng.uniform(0.4, 1.0, day.size)
    gust = np.maximum(centre[:, None] + spread[:, None] * rng.normal(size=(day.size, members)), 0.0)
    deviation = truth[2] * gust.std(axis=1, ddof=1)
    seen = np.maximum(truth[0] + truth[1] * gust.mean(axis=1) + deviation * rng.normal(size=day.size), 0.0)
    turn = rng.uniform(0.0, 360.0, day.size) if from_deg is None else np.full(day.size, from_deg)
    time = BEGIN + (24 * day + ahead) * HOUR
    told = {"runs": days, "station": "Shelf mast", "longitude_deg": -21.3, "latitude_deg": -38.5, "elevation_m": 2010.0}
    told |= {"height_m": 10.0, "model_altitude_m": 2000.0, "gust_kind": "maximum", "resolves_relief": 0}
    return xr.Dataset(
        {
            "forecast_gust_mps": (("case", "member"), gust),
            "observed_gust_mps": ("case", seen),
            "lead_h": ("case", ahead.astype(float)),
            "wind_from_deg": ("case", turn),
            "time_start": ("case", time - 3 * HOUR),
        },
        {"time": ("case", time), "member": np.arange(members)},
        told | {"estimates_gust": 0, "dropped": "{}"},
    )


def calibration_from(pairs: xr.Dataset, site: Site, **changes: Any) -> Calibration:
    """The file that these pairs would be written to."""
    whole: dict[str, Any] = {
        "schema_name": "calibration/1",
        "version": "0.1.0",
        "as_of": datetime(2026, 8, 1, tzinfo=UTC),
        "mast": Mast(name="Shelf mast", longitude_deg=-21.3, latitude_deg=-38.5, elevation_m=2010.0, height_m=10.0),
        "basis": basis_of(pairs, site, 6.0),
        "runs": 60,
        "cases": pairs.sizes["case"],
        "dropped": {},
        "trained_from": date(2026, 6, 1),
        "trained_until": date(2026, 7, 31),
        "lead_class_h": 12.0,
        "sector_deg": 90.0,
        "leads": leads_of(pairs),
        "control_realization": 0,
        "errors": errors_of(pairs, 0),
        "inputs": (),
    }
    return Calibration(**(whole | changes))


@pytest.fixture
def make_pairs() -> Callable[..., xr.Dataset]:
    return invented_pairs


@pytest.fixture(scope="session")
def learned() -> Calibration:
    """Learned from 60 days of wind from every direction."""
    return calibration_from(invented_pairs(60, from_deg=None), SITE)


@pytest.fixture
def make_run() -> Callable[..., xr.Dataset]:
    return run_of


@pytest.fixture
def make_mast() -> Callable[..., xr.Dataset]:
    return mast_of


@pytest.fixture
def station() -> Station:
    return Station(
        name="Shelf mast",
        longitude_deg=-21.3,
        latitude_deg=-38.5,
        elevation_m=2010.0,
        height_m=10.0,
        valid_within_km=10.0,
    )


@pytest.fixture
def site() -> Site:
    return SITE
