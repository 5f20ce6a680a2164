"""Which part of a grid is fetched: the cells that hold the road and two nodes more, on grids of every kind."""

from typing import Any

import numpy as np
import pytest

from transport.weather.feeds.box import Box
from transport.weather.fetching.dap.server import Declared
from transport.weather.fetching.dap.surroundings import part_of
from transport.weather.fetching.failure import FetchError

ROAD = Box(west_deg=-21.40, east_deg=-21.34, south_deg=-38.56, north_deg=-38.47)
WANTED = ("eastward_wind", "latitude", "longitude")


def declared(name: str, dims: tuple[str, ...], data: np.ndarray, **attrs: Any) -> Declared:
    return Declared(name, dims, data.shape, data.dtype, attrs, data)


def data_set(latitude: np.ndarray, longitude: np.ndarray, *more: Declared, times: int = 3) -> dict[str, Declared]:
    """Axes or two-dimensional places, and a wind on them."""
    plain = latitude.ndim == 1
    dims = ("lat", "lon") if plain else ("y", "x")
    shape = (latitude.size, longitude.size) if plain else latitude.shape
    wind = np.broadcast_to(np.float32(0.0), (times, *shape))
    all_of_it = (
        declared("lat", dims[:1] if plain else dims, latitude, standard_name="latitude"),
        declared("lon", dims[1:] if plain else dims, longitude, standard_name="longitude"),
        declared("u10", ("time", *dims), wind, standard_name="eastward_wind", coordinates="height10"),
        declared("swell", ("time", *dims), wind, standard_name="sea_surface_swell_wave_height"),
        *more,
    )
    return {one.name: one for one in all_of_it}


def nodes(latitude: np.ndarray, longitude: np.ndarray, road: Box = ROAD) -> tuple[np.ndarray, np.ndarray]:
    """Latitudes and longitudes that are fetched."""
    part = part_of(data_set(latitude, longitude), road, 10.0, WANTED)
    rows, columns = part.slices["lat"], part.slices["lon"]
    return latitude[rows], longitude[columns]


LATITUDE = np.round(np.arange(-40.0, -36.95, 0.1), 1)
LONGITUDE = np.round(np.arange(-25.0, -17.95, 0.1), 1)
ROWS = [-38.8, -38.7, -38.6, -38.5, -38.4, -38.3, -38.2]
COLUMNS = [-21.6, -21.5, -21.4, -21.3, -21.2, -21.1]


def test_rising_falling_and_east_of_greenwich() -> None:
    """By hand: -38.56 to -38.47 lies between -38.6 and -38.4, -21.40 to -21.34 between -21.4 and -21.3."""
    for turn in (1, -1):
        rows, columns = nodes(LATITUDE[::turn], LONGITUDE[::turn])
        np.testing.assert_allclose(rows, ROWS[::turn])
        np.testing.assert_allclose(columns, COLUMNS[::turn])
    rows, columns = nodes(LATITUDE, LONGITUDE + 360.0)
    np.testing.assert_allclose(rows, ROWS)
    assert {round(column + 360.0, 1) for column in COLUMNS} <= set(np.round(columns, 1).tolist())


def test_over_the_seam_of_the_grid_every_column_that_is_needed_comes() -> None:
    road = Box(west_deg=-0.05, east_deg=0.05, south_deg=-38.56, north_deg=-38.47)
    _, columns = nodes(LATITUDE, np.round(np.arange(0.0, 360.0, 0.5), 1), road)
    assert {359.0, 359.5, 0.0, 0.5, 1.0} <= set(columns.tolist())


def test_at_the_edge_there_are_fewer_spare_nodes() -> None:
    rows, columns = nodes(np.array([-38.6, -38.5, -38.4]), np.array([-21.4, -21.3]))
    assert (len(rows), len(columns)) == (3, 2)


@pytest.mark.parametrize(
    ("latitude", "longitude", "said"),
    [
        (LATITUDE + 2.0, LONGITUDE, "it ends in latitude"),
        (LATITUDE, LONGITUDE + 30.0, "it ends in longitude"),
        (np.array([-38.6, -38.5]), LONGITUDE, "it ends in latitude"),
    ],
)
def test_a_grid_that_does_not_hold_the_road(latitude: np.ndarray, longitude: np.ndarray, said: str) -> None:
    with pytest.raises(FetchError, match=said):
        nodes(latitude, longitude)


