"""The part of a file around the road: it gives the same wind to the bit as the whole file, or it is the whole file."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import xarray as xr
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from transport.weather import space
from transport.weather.assess import assess
from transport.weather.feeds import extract, feed, netcdf, raw, selection, zarr_extract
from transport.weather.feeds.box import Box, box_of, box_text
from transport.weather.feeds.grids.grid import regular_grid
from transport.weather.feeds.inputs import Feed
from transport.weather.feeds.normal_form import normal_form
from transport.weather.inputs import Site, Weather

MODEL = Feed(path="forecast.nc", role="forecast")
LIMIT = 10**9


def axes(latitude_deg: np.ndarray, longitude_deg: np.ndarray, **attrs: Any) -> dict[str, xr.Variable]:
    along = {1: (("y",), ("x",)), 2: (("y", "x"), ("y", "x"))}[latitude_deg.ndim]
    north = {"standard_name": "latitude", "units": "degrees_north"} | attrs
    east = {"standard_name": "longitude", "units": "degrees_east"}
    size = (latitude_deg.shape[0], longitude_deg.shape[-1])
    return {
        "lat": xr.Variable(along[0], latitude_deg, north),
        "lon": xr.Variable(along[1], longitude_deg, east),
        "gust": xr.Variable(("y", "x"), np.arange(size[0] * size[1]).reshape(size)),
    }


def boxed(variables: dict[str, xr.Variable], box: Box) -> dict[str, xr.Variable]:
    parts = selection.parts_around(variables, box, LIMIT)
    return {
        name: xr.Variable(variable.dims, selection.cut(variable, parts), variable.attrs)
        for name, variable in variables.items()
    }


def around(variables: dict[str, xr.Variable], places: tuple[np.ndarray, np.ndarray]) -> tuple[np.ndarray, np.ndarray]:
    """The numbers at the four corners of each place, and their shares."""
    grid = regular_grid(raw.Raw("a.nc", variables, ()))
    values = variables["gust"].to_numpy()[grid.rows][:, grid.columns].ravel()
    nodes = grid.longitude_deg, grid.latitude_deg
    return values[space.cells(*places, *nodes)], space.shares(*places, *nodes)


@settings(max_examples=200, deadline=None, derandomize=True)
@given(
    data=st.data(),
    west=st.integers(-179, 150),
    step=st.sampled_from([0.025, 0.1, 0.25, 1.0]),
    falls=st.booleans(),
    turned=st.booleans(),
    single=st.booleans(),
)
def test_the_part_around_the_road_has_the_same_corners_and_shares(
    data: st.DataObject, west: int, step: float, falls: bool, turned: bool, single: bool
) -> None:
    longitude_deg, latitude_deg = west + step * np.arange(29), -38.0 + step * np.arange(23)
    corner = data.draw(st.tuples(st.floats(0.0, 24.0), st.floats(0.0, 18.0)))
    size = data.draw(st.tuples(st.floats(0.0, 4.0), st.floats(0.0, 4.0)))
    part = np.linspace(0.0, 1.0, 5)
    places = west + step * (corner[0] + size[0] * part), -38.0 + step * (corner[1] + size[1] * part)
    given_deg = longitude_deg % 360.0 if turned else longitude_deg
    given_deg = given_deg.astype("f4") if single else given_deg
    whole = axes(latitude_deg[::-1] if falls else latitude_deg, given_deg)
    box = box_of(*places)
    assert box is not None
    taken = boxed(whole, box)
    nodes = np.sort((given_deg.astype(np.float64) + 180.0) % 360.0 - 180.0)
    assume(nodes[0] <= places[0].min() and places[0].max() <= nodes[-1])
    for before, after in zip(around(whole, places), around(taken, places), strict=True):
        np.testing.assert_array_equal(after, before)
    assert taken["gust"].sizes["x"] <= size[0] + 7
    assert taken["gust"].sizes["y"] <= size[1] + 7


def test_a_world_that_begins_at_greenwich_is_cut_on_both_sides_of_it() -> None:
    world = axes(np.arange(90.0, -91.0, -1.0), np.arange(0.0, 360.0))
    taken = boxed(world, Box(-0.5, 0.5, 46.2, 46.4))
    assert taken["lon"].to_numpy().tolist() == [0.0, 1.0, 2.0, 3.0, 357.0, 358.0, 359.0]
    assert taken["lat"].to_numpy().tolist() == [49.0, 48.0, 47.0, 46.0, 45.0, 44.0]
    places = np.array([-0.5, 0.0, 0.5]), np.array([46.2, 46.3, 46.4])
    for before, after in zip(around(world, places), around(taken, places), strict=True):
        np.testing.assert_array_equal(after, before)


def test_near_180_degrees_the_part_ends_where_the_whole_grid_ends() -> None:
    world = axes(np.arange(-90.0, 91.0), np.arange(0.0, 360.0))
    taken = boxed(world, Box(178.2, 178.8, 46.2, 46.4))
    assert taken["lon"].to_numpy().tolist() == [176.0, 177.0, 178.0, 179.0]


EVEN = np.arange(-40.0, -30.0)


@pytest.mark.parametrize(
    "variables",
    [
        axes(np.array([-40.0, -39.0, -38.0, -36.0, -35.0]), EVEN),
        axes(np.array([-40.0, -39.0, np.nan, -37.0, -36.0]), EVEN),
        axes(np.array([-40.0, -39.0, -39.0, -38.0, -37.0]), EVEN),
        axes(EVEN, EVEN, scale_factor=0.5),
        axes(EVEN, EVEN, valid_max=-31.0),
        axes(EVEN[:1], EVEN),
        axes(EVEN, EVEN) | {"other": xr.Variable(("y",), EVEN, {"standard_name": "latitude"})},
        axes(EVEN + 40.0, EVEN),
        {name: variable for name, variable in axes(EVEN, EVEN).items() if name != "lat"},
        axes(EVEN, EVEN) | {"lon": xr.Variable(("y",), EVEN, {"standard_name": "longitude"})},
        axes(EVEN, EVEN) | {"lat": xr.Variable(("y",), np.array(list("abcdefghij")), {"standard_name": "latitude"})},
    ],
    ids=["hole", "nan", "twice", "packed", "range", "single", "two", "away", "none", "line", "text"],
)
def test_axes_that_are_not_plain_are_read_whole(variables: dict[str, xr.Variable]) -> None:
    assert selection.parts_around(variables, Box(-36.5, -36.2, -36.5, -36.2), LIMIT) == {}
    assert selection.parts_around(axes(EVEN, EVEN), None, LIMIT) == {}
    assert selection.parts_around(axes(EVEN, EVEN), Box(-36.5, -36.2, -36.5, -36.2), 8) == {}


@settings(max_examples=100, deadline=None, derandomize=True)
@given(turn_deg=st.floats(-80.0, 80.0), east=st.sampled_from([0.0, 179.0, 342.0]), up=st.floats(-70.0, 70.0))
def test_a_turned_grid_keeps_every_node_near_the_road(turn_deg: float, east: float, up: float) -> None:
    """All corners of the cell a place lies in are nearer than two cells, whichever way the grid is turned."""
    y, x = np.mgrid[-20:21, -25:26] * 0.02
    turn = np.deg2rad(turn_deg)
    latitude_deg = up + x * np.sin(turn) + y * np.cos(turn)
    longitude_deg = (east + (x * np.cos(turn) - y * np.sin(turn)) / np.cos(np.deg2rad(up))) % 360.0
    grid = axes(latitude_deg, longitude_deg)
    centre = (east + 180.0) % 360.0 - 180.0
    box = Box(centre - 0.031, centre + 0.03, up - 0.03, up + 0.031)
    parts = selection.parts_around(grid, box, LIMIT)
    assert set(parts) == {"y", "x"}
    (rows,), (columns,) = parts["y"], parts["x"]
    off_deg = np.abs((longitude_deg - centre + 180.0) % 360.0 - 180.0) * np.cos(np.deg2rad(up))
    near = np.argwhere((off_deg < 0.031 * np.cos(np.deg2rad(up)) + 0.02) & (np.abs(latitude_deg - up) < 0.051))
    assert (near.min(axis=0) >= (rows.start + 2, columns.start + 2)).all()
    assert (near.max(axis=0) < (rows.stop - 2, columns.stop - 2)).all()
    assert rows.stop - rows.start < 30


def test_a_turned_grid_elsewhere_is_read_whole() -> None:
    y, x = np.mgrid[0:9, 0:9] * 0.1
    assert selection.parts_around(axes(40.0 + y + 0.01 * x, x), Box(90.0, 90.1, 40.2, 40.3), LIMIT) == {}


@pytest.fixture
def wide(make_content: Callable[..., xr.Dataset]) -> xr.Dataset:
    data = make_content(members=5, hours=21, rows=14, columns=16)
    data["orog"] = data["orog"].dims, 2000.0 + np.arange(224.0, dtype="f4").reshape(14, 16), data["orog"].attrs
    data["lat_bnds"] = ("lat", "bnds"), np.stack([data["lat"] - 0.05, data["lat"] + 0.05], axis=1)
    data["lat"].attrs["bounds"] = "lat_bnds"
    return data


def turned(data: xr.Dataset) -> xr.Dataset:
    east = ("lon", data["lon"].to_numpy() % 360.0, data["lon"].attrs)
    return data.assign_coords(lon=east).isel(lat=slice(None, None, -1))


@pytest.mark.parametrize("change", [lambda data: data, turned])
@pytest.mark.parametrize("kind", ["netcdf4", "scipy", "zarr"])
def test_boxed_and_whole_reads_give_the_same_wind_to_the_bit(
    wide: xr.Dataset,
    write: Callable[..., Path],
    store: Callable[..., Path],
    tmp_path: Path,
    site: Site,
    weather: Weather,
    road: dict[str, Any],
    kind: str,
    change: Callable[[xr.Dataset], xr.Dataset],
) -> None:
    data = change(wide)
    path = store(data, 3) if kind == "zarr" else write(data, engine=kind)
    script, how = (zarr_extract, "3") if kind == "zarr" else (extract, kind)
    box = box_of(road["longitude_deg"], road["latitude_deg"])
    feeds = []
    for name, text in (("boxed", box_text(box)), ("whole", "all")):
        out = tmp_path / f"{name}.npz"
        script.extract(str(path), str(out), LIMIT, text, how, list(netcdf.STANDARD_NAMES))
        feeds.append(normal_form(raw.load(out, path.name), MODEL))
    assert (feeds[0].sizes["latitude"], feeds[0].sizes["longitude"]) == (5, 6)
    assert (feeds[1].sizes["latitude"], feeds[1].sizes["longitude"]) == (14, 16)
    found = [assess(one, site, weather, **road | {"elevation_m": road["elevation_m"] - 80.0}) for one in feeds]
    xr.testing.assert_identical(found[0], found[1])
    assert found[0].attrs["refusals"] == "[]"


@pytest.mark.parametrize("nodes_alone", [False, True])
@pytest.mark.parametrize("kind", ["rotated", "lambert"])
def test_turned_grids_give_the_same_wind_to_the_bit(
    make_bent: Callable[..., xr.Dataset],
    write: Callable[..., Path],
    store: Callable[..., Path],
    tmp_path: Path,
    site: Site,
    weather: Weather,
    road: dict[str, Any],
    kind: str,
    nodes_alone: bool,
) -> None:
    data = make_bent(kind, rows=30, columns=32, step=3000.0)
    if nodes_alone:
        data = data.drop_vars(["x", "y", "crs"])
        for name, standard_name in (("u10", "eastward_wind"), ("v10", "northward_wind")):
            data[name].attrs["standard_name"] = standard_name
    box = box_of(road["longitude_deg"], road["latitude_deg"])
    results = []
    for path, script, how in ((write(data), extract, "netcdf4"), (store(data, 3), zarr_extract, "3")):
        for text in (box_text(box), "all"):
            out = tmp_path / "a.npz"
            script.extract(str(path), str(out), LIMIT, text, how, list(netcdf.STANDARD_NAMES))
            one = normal_form(raw.load(out, "a.nc"), MODEL)
            found = assess(one, site, weather, **road).assign_attrs(derived="")  # tells of the part that was read
            results.append((one.sizes["x"], found))
    for (few, small), (many, whole) in (results[:2], results[2:], (results[0], results[3])):
        assert few < 20 < many == 32
        xr.testing.assert_identical(small, whole)


def test_the_box_goes_through_the_child(wide: xr.Dataset, write: Callable[..., Path], road: dict[str, Any]) -> None:
    box = box_of(road["longitude_deg"], road["latitude_deg"])
    assert feed.read(write(wide), MODEL, box).sizes["longitude"] == 6
    assert feed.read(write(wide), MODEL).sizes["longitude"] == 16


def test_a_road_that_leaves_the_grid_is_outside_with_and_without_the_box(
    wide: xr.Dataset,
    write: Callable[..., Path],
    tmp_path: Path,
    site: Site,
    weather: Weather,
    road: dict[str, Any],
) -> None:
    path, results = write(wide), []
    for east_deg in (-0.18, 1.35, 30.0):
        away = road | {"longitude_deg": road["longitude_deg"] + east_deg}
        box = box_of(away["longitude_deg"], away["latitude_deg"])
        for text in (box_text(box), "all"):
            extract.extract(str(path), str(tmp_path / "a.npz"), LIMIT, text, "netcdf4", list(netcdf.STANDARD_NAMES))
            results.append(assess(normal_form(raw.load(tmp_path / "a.npz", "a.nc"), MODEL), site, weather, **away))
    for small, whole in zip(results[::2], results[1::2], strict=True):
        np.testing.assert_array_equal(small["gust_at_load_mps"], whole["gust_at_load_mps"])
        assert small.attrs["refusals"] == whole.attrs["refusals"]
        assert "coverage in space" in small.attrs["refusals"]


def test_the_size_that_counts_is_that_of_the_part() -> None:
    world = axes(np.linspace(-90.0, 90.0, 1801), np.arange(0.0, 360.0, 0.1))
    part = selection.parts_around(world, Box(-21.4, -21.3, -38.5, -38.4), LIMIT)
    selection.check_size(world.values(), part, 2000)
    with pytest.raises(
        selection.RefusedError,
        match=r"^declares 0 MB of data around the road, allowed are 0 MB; take fewer members, a shorter time or a",
    ):
        selection.check_size(world.values(), part, 300)
    with pytest.raises(selection.RefusedError, match=r"^declares 52 MB of data, allowed are 1 MB; cut it to the road"):
        selection.check_size(world.values(), {}, 10**6)


def test_chunks_that_the_parts_touch() -> None:
    variable = xr.Variable(("t", "x"), np.zeros((3, 100)))
    parts = {"x": [slice(9, 11), slice(95, 100)]}
    assert list(selection.pieces(variable, parts, (2, 10))) == [(0, 0), (0, 1), (0, 9), (1, 0), (1, 1), (1, 9)]
    assert list(selection.pieces(xr.Variable((), 1.0), {}, ())) == [()]
