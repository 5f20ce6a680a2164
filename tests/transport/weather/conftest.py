"""An invented forecast over an invented mountain road near 38.5 S 21.3 W, as a CF file and in the normal form."""

import subprocess
import warnings
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from functools import cache, partial
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pyproj
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


SPHERE = {"earth_radius": 6371229.0}
BENT: dict[str, dict[str, Any]] = {
    "lambert": {
        "grid_mapping_name": "lambert_conformal_conic",
        "standard_parallel": [-30.0, -45.0],
        "longitude_of_central_meridian": 5.0,
        "latitude_of_projection_origin": -40.0,
        "false_easting": 3e5,
        "false_northing": -2e5,
    },
    "polar": {
        "grid_mapping_name": "polar_stereographic",
        "latitude_of_projection_origin": -90.0,
        "straight_vertical_longitude_from_pole": 30.0,
        "standard_parallel": -60.0,
    },
    "transverse": {
        "grid_mapping_name": "transverse_mercator",
        "scale_factor_at_central_meridian": 0.9996,
        "longitude_of_central_meridian": -27.0,
        "latitude_of_projection_origin": 0.0,
    },
    "mercator": {
        "grid_mapping_name": "mercator",
        "longitude_of_projection_origin": 0.0,
        "standard_parallel": -38.0,
    },
    "rotated": {
        "grid_mapping_name": "rotated_latitude_longitude",
        "grid_north_pole_latitude": 45.0,
        "grid_north_pole_longitude": 10.0,
        "north_pole_grid_longitude": -170.0,
    },
}


def unrotated_deg(
    grid_longitude_deg: Any, grid_latitude_deg: Any, pole: tuple[float, float, float] = (10.0, 45.0, -170.0)
) -> Any:
    """True longitude and latitude of places on a rotated grid.

    In the triangle of grid pole, true pole and place, the angle at the grid pole is the grid longitude counted from
    that of the true pole. pole: longitude and latitude of the grid's north pole, grid longitude of the true one.
    Source: definition of the three attributes in CF conventions, appendix F (read); sides and angles of a spherical
    triangle (from memory).
    """
    angle, side, tilt = (np.deg2rad(v) for v in (np.asarray(grid_longitude_deg) - pole[2], grid_latitude_deg, pole[1]))
    north = np.sin(tilt) * np.sin(side) + np.cos(tilt) * np.cos(side) * np.cos(angle)
    away = np.cos(tilt) * np.sin(side) - np.sin(tilt) * np.cos(side) * np.cos(angle)
    return pole[0] + np.rad2deg(np.arctan2(-np.cos(side) * np.sin(angle), away)), np.rad2deg(np.arcsin(north))


def north_of_grid_deg(kind: str, longitude_deg: Any, latitude_deg: Any) -> np.ndarray:
    """Azimuth of the grid's north: pyproj's convergence of meridians, or the geodesic to the grid's pole."""
    if kind == "rotated":
        pole = [np.full(np.shape(longitude_deg), value) for value in (10.0, 45.0)]
        return np.asarray(pyproj.Geod(a=6371229.0, b=6371229.0).inv(longitude_deg, latitude_deg, *pole)[0])
    projection = pyproj.Proj(pyproj.CRS.from_cf(BENT[kind] | SPHERE))
    return np.asarray(projection.get_factors(longitude_deg, latitude_deg).meridian_convergence)


def true_wind(longitude_deg: Any, latitude_deg: Any, members: int, hours: int) -> tuple[Any, Any, Any]:
    """An invented wind that varies over tens of kilometres: eastward, northward, gust; (member, time, *places)."""
    when = np.arange(hours + 1).reshape(-1, *(1,) * np.ndim(longitude_deg))
    who = np.arange(members).reshape(-1, 1, *(1,) * np.ndim(longitude_deg))
    east, south = (np.asarray(longitude_deg) + 180.0) % 360.0 - 158.0, np.asarray(latitude_deg) + 38.5
    speed = 8.0 + 1.5 * np.sin(2.0 * east + 0.3 * when) + 1.2 * np.cos(3.0 * south) + 0.03 * who
    angle = np.deg2rad(250.0 + 15.0 * np.sin(1.5 * east - 2.0 * south) + 2.0 * who)
    return -speed * np.sin(angle), -speed * np.cos(angle), 1.5 * speed + 0.5


