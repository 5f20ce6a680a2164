"""An invented forecast over an invented mountain road near 38.5 S 21.3 W, as a CF file and in the normal form."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import xarray as xr

from transport.weather.feeds import feed
from transport.weather.feeds.inputs import Feed
from transport.weather.feeds.normal_form import normal_form
from transport.weather.feeds.packing import check_attributes
from transport.weather.feeds.raw import Raw
from transport.weather.inputs import Site, Weather

REFERENCE = datetime(2026, 3, 10, 0, tzinfo=UTC)


def cf_dataset(members: int = 6, hours: int = 30, rows: int = 4, columns: int = 5, seed: int = 7) -> xr.Dataset:
    """Undecoded CF content: u, v, gust (maximum over bounds), air, dew point, pressure, rain total, sight, ground."""
    rng = np.random.default_rng(seed)
    shape = (members, hours + 1, rows, columns)
    smooth = 6.0 + 2.0 * np.sin(np.arange(hours + 1) / 4.0)[None, :, None, None] + rng.normal(0, 0.3, shape)
    turn = np.deg2rad(250.0 + rng.normal(0, 5.0, shape))
    field = ("realization", "time", "lat", "lon")
    at_10m, at_2m = {"coordinates": "height10"}, {"coordinates": "height2"}
    wind = at_10m | {"units": "m s-1", "cell_methods": "time: point"}
    rain = np.cumsum(np.maximum(rng.normal(-1.0, 0.5, shape), 0.0), axis=1)
    time = {
        "standard_name": "time",
        "units": "hours since 2026-03-10 00:00:00",
        "calendar": "standard",
        "bounds": "time_bnds",
    }
    ends = np.arange(hours + 1)
    return xr.Dataset(
        {
            "u10": (field, (-smooth * np.sin(turn)).astype("f4"), wind | {"standard_name": "eastward_wind"}),
            "v10": (field, (-smooth * np.cos(turn)).astype("f4"), wind | {"standard_name": "northward_wind"}),
            "fg10": (
                field,
                (1.5 * smooth + 0.5).astype("f4"),
                at_10m | {"standard_name": "wind_speed_of_gust", "units": "m s-1", "cell_methods": "time: maximum"},
            ),
            "t2": (
                field,
                (281.0 + rng.normal(0, 0.3, shape)).astype("f4"),
                at_2m | {"standard_name": "air_temperature", "units": "K"},
            ),
            "d2": (
                field,
                (276.0 + rng.normal(0, 0.3, shape)).astype("f4"),
                at_2m | {"standard_name": "dew_point_temperature", "units": "K"},
            ),
            "ps": (
                field,
                (78000.0 + rng.normal(0, 30.0, shape)).astype("f4"),
                {"standard_name": "surface_air_pressure", "units": "Pa"},
            ),
            "tp": (
                field,
                rain.astype("f4"),
                {"standard_name": "precipitation_amount", "units": "kg m-2", "cell_methods": "time: sum"},
            ),
            "vis": (
                field,
                (20000.0 + rng.normal(0, 500.0, shape)).astype("f4"),
                {"standard_name": "visibility_in_air", "units": "m"},
            ),
            "orog": (
                ("lat", "lon"),
                np.full((rows, columns), 2100.0, "f4"),
                {"standard_name": "surface_altitude", "units": "m"},
            ),
            "height10": ((), 10.0, {"standard_name": "height", "units": "m", "positive": "up"}),
            "height2": ((), 2.0, {"standard_name": "height", "units": "m", "positive": "up"}),
            "run": ((), 0, {"standard_name": "forecast_reference_time", "units": "hours since 2026-03-10 00:00:00"}),
            "lead": (("time",), ends, {"standard_name": "forecast_period", "units": "hours"}),
            "time_bnds": (("time", "bnds"), np.stack([np.maximum(ends - 1, 0), ends], axis=1)),
        },
        coords={
            "realization": (("realization",), np.arange(members), {"standard_name": "realization", "units": "1"}),
            "time": (("time",), ends, time),
            "lat": (("lat",), -38.65 + 0.1 * np.arange(rows), {"standard_name": "latitude", "units": "degrees_north"}),
            "lon": (
                ("lon",),
                -21.55 + 0.1 * np.arange(columns),
                {"standard_name": "longitude", "units": "degrees_east"},
            ),
        },
    ).pipe(_totals_as_intervals)


def _totals_as_intervals(data: xr.Dataset) -> xr.Dataset:
    """The bounds of the file are those of the gust, so rain is the amount of each interval."""
    amounts = np.diff(data["tp"].to_numpy(), axis=1, prepend=0.0).astype("f4")
    return data.assign(tp=(data["tp"].dims, amounts, data["tp"].attrs))


def write_cf(data: xr.Dataset, path: Path, engine: str = "netcdf4", **options: Any) -> Path:
    """Write content as it stands: no encoding, no added fill value."""
    encoding = {str(name): {"_FillValue": None} for name in data.variables if "_FillValue" not in data[name].attrs}
    data.to_netcdf(path, engine=engine, encoding=encoding, **options)
    return path


@pytest.fixture
def content() -> xr.Dataset:
    return cf_dataset()


@pytest.fixture
def make_content() -> Callable[..., xr.Dataset]:
    return cf_dataset


@pytest.fixture
def write(tmp_path: Path) -> Callable[..., Path]:
    return lambda data, name="forecast.nc", **options: write_cf(data, tmp_path / name, **options)


@pytest.fixture
def model() -> Feed:
    return Feed(path="forecast.nc", role="forecast")


@pytest.fixture
def read(model: Feed) -> Callable[[xr.Dataset], xr.Dataset]:
    """Bring CF content to the normal form, without the way over a file and a child process."""

    def in_memory(data: xr.Dataset) -> xr.Dataset:
        variables = {str(name): variable.copy() for name, variable in data.variables.items()}
        for name, variable in variables.items():
            check_attributes(variable, "forecast.nc", name)
        return normal_form(Raw("forecast.nc", variables, tuple(variables)), model)

    return in_memory


@pytest.fixture(scope="session")
def normal(tmp_path_factory: pytest.TempPathFactory) -> xr.Dataset:
    path = write_cf(cf_dataset(), tmp_path_factory.mktemp("normal") / "forecast.nc")
    return feed.read(path, Feed(path="forecast.nc", role="forecast"))


@pytest.fixture
def site() -> Site:
    return Site(time_zone="Etc/GMT+1", terrain_category="II", air_density_kg_per_m3=1.25)


@pytest.fixture
def weather() -> Weather:
    return Weather(
        maximum_age_h=12.0,
        minimum_members=5,
        maximum_height_mismatch_m=300.0,
        direction_spread_deg=30.0,
        feed=(Feed(path="forecast.nc", role="forecast"),),
    )


def road_arguments(stations: int = 9) -> dict[str, Any]:
    part = np.linspace(0.0, 1.0, stations)
    return {
        "station_m": 4000.0 * part,
        "longitude_deg": -21.40 + 0.06 * part,
        "latitude_deg": -38.56 + 0.09 * part,
        "elevation_m": 2000.0 + 250.0 * part,
        "heading_deg": 40.0 + 20.0 * part,
        "speed_mps": np.full(stations, 1.4),
        "load_height_m": 2.4,
        "as_of": REFERENCE + timedelta(hours=3),
        "needed_from": REFERENCE + timedelta(hours=6),
        "needed_until": REFERENCE + timedelta(hours=20),
    }


@pytest.fixture
def road() -> dict[str, Any]:
    return road_arguments()
