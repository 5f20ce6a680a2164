"""Rotated and projected grids as files hold them: order, checks of the nodes, grid mappings, a real file."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pyproj
import pytest
import xarray as xr
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shared.errors import InputError
from transport.weather.feeds import feed, netcdf
from transport.weather.feeds.grids.nodes import grid_of
from transport.weather.feeds.inputs import Feed
from transport.weather.feeds.raw import Raw

Read = Callable[[xr.Dataset], xr.Dataset]
Make = Callable[..., xr.Dataset]
KINDS = ("lambert", "polar", "transverse", "mercator", "rotated")
REAL = Path(__file__).parents[3] / "data" / "iris_sample_data" / "rotated_pole.nc"
SAME = settings(
    max_examples=12, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.function_scoped_fixture]
)


def refused(read: Read, content: xr.Dataset) -> str:
    with pytest.raises(InputError) as caught:
        read(content)
    return str(caught.value)


@pytest.fixture(params=KINDS)
def bent(request: pytest.FixtureRequest, make_bent: Make) -> xr.Dataset:
    return make_bent(request.param, members=2, hours=4)


@pytest.fixture
def lambert(make_bent: Make) -> xr.Dataset:
    return make_bent("lambert", members=2, hours=4)


@pytest.fixture
def rotated(make_bent: Make) -> xr.Dataset:
    return make_bent("rotated", members=2, hours=4)


def test_normal_form_of_a_bent_grid(bent: xr.Dataset, read: Read, outside: Any) -> None:
    found = read(bent)
    assert found["gust_mps"].dims == ("realization", "time", "y", "x")
    assert found["latitude"].dims == found["longitude"].dims == found["surface_altitude_m"].dims == ("y", "x")
    np.testing.assert_allclose(found["latitude"], bent["latitude"])
    np.testing.assert_allclose(found["longitude"], (bent["longitude"] + 180.0) % 360.0 - 180.0)
    east, north, gust = outside.wind(found["longitude"], found["latitude"], 2, 4)
    np.testing.assert_allclose(found["eastward_wind_mps"], east, atol=1e-4)
    np.testing.assert_allclose(found["northward_wind_mps"], north, atol=1e-4)
    np.testing.assert_allclose(found["mean_wind_mps"], np.hypot(east, north), rtol=1e-6)
    np.testing.assert_allclose(found["gust_mps"], gust, rtol=1e-6)
    assert json.loads(found.attrs["remarks"]) == []


@pytest.mark.parametrize("engine", ["netcdf4", "scipy"])
def test_the_way_over_a_file(
    lambert: xr.Dataset, read: Read, write: Callable[..., Path], model: Feed, engine: str
) -> None:
    xr.testing.assert_identical(feed.read(write(lambert, engine=engine), model), read(lambert))


@SAME
@given(flips=st.tuples(st.booleans(), st.booleans()), across=st.booleans(), kind=st.sampled_from(KINDS))
def test_order_and_names_of_axes_change_nothing(
    make_bent: Make, read: Read, flips: tuple[bool, bool], across: bool, kind: str
) -> None:
    content = make_bent(kind, members=2, hours=4)
    other = content.isel(y=slice(None, None, -1 if flips[0] else 1), x=slice(None, None, -1 if flips[1] else 1))
    other = other.rename(x="i", y="j", latitude="phi", longitude="lam", crs="earth")
    for name in other.data_vars:
        other[name].attrs.pop("coordinates", None)
        if "grid_mapping" in other[name].attrs:
            other[name].attrs["grid_mapping"] = "earth: i j"
    for name in ("u10", "v10", "fg10"):
        other[name].attrs["coordinates"] = "phi lam height10"
    for name in ("t2", "d2"):
        other[name].attrs["coordinates"] = "phi lam height2"
    found = read(other.transpose(..., *(("i", "j") if across else ("j", "i"))) if across else other)
    xr.testing.assert_identical(found, read(content))


def test_latitude_and_longitude_stored_across_each_other(rotated: xr.Dataset, read: Read) -> None:
    other = rotated.assign(longitude=rotated["longitude"].transpose("x", "y"))
    xr.testing.assert_identical(read(other), read(rotated))


def test_longitude_from_0_to_360(rotated: xr.Dataset, read: Read) -> None:
    attrs = rotated["longitude"].attrs
    other = rotated.assign(longitude=(("y", "x"), rotated["longitude"].to_numpy() % 360.0, attrs))
    xr.testing.assert_allclose(read(other), read(rotated))


@pytest.mark.parametrize("fault", ["missing", "latitude", "row", "twice", "fold", "bow", "hole", "hole in x"])
def test_nodes_that_are_no_grid(rotated: xr.Dataset, read: Read, fault: str) -> None:
    content = rotated.copy(deep=True)
    longitude, latitude = content["longitude"].to_numpy(), content["latitude"].to_numpy()
    if fault == "missing":
        longitude[3, 4] = np.nan
    elif fault == "latitude":
        latitude[0, 0] = -91.0
    elif fault == "twice":
        longitude[3, 4], latitude[3, 4] = longitude[5, 1], latitude[5, 1]
    elif fault == "fold":
        longitude[[3, 4]], latitude[[3, 4]] = longitude[[4, 3]], latitude[[4, 3]]
    elif fault == "bow":
        longitude[3, 4] += 0.15
    elif fault == "row":
        content = content.isel(y=[2])
    else:
        dim = "x" if fault == "hole in x" else "y"
        content = content.isel({dim: [at for at in range(content.sizes[dim]) if at != 4]})
    said = {
        "missing": "y, x: latitude from -90 to 90 and longitude are needed at every node, none missing",
        "latitude": "y, x: latitude from -90 to 90 and longitude are needed at every node, none missing",
        "row": "y: has shape (1,); needs one dimension of at least 2 values",
        "twice": "stands twice; keep one",
        "fold": "y, x: folds over at",
        "bow": "y, x: folds over at",
        "hole": "y: has a hole of 18 km, the usual spacing is 9 km; no value is made up across a hole",
        "hole in x": "x: has a hole of 18 km, the usual spacing is 9 km",
    }
    assert said[fault] in refused(read, content)


def test_nodes_that_are_no_grid_where_no_axis_tells(rotated: xr.Dataset, read: Read) -> None:
    bare = without_axes(rotated)
    assert "y, x: has (1, 9) nodes, needs at least 2 x 2" in refused(read, bare.isel(y=[2]))
    flat = bare.assign(latitude=bare["latitude"] * 0.0 + bare["latitude"][0, 0])
    flat["latitude"].attrs = bare["latitude"].attrs
    assert "folds over at" in refused(read, flat)


def without_axes(content: xr.Dataset) -> xr.Dataset:
    """Only latitude and longitude of each node, winds towards true east and north."""
    bare = content.drop_vars(["x", "y", "crs"])
    for name, standard_name in (("u10", "eastward_wind"), ("v10", "northward_wind")):
        bare[name].attrs["standard_name"] = standard_name
    for name in bare.data_vars:
        bare[name].attrs.pop("grid_mapping", None)
    return bare


def test_nodes_alone_will_do_for_true_winds(lambert: xr.Dataset, read: Read) -> None:
    found = read(without_axes(lambert))
    np.testing.assert_array_equal(found["eastward_wind_mps"], lambert["u10"])
    assert (
        "no grid mapping with axes of its own, so the places of its nodes could not be checked"
        in (found.attrs["remarks"])
    )


def test_nodes_alone_may_run_either_way_round(lambert: xr.Dataset, read: Read) -> None:
    bare = without_axes(lambert)
    found = read(bare.isel(y=slice(None, None, -1)))
    xr.testing.assert_equal(found.isel(y=slice(None, None, -1)), read(bare))


def test_axes_must_be_those_of_the_nodes(rotated: xr.Dataset, read: Read) -> None:
    attrs, values = rotated["x"].attrs, rotated["x"].to_numpy()
    other = rotated.drop_vars("x").assign(x2=(("xx",), values, attrs))
    assert "latitude: lies on y, x, longitude on y, x, the grid on y, xx; all three must be the same" in refused(
        read, other
    )
    values = values.copy()
    values[3] = values[4]
    assert "x: has a missing or repeated value" in refused(read, rotated.assign(x=(("x",), values, attrs)))
    values[3] = np.nan
    assert "x: has a missing or repeated value" in refused(read, rotated.assign(x=(("x",), values, attrs)))
    unknown = rotated.assign(x=(("x",), rotated["x"].to_numpy(), attrs | {"units": "1"}))
    assert "x: units '1' for grid_longitude, allowed are degree, degrees, deg" in refused(read, unknown)


def test_field_on_other_axes(rotated: xr.Dataset, read: Read) -> None:
    moved = ("realization", "time", "y", "staggered"), rotated["vis"].to_numpy(), rotated["vis"].attrs
    other = rotated.drop_vars("vis").assign(vis=moved)
    assert "vis: has axes realization, time, y, staggered, allowed are realization, time and the grid's y and x" in (
        refused(read, other)
    )


@pytest.mark.parametrize(
    ("kind", "name", "off"),
    [
        ("rotated", "grid_north_pole_latitude", 0.5),
        ("rotated", "grid_north_pole_longitude", 2.0),
        ("rotated", "north_pole_grid_longitude", 5.0),
        ("lambert", "longitude_of_central_meridian", 3.0),
        ("polar", "straight_vertical_longitude_from_pole", -4.0),
        ("transverse", "longitude_of_central_meridian", 1.0),
        ("mercator", "standard_parallel", 2.0),
        ("lambert", "false_easting", 4000.0),
    ],
)
def test_wrong_grid_mapping_is_refused(make_bent: Make, read: Read, kind: str, name: str, off: float) -> None:
    """Either the mapping or the nodes are wrong, and with them the direction of every wind."""
    content = make_bent(kind, members=2, hours=4)
    content["crs"].attrs = content["crs"].attrs | {name: content["crs"].attrs[name] + off}
    text = refused(read, content)
    assert "crs: the nodes lie up to" in text
    assert "km from where this" in text
    assert "a wrong pole or origin turns the wind; correct the mapping, or latitude and longitude" in text


def test_small_grid_turned_about_its_middle_is_refused(make_bent: Make, read: Read) -> None:
    """Its nodes hardly move, its winds turn by 6 degrees."""
    content = make_bent("lambert", rows=2, columns=2, members=2, hours=4)
    middle, turn = complex(content["x"].mean(), content["y"].mean()), np.exp(1j * np.deg2rad(6.0))
    x, y = np.meshgrid(content["x"], content["y"])
    there = middle + (x + 1j * y - middle) * turn
    longitude, latitude = pyproj.Proj(pyproj.CRS.from_cf(content["crs"].attrs))(there.real, there.imag, inverse=True)
    for name, values in (("longitude", longitude), ("latitude", latitude)):
        content[name] = ("y", "x"), values, content[name].attrs
    text = refused(read, content)
    assert "lie up to 0.6" in text
    assert "their rows run up to 6 deg off; allowed are 2.2" in text


@pytest.mark.parametrize(("step", "said"), [(1000.0, "stands twice; keep one"), (2500.0, "and their rows run up to")])
def test_rounded_places_are_refused_before_they_turn_a_wind(
    make_bent: Make, read: Read, step: float, said: str
) -> None:
    """Two decimals of a degree, about a kilometre."""
    content = make_bent("lambert", members=2, hours=4, step=step)
    for name in ("longitude", "latitude"):
        content[name] = ("y", "x"), content[name].to_numpy().round(2), content[name].attrs
    assert said in refused(read, content)


@pytest.mark.parametrize("ellipsoid", [{}, {"semi_major_axis": 6378137.0, "inverse_flattening": 298.257223563}])
def test_size_of_the_earth_that_is_not_told(
    make_bent: Make, read: Read, outside: Any, ellipsoid: dict[str, float]
) -> None:
    """Some producers leave it out; the sphere of the models and WGS 84 are tried."""
    content = make_bent("lambert", members=2, hours=4)
    attrs = {key: value for key, value in content["crs"].attrs.items() if key != "earth_radius"}
    content["crs"].attrs = attrs
    if ellipsoid:
        plane = pyproj.Proj(pyproj.CRS.from_cf(attrs | ellipsoid))
        longitude, latitude = plane(*np.meshgrid(content["x"], content["y"]), inverse=True)
        assert np.abs(latitude - content["latitude"]).max() > 0.001
        for name, values in (("longitude", longitude), ("latitude", latitude)):
            content[name] = ("y", "x"), values, content[name].attrs
    assert "the nodes lie where lambert_conformal_conic puts them, within" in read(content).attrs["derived"]


def test_kilometres_and_the_newer_name_of_the_polar_meridian(make_bent: Make, read: Read) -> None:
    content = make_bent("polar", members=2, hours=4)
    other = content.copy(deep=True)
    attrs = dict(content["crs"].attrs)
    attrs["longitude_of_projection_origin"] = attrs.pop("straight_vertical_longitude_from_pole")
    other["crs"].attrs = attrs | {"false_easting": 100.0, "inverse_flattening": 0.0}
    for name, shift in (("x", 100.0), ("y", 0.0)):
        other[name] = (name,), content[name].to_numpy() / 1000.0 + shift, content[name].attrs | {"units": "km"}
    xr.testing.assert_allclose(read(other), read(content))
    assert "within" in read(other).attrs["derived"]


@pytest.mark.parametrize("kind", KINDS)
def test_places_from_the_grid_mapping_alone(make_bent: Make, read: Read, kind: str) -> None:
    content = make_bent(kind, members=2, hours=4)
    found = read(content.drop_vars(["latitude", "longitude"]))
    xr.testing.assert_allclose(found, read(content), rtol=1e-6)
    name = content["crs"].attrs["grid_mapping_name"]
    assert f"latitude and longitude of the nodes are worked out from x, y and {name}" in found.attrs["derived"]
    assert (
        "latitude and longitude are not in the file, so the places of its nodes could not be checked"
        in (found.attrs["remarks"])
    )


def test_places_that_the_grid_mapping_cannot_give(lambert: xr.Dataset, rotated: xr.Dataset, read: Read) -> None:
    alone = lambert.drop_vars(["latitude", "longitude"])
    attrs = dict(alone["crs"].attrs)

    def with_attrs(**changed: Any) -> xr.Dataset:
        kept = {key: value for key, value in (attrs | changed).items() if value is not None}
        return alone.assign(crs=((), np.int32(0), kept))

    assert "crs: does not tell the size of the earth; add earth_radius" in refused(read, with_attrs(earth_radius=None))
    other = with_attrs(grid_mapping_name="albers_conical_equal_area")
    assert "crs: albers_conical_equal_area on projection_x_coordinate and" in refused(read, other)
    assert "or give latitude and longitude of each node" in refused(read, other)
    broken = with_attrs(standard_parallel=None)
    assert "crs: lambert_conformal_conic cannot be worked out (" in refused(read, broken)
    assert "latitude: latitude is missing" in refused(read, alone.drop_vars("crs"))
    assert "latitude: latitude is missing" in refused(read, rotated.drop_vars(["latitude", "longitude", "x"]))


@pytest.mark.parametrize("value", ["45", float("nan"), [45.0, 46.0]])
def test_numbers_of_the_grid_mapping_must_be_numbers(rotated: xr.Dataset, read: Read, value: Any) -> None:
    """An optional one that is passed over would count as 0."""
    rotated["crs"].attrs = rotated["crs"].attrs | {"north_pole_grid_longitude": value}
    assert "crs: attribute north_pole_grid_longitude is" in refused(read, rotated)


def test_grid_mapping_that_is_not_understood_is_said(lambert: xr.Dataset, read: Read) -> None:
    lambert["crs"].attrs = {"grid_mapping_name": "oblique_mercator"}
    assert "the grid mapping oblique_mercator is not understood, so the places" in read(lambert).attrs["remarks"]
    lambert["crs"].attrs = {"units": "1"}
    assert "crs: is named as grid_mapping, but has no grid_mapping_name" in refused(read, lambert)


def test_two_grid_mappings_and_another_meridian(lambert: xr.Dataset, read: Read) -> None:
    plain = {"grid_mapping_name": "latitude_longitude", "earth_radius": 6371229.0}
    two = lambert.assign(geo=((), np.int32(0), plain))
    two["u10"].attrs["grid_mapping"] = "crs: x y geo: latitude longitude"
    xr.testing.assert_identical(read(two), read(lambert))
    two["geo"].attrs = plain | {"longitude_of_prime_meridian": 2.337}
    assert "geo: longitude_of_prime_meridian is not 0; longitude must count from Greenwich" in refused(read, two)
    two["geo"].attrs = plain | {"grid_mapping_name": "mercator"}
    assert "crs, geo: 2 grid mappings; keep one" in refused(read, two)


def test_regular_grid_with_another_meridian(content: xr.Dataset, read: Read) -> None:
    named = {"grid_mapping_name": "latitude_longitude", "longitude_of_prime_meridian": 2.337}
    other = content.assign(crs=((), np.int32(0), named))
    other["u10"].attrs["grid_mapping"] = "crs"
    assert "crs: longitude_of_prime_meridian is not 0" in refused(read, other)


def test_real_rotated_grid(write: Callable[..., Path], outside: Any, model: Feed) -> None:
    """Axes and grid mapping of a real producer's file, pole at 37.5 N 177.5 E, with an invented wind along its axes."""
    with xr.open_dataset(REAL, decode_cf=False) as real:
        axes = real[["grid_latitude", "grid_longitude", "rotated_latitude_longitude"]].load()
    there = np.meshgrid(*(axes[name].to_numpy().astype(float) for name in ("grid_longitude", "grid_latitude")))
    longitude, latitude = outside.unrotated_deg(*there, (177.5, 37.5, 0.0))
    dims, named = ("time", "grid_latitude", "grid_longitude"), {"grid_mapping": "rotated_latitude_longitude"}
    wind = named | {"units": "m s-1", "coordinates": "height"}
    content = axes.assign(
        time=(("time",), [0, 1, 2], {"standard_name": "time", "units": "hours since 2026-03-10 00:00:00"}),
        run=((), 0, {"standard_name": "forecast_reference_time", "units": "hours since 2026-03-10 00:00:00"}),
        height=((), 10.0, {"standard_name": "height", "units": "m"}),
        u=(dims, np.full((3, 22, 36), 3.0, "f4"), wind | {"standard_name": "x_wind"}),
        v=(dims, np.full((3, 22, 36), 4.0, "f4"), wind | {"standard_name": "y_wind"}),
    )
    found = feed.read(write(content), model)
    rising = axes["grid_latitude"][1] > axes["grid_latitude"][0]
    up = slice(None, None, 1 if rising else -1)
    np.testing.assert_allclose(found["latitude"], latitude[up], atol=1e-5)
    np.testing.assert_allclose(found["longitude"], ((longitude + 180.0) % 360.0 - 180.0)[up], atol=1e-5)
    globe, pole = pyproj.Geod(a=6371229.0, b=6371229.0), (np.full((22, 36), 177.5), np.full((22, 36), 37.5))
    north = globe.inv(found["longitude"].to_numpy(), found["latitude"].to_numpy(), *pole)[0]
    towards = np.rad2deg(np.arctan2(3.0, 4.0)) + north
    np.testing.assert_allclose(found["eastward_wind_mps"][0, 0], 5.0 * np.sin(np.deg2rad(towards)), atol=1e-3)
    np.testing.assert_allclose(found["northward_wind_mps"][0, 0], 5.0 * np.cos(np.deg2rad(towards)), atol=1e-3)
    np.testing.assert_allclose(found["mean_wind_mps"], 5.0, rtol=1e-6)
    assert "mean wind: the length of its components" in json.loads(found.attrs["derived"])


def test_grid_of_the_real_file_through_its_reader(tmp_path: Path) -> None:
    """Without wind its axes are read, and its grid mapping is not even asked for."""
    raw: Raw = netcdf.read(REAL, "netcdf4")
    assert {"grid_latitude", "grid_longitude"} <= set(raw.variables)
    with pytest.raises(InputError, match="latitude is missing"):
        grid_of(raw)