@cache
def bent_dataset(
    kind: str, rows: int = 8, columns: int = 9, members: int = 6, hours: int = 30, step: float = 9000.0
) -> xr.Dataset:
    """The invented forecast on a rotated or projected grid around the road, winds along the axes of the grid."""
    mapping, rotated = BENT[kind] | ({} if kind == "rotated" else SPHERE), kind == "rotated"
    to_plane = pyproj.Proj(pyproj.CRS.from_cf(mapping))
    centre = (-14.049, 1.838) if rotated else to_plane(-21.37, -38.515)
    spacing = step / 111195.0 if rotated else step
    x, y = (
        at + spacing * (np.arange(count) - count / 2 + 0.4) for at, count in zip(centre, (columns, rows), strict=True)
    )
    longitude, latitude = (unrotated_deg if rotated else partial(to_plane, inverse=True))(*np.meshgrid(x, y))
    east, north, gust = true_wind(longitude, latitude, members, hours)
    turn = np.deg2rad(north_of_grid_deg(kind, longitude, latitude))
    values = {"u10": east * np.cos(turn) - north * np.sin(turn), "v10": east * np.sin(turn) + north * np.cos(turn)}
    names = {"u10": "x_wind", "v10": "y_wind"}
    data = cf_dataset(members, hours, rows, columns).drop_vars(["lat", "lon"]).rename_dims(lat="y", lon="x")
    for name, found in {**values, "fg10": gust}.items():
        attrs = data[name].attrs | {"standard_name": names.get(name, data[name].attrs["standard_name"])}
        data[name] = data[name].dims, found.astype("f4"), attrs
    for name in ("u10", "v10", "fg10", "t2", "d2", "ps", "tp", "vis", "orog"):
        attrs = data[name].attrs
        attrs |= {"coordinates": f"latitude longitude {attrs.get('coordinates', '')}".strip(), "grid_mapping": "crs"}
        data[name].attrs = attrs
    of_x, of_y = (
        ("grid_longitude", "grid_latitude") if rotated else ("projection_x_coordinate", "projection_y_coordinate")
    )
    units = "degrees" if rotated else "m"
    return data.assign(
        x=(("x",), x, {"standard_name": of_x, "units": units}),
        y=(("y",), y, {"standard_name": of_y, "units": units}),
        latitude=(("y", "x"), latitude, {"standard_name": "latitude", "units": "degrees_north"}),
        longitude=(("y", "x"), longitude, {"standard_name": "longitude", "units": "degrees_east"}),
        crs=((), np.int32(0), mapping),
    )


def write_cf(data: xr.Dataset, path: Path, engine: str = "netcdf4", **options: Any) -> Path:
    """Write content as it stands: no encoding, no added fill value."""
    encoding = {str(name): {"_FillValue": None} for name in data.variables if "_FillValue" not in data[name].attrs}
    data.to_netcdf(path, engine=engine, encoding=encoding, **options)
    return path


def write_zarr(data: xr.Dataset, path: Path, version: int, **encoding: Any) -> Path:
    """Write content as it stands into a Zarr folder, and the list of its files with the ordinary tool."""
    plain = {str(name): {"_FillValue": None} for name in data.variables if "_FillValue" not in data[name].attrs}
    chosen = {name: plain.get(name, {}) | encoding.get(name, {}) for name in map(str, data.variables)}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        data.to_zarr(path, zarr_format=version, encoding=chosen, write_empty_chunks=True)
    list_files(path)
    return path


def list_files(store: Path) -> Path:
    """The command of the README."""
    file = store.with_name(f"{store.name}.sha256")
    command = "find . -type f -print0 | LC_ALL=C sort -z | xargs -0 sha256sum"
    done = subprocess.run(["sh", "-c", command], cwd=store, capture_output=True, check=True)
    file.write_bytes(done.stdout)
    return file


@pytest.fixture
def content() -> xr.Dataset:
    return cf_dataset()


@pytest.fixture
def make_content() -> Callable[..., xr.Dataset]:
    return cf_dataset


@pytest.fixture(scope="session")
def make_bent() -> Callable[..., xr.Dataset]:
    return lambda *args, **options: bent_dataset(*args, **options).copy(deep=True)


@pytest.fixture
def outside() -> Any:
    """The outside reference of bent grids: mappings, true places, the grid's north, the wind itself."""
    return SimpleNamespace(
        mappings=BENT, sphere=SPHERE, unrotated_deg=unrotated_deg, north_deg=north_of_grid_deg, wind=true_wind
    )


@pytest.fixture
def write(tmp_path: Path) -> Callable[..., Path]:
    return lambda data, name="forecast.nc", **options: write_cf(data, tmp_path / name, **options)


@pytest.fixture
def store(tmp_path: Path) -> Callable[..., Path]:
    return lambda data, version, name="forecast.zarr", **encoding: write_zarr(
        data, tmp_path / name, version, **encoding
    )


@pytest.fixture
def listed() -> Callable[[Path], Path]:
    return list_files


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
