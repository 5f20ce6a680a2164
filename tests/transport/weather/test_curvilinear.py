"""Stations among the nodes of rotated and projected grids: against scipy in the grid's own coordinates; laws."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pyproj
import pytest
import xarray as xr
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.interpolate import RegularGridInterpolator

from shared.errors import InputError
from transport.weather import curvilinear, space
from transport.weather.placing import placed

KINDS = ("lambert", "polar", "transverse", "mercator", "rotated")
AXES = np.linspace(-21.6, -21.1, 6), np.linspace(-38.7, -38.3, 5)


def places(count: int, seed: int = 1) -> tuple[np.ndarray, np.ndarray]:
    rng = np.random.default_rng(seed)
    return rng.uniform(-21.6, -21.1, count), rng.uniform(-38.7, -38.3, count)


def feed_of(longitude: np.ndarray, latitude: np.ndarray) -> xr.Dataset:
    coords = {"longitude": (("y", "x"), longitude), "latitude": (("y", "x"), latitude)}
    return xr.Dataset(coords=coords, attrs={"file": "f.nc"})


def spread(share: np.ndarray, corners: np.ndarray, count: int) -> np.ndarray:
    found = np.zeros((len(share), count))
    np.add.at(found, (np.arange(len(share))[:, None], corners), share)
    return found


def test_regular_grid_given_as_two_dimensions_is_the_regular_grid() -> None:
    place = places(500)
    corners, share, outside = curvilinear.placed(*place, *np.meshgrid(*AXES))
    assert not outside.any()
    theirs = spread(space.shares(*place, *AXES), space.cells(*place, *AXES), 30)
    np.testing.assert_allclose(spread(share, corners, 30), theirs, atol=1e-6)
    assert np.abs(spread(share, corners, 30) - theirs).max() < 1e-11


@pytest.mark.parametrize("kind", KINDS)
def test_same_as_scipy_in_the_coordinates_of_the_grid(
    kind: str, make_bent: Callable[..., xr.Dataset], outside: Any
) -> None:
    """A cell of 9 km: the stated error is 1 in 4000 of what a field changes from node to node at this latitude."""
    content = make_bent(kind, rows=14, columns=14, members=1, hours=2)
    place = places(400)
    crs = pyproj.CRS.from_cf(outside.mappings[kind] | outside.sphere)
    to_grid = pyproj.Transformer.from_crs(crs.source_crs or crs.geodetic_crs, crs, always_xy=True)
    x, y = to_grid.transform(*place)
    values = np.random.default_rng(2).uniform(0.0, 30.0, (14, 14))
    theirs = RegularGridInterpolator((content["y"].to_numpy(), content["x"].to_numpy()), values)(
        np.stack([y, x], axis=1)
    )
    corners, share, out = curvilinear.placed(*place, content["longitude"].to_numpy(), content["latitude"].to_numpy())
    assert not out.any()
    np.testing.assert_allclose((values.ravel()[corners] * share).sum(axis=1), theirs, atol=30.0 / 4000.0)


@pytest.mark.parametrize("kind", KINDS)
def test_shares_are_shares_and_give_the_place_back(kind: str, make_bent: Callable[..., xr.Dataset]) -> None:
    content = make_bent(kind, rows=14, columns=14, members=1, hours=2)
    longitude, latitude = content["longitude"].to_numpy(), content["latitude"].to_numpy()
    place = places(400)
    corners, share, _ = curvilinear.placed(*place, longitude, latitude)
    assert share.min() >= 0.0
    assert share.max() <= 1.0
    assert np.abs(share.sum(axis=1) - 1.0).max() <= 4.5e-16
    np.testing.assert_allclose((longitude.ravel()[corners] * share).sum(axis=1), place[0], atol=1e-9)
    np.testing.assert_allclose((latitude.ravel()[corners] * share).sum(axis=1), place[1], atol=1e-9)


@settings(max_examples=40, deadline=None, derandomize=True)
@given(
    flips=st.tuples(st.booleans(), st.booleans()),
    across=st.booleans(),
    kind=st.sampled_from(KINDS),
    seed=st.integers(0, 9),
)
def test_order_of_nodes_changes_nothing(
    make_bent_small: dict[str, xr.Dataset], flips: tuple[bool, bool], across: bool, kind: str, seed: int
) -> None:
    content = make_bent_small[kind]
    nodes = content["longitude"].to_numpy(), content["latitude"].to_numpy()
    field = np.random.default_rng(seed).uniform(0.0, 30.0, nodes[0].shape)

    def turned(values: np.ndarray) -> np.ndarray:
        values = values[:: -1 if flips[0] else 1, :: -1 if flips[1] else 1]
        return values.T if across else values

    place = places(60, seed)
    first, other = (
        (values.ravel()[corners] * share).sum(axis=1)
        for values, (corners, share, _) in (
            (field, curvilinear.placed(*place, *nodes)),
            (turned(field), curvilinear.placed(*place, *(turned(part) for part in nodes))),
        )
    )
    np.testing.assert_allclose(first, other, atol=1e-8)


@pytest.fixture(scope="module")
def make_bent_small(make_bent: Callable[..., xr.Dataset]) -> dict[str, xr.Dataset]:
    return {kind: make_bent(kind, rows=14, columns=14, members=1, hours=2) for kind in KINDS}


def test_station_at_a_node_and_on_the_edge_of_the_grid() -> None:
    longitude, latitude = np.meshgrid(*AXES)
    nodes = longitude.ravel(), latitude.ravel()
    corners, share, outside = curvilinear.placed(*nodes, longitude, latitude)
    assert not outside.any()
    np.testing.assert_allclose(spread(share, corners, 30), np.eye(30), atol=1e-9)
    edge = np.array([-21.33, -21.33, -21.6, -21.1]), np.array([-38.7, -38.3, -38.44, -38.44])
    assert not curvilinear.placed(*edge, longitude, latitude)[2].any()


def test_nodes_of_a_bent_grid_and_its_edge(make_bent: Callable[..., xr.Dataset]) -> None:
    content = make_bent("rotated", members=1, hours=2)
    longitude, latitude = content["longitude"].to_numpy(), content["latitude"].to_numpy()
    corners, share, outside = curvilinear.placed(longitude.ravel(), latitude.ravel(), longitude, latitude)
    assert not outside.any()
    np.testing.assert_allclose(spread(share, corners, 72), np.eye(72), atol=1e-7)
    middle = (longitude[0, :-1] + longitude[0, 1:]) / 2.0, (latitude[0, :-1] + latitude[0, 1:]) / 2.0
    inward = longitude[1, :-1] - longitude[0, :-1], latitude[1, :-1] - latitude[0, :-1]
    for step, out in ((1e-4, False), (0.0, False), (-1e-4, True), (-1.0, True)):
        beside = (part + step * way for part, way in zip(middle, inward, strict=True))
        assert (curvilinear.placed(*beside, longitude, latitude)[2] == out).all()


def test_road_across_the_edge_of_a_cell_has_no_jump(make_bent: Callable[..., xr.Dataset]) -> None:
    content = make_bent("lambert", members=1, hours=2)
    longitude, latitude = content["longitude"].to_numpy(), content["latitude"].to_numpy()
    part = np.linspace(0.0, 1.0, 4001)
    road = -21.6 + 0.4 * part, -38.65 + 0.25 * part
    corners, share, outside = curvilinear.placed(*road, longitude, latitude)
    field = np.random.default_rng(5).uniform(0.0, 30.0, longitude.size)
    along = (field[corners] * share).sum(axis=1)
    assert not outside.any()
    assert len(np.unique(corners[:, 0])) > 3
    assert np.abs(np.diff(along)).max() < 30.0 * 2.0 * 44.0 / 4000.0 / 9.0


@pytest.mark.parametrize("place", [(-21.61, -38.5), (-21.3, -38.29), (np.nan, -38.5), (-21.3, np.nan), (158.4, 38.5)])
def test_outside_is_outside(place: tuple[float, float]) -> None:
    found = placed(feed_of(*np.meshgrid(*AXES)), np.array([place[0], -21.3]), np.array([place[1], -38.5]))
    assert found.outside.tolist() == [True, False]
    assert found.share.sum(axis=1) == pytest.approx([1.0, 1.0])
    assert not np.isnan(found.share).any()


def test_unknown_place_is_outside_also_where_the_grid_holds_the_origin() -> None:
    nodes = np.meshgrid(np.linspace(-1.0, 1.0, 5), np.linspace(-1.0, 1.0, 5))
    _, _, outside = curvilinear.placed(np.array([np.nan, 0.1, 0.1]), np.array([0.1, np.nan, 0.1]), *nodes)
    assert outside.tolist() == [True, True, False]


@pytest.mark.parametrize("seam", [180.0, -180.0])
def test_seam_at_180_degrees(seam: float) -> None:
    """The same grid 160 degrees farther west, over the seam; stations written either way."""
    longitude, latitude = np.meshgrid(*AXES)
    moved = (longitude - 158.65 + 180.0) % 360.0 - 180.0
    assert moved.max() > 179.0 and moved.min() < -179.0
    place = places(200)
    across = (place[0] - 158.65 + 180.0) % 360.0 - 180.0
    first, other = (
        curvilinear.placed(*place, longitude, latitude),
        curvilinear.placed(across, place[1], moved, latitude),
    )
    np.testing.assert_allclose(spread(first[1], first[0], 30), spread(other[1], other[0], 30), atol=1e-9)
    assert not other[2].any()
    on_it = curvilinear.placed(np.array([seam]), np.array([-38.5]), moved, latitude)
    assert not on_it[2].any()
    nodes = np.exp(1j * np.deg2rad(moved.ravel()[on_it[0]]))
    assert np.rad2deg(np.angle(-(nodes * on_it[1]).sum())) == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("shear", [0.0, 0.8, 1.2])
@pytest.mark.parametrize("stretch", [1.0, 4.0])
def test_leaning_and_long_cells(shear: float, stretch: float) -> None:
    """Beside the nearest node may lie another cell than one of its own four."""
    x, y = np.meshgrid(0.02 * np.arange(40), 0.02 * np.arange(20))
    longitude, latitude = stretch * x + shear * y, y + 40.0
    rng = np.random.default_rng(4)
    a, b = rng.uniform(4.0, 35.0, 300), rng.uniform(2.0, 17.0, 300)
    place = 0.02 * (stretch * a + shear * b), 40.0 + 0.02 * b
    corners, share, outside = curvilinear.placed(*place, longitude, latitude)
    assert not outside.any()
    np.testing.assert_allclose((np.arange(800)[corners] * share).sum(axis=1), 40.0 * b + a, atol=1e-6)


def test_near_a_pole_it_is_refused() -> None:
    feed = feed_of(*np.meshgrid(AXES[0], np.linspace(79.0, 82.0, 5)))
    with pytest.raises(InputError) as caught:
        placed(feed, np.array([-21.3, -21.3]), np.array([79.9, 80.1]))
    assert "f.nc: latitude: is 80.1 on the road; on a rotated or projected grid allowed is -80 to 80" in str(
        caught.value
    )
    assert not placed(feed, np.array([-21.3]), np.array([80.0])).outside.any()
    south = feed_of(*np.meshgrid(AXES[0], np.linspace(-82.0, -79.0, 5)))
    with pytest.raises(InputError, match=r"is -81 on the road"):
        placed(south, np.array([-21.3, np.nan]), np.array([-81.0, np.nan]))