def test_packed_axes_are_unpacked() -> None:
    latitude = declared(
        "lat", ("lat",), np.arange(-400, -369, dtype="i2"), standard_name="latitude", scale_factor=0.1, add_offset=0.0
    )
    part = part_of(data_set(LATITUDE, LONGITUDE) | {"lat": latitude}, ROAD, 10.0, WANTED)
    np.testing.assert_allclose(0.1 * latitude.data[part.slices["lat"]], ROWS)


def test_a_grid_that_is_turned() -> None:
    """Every node of a turned grid within the road's box, and those around it, are fetched; far ones are not."""
    angle = np.deg2rad(30.0)
    y, x = np.meshgrid(np.arange(-30, 31) * 0.05, np.arange(-40, 41) * 0.05, indexing="ij")
    latitude = -38.5 + np.cos(angle) * y + np.sin(angle) * x
    longitude = -21.4 + (np.cos(angle) * x - np.sin(angle) * y) / np.cos(np.deg2rad(38.5))
    part = part_of(data_set(latitude, longitude), ROAD, 10.0, WANTED)
    taken = latitude[part.slices["y"], part.slices["x"]], longitude[part.slices["y"], part.slices["x"]]
    near = (np.abs(latitude + 38.515) < 0.045 + 0.1) & (np.abs(longitude + 21.37) < 0.03 + 0.1)
    kept = np.zeros_like(near)
    kept[part.slices["y"], part.slices["x"]] = True
    assert (kept | ~near).all()
    assert taken[0].size < 250 < latitude.size


def test_wanted_variables_and_what_they_name() -> None:
    height = declared("height10", (), np.array(10.0), standard_name="height")
    text = declared("name", ("name_length",), np.array([b"a"]), standard_name="eastward_wind")
    part = part_of(data_set(LATITUDE, LONGITUDE, height, text), ROAD, 10.0, WANTED)
    assert sorted(part.variables) == ["height10", "lat", "lon", "u10"]


def test_a_grid_mapping_comes_along_though_it_holds_no_number() -> None:
    mapping = declared("crs", (), np.array(0, dtype="i1"), grid_mapping_name="latitude_longitude")
    found = data_set(LATITUDE, LONGITUDE, mapping)
    found["u10"].attrs["grid_mapping"] = "crs: lat lon"
    assert "crs" in part_of(found, ROAD, 10.0, WANTED).variables


def test_the_size_is_checked_before_anything_comes() -> None:
    """By hand: 300 times of 7 by 6 numbers of 4 bytes, and 7 + 6 numbers of 8 bytes, are 50 504 bytes."""
    with pytest.raises(FetchError, match=r"the surroundings of the road take 0\.0505 MB, allowed are 0\.05 MB"):
        part_of(data_set(LATITUDE, LONGITUDE, times=300), ROAD, 0.05, WANTED)
    part_of(data_set(LATITUDE, LONGITUDE, times=300), ROAD, 0.050504, WANTED)
    with pytest.raises(FetchError, match="its axes take"):
        part_of(data_set(LATITUDE, LONGITUDE), ROAD, 0.0001, WANTED)


@pytest.mark.parametrize("gone", ["latitude", "longitude"])
def test_no_axis(gone: str) -> None:
    found = {name: one for name, one in data_set(LATITUDE, LONGITUDE).items() if one.attrs["standard_name"] != gone}
    with pytest.raises(FetchError, match=f"0 variables of the data set have standard_name '{gone}', one is needed"):
        part_of(found, ROAD, 10.0, WANTED)


def test_axes_that_do_not_fit_each_other() -> None:
    places = declared("lon", ("y", "x"), np.zeros((3, 3)), standard_name="longitude")
    with pytest.raises(FetchError, match="latitude and longitude of the data set lie on different dimensions"):
        part_of(data_set(LATITUDE, LONGITUDE) | {"lon": places}, ROAD, 10.0, WANTED)
