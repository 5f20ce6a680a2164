"""Components along the axes of a grid turned to true north, against pyproj, geodesics, MetPy, spherical triangles."""

import csv
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

import metpy.calc
import metpy.units
import numpy as np
import pyproj
import pytest
import xarray as xr
from hypothesis import given
from hypothesis import strategies as st

from shared.errors import InputError
from transport.weather import vectors
from transport.weather.feeds.grids.grid import Grid
from transport.weather.feeds.grids.turning import axis_azimuths_deg, turn_deg, turned_mps

KINDS = ("lambert", "polar", "transverse", "mercator", "rotated")
CASES = Path(__file__).parents[3] / "published" / "weather_grids.csv"
NAM = {"proj": "lcc", "lat_1": 25, "lat_2": 25, "lat_0": 25, "lon_0": -95, "R": 6371229}
Q = metpy.units.units.Quantity


def grid_of_content(content: xr.Dataset) -> Grid:
    places = (content[name].to_numpy() for name in ("latitude", "longitude"))
    orders = (np.arange(content.sizes[dim]) for dim in ("y", "x"))
    return Grid("y", "x", *places, *orders, content["x"].to_numpy(), content["y"].to_numpy())


def nam_grid() -> Grid:
    """The grid of a real GRIB2 file by its numbers: 93 x 65 nodes 81.271 km apart, first node 12.19 N 133.459 W."""
    plane = pyproj.Proj(NAM)
    x0, y0 = plane(-133.459, 12.19)
    x, y = x0 + 81271.0 * np.arange(93), y0 + 81271.0 * np.arange(65)
    longitude, latitude = plane(*np.meshgrid(x, y), inverse=True)
    return Grid("y", "x", latitude, longitude, np.arange(65), np.arange(93), x, y)


def by(case: dict[str, str]) -> tuple[int, int]:
    row, column = (int(part.split("=")[1]) for part in case["inputs"].split())
    return row, column


@pytest.mark.parametrize("case", list(csv.DictReader(CASES.read_text().splitlines()[1:])), ids=lambda case: case["id"])
def test_real_lambert_grid(case: dict[str, str]) -> None:
    grid = nam_grid()
    found = {"latitude": grid.latitude_deg, "longitude": grid.longitude_deg, "turn": turn_deg(grid, "nam")}
    assert found[case["quantity"]][by(case)] == pytest.approx(float(case["expected"]), abs=float(case["tolerance"]))


def test_what_ignoring_the_turn_would_cost_on_that_grid() -> None:
    """-24.45 to +19.28 deg, 9.23 in the mean of sizes: measured with eccodes and pyproj on the winds of that file."""
    turn = turn_deg(nam_grid(), "nam")
    assert (turn.min(), turn.max(), np.abs(turn).mean()) == pytest.approx((-24.45, 19.28, 9.23), abs=0.01)


@pytest.mark.parametrize("kind", KINDS)
def test_turn_is_the_convergence_of_meridians(kind: str, make_bent: Callable[..., xr.Dataset], outside: Any) -> None:
    grid = grid_of_content(make_bent(kind, members=1, hours=2))
    theirs = outside.north_deg(kind, grid.longitude_deg, grid.latitude_deg)
    np.testing.assert_allclose(turn_deg(grid, "f.nc"), theirs, atol=1e-4)


def test_turn_of_a_rotated_grid_by_the_spherical_triangle(make_bent: Callable[..., xr.Dataset]) -> None:
    """sin(turn) = sin(angle at the grid's pole) cos(its latitude) / cos(latitude): law of sines, from memory."""
    grid = grid_of_content(make_bent("rotated", members=1, hours=2))
    assert grid.x is not None
    sine = np.sin(np.deg2rad(grid.x + 170.0)) * np.cos(np.deg2rad(45.0)) / np.cos(np.deg2rad(grid.latitude_deg))
    np.testing.assert_allclose(turn_deg(grid, "f.nc"), np.rad2deg(np.arcsin(sine)), atol=1e-4)


def test_grid_laid_out_on_an_ellipsoid() -> None:
    """GRS 80, rows run at 45 deg to north: each axis is off by the stated 0.2 deg at most, the turn by nothing."""
    plane = pyproj.Proj(proj="lcc", lat_1=10, lat_2=60, lat_0=5, lon_0=-70, ellps="GRS80")
    x, y = np.linspace(6.0e6, 8.0e6, 41), np.linspace(-1e6, 1e6, 41)
    longitude, latitude = plane(*np.meshgrid(x, y), inverse=True)
    theirs = plane.get_factors(longitude, latitude).meridian_convergence
    _, up = axis_azimuths_deg(longitude, latitude, x, y)
    assert 0.1 < np.abs(up - theirs).max() < 0.2
    found = turn_deg(Grid("y", "x", latitude, longitude, np.arange(41), np.arange(41), x, y), "f.nc")
    assert np.abs(found - theirs).max() < 0.001


def test_two_nodes_a_side_are_off_by_half_of_the_turn_between_them(make_bent: Callable[..., xr.Dataset]) -> None:
    whole = make_bent("lambert", members=1, hours=2)
    full = turn_deg(grid_of_content(whole), "f.nc")
    small = turn_deg(grid_of_content(whole.isel(x=slice(2), y=slice(2))), "f.nc")
    between = abs(full[0, 1] - full[0, 0])
    assert np.abs(small - full[:2, :2]).max() <= 0.55 * between


def test_direction_by_metpy() -> None:
    rng = np.random.default_rng(3)
    along, turn = rng.normal(0.0, 8.0, (2, 50)), rng.uniform(-180.0, 180.0, 50)
    theirs = metpy.calc.wind_direction(*(Q(part, "m/s") for part in along)).magnitude + turn
    off = vectors.from_direction_deg(*turned_mps(*along, turn)) - theirs
    np.testing.assert_allclose((off + 180.0) % 360.0 - 180.0, 0.0, atol=1e-4)


@given(x=st.floats(-60.0, 60.0), y=st.floats(-60.0, 60.0), turn=st.floats(-180.0, 180.0), back=st.floats(-180.0, 180.0))
def test_turning_keeps_the_speed_and_turns_add_up(x: float, y: float, turn: float, back: float) -> None:
    once = turned_mps(np.array([x]), np.array([y]), np.array([turn]))
    assert np.hypot(*once)[0] == pytest.approx(np.hypot(x, y), rel=1e-6, abs=1e-9)
    twice, together = (
        turned_mps(*once, np.array([back])),
        turned_mps(np.array([x]), np.array([y]), np.array([turn + back])),
    )
    np.testing.assert_allclose(twice, together, atol=1e-4)


def refused(grid: Grid) -> str:
    with pytest.raises(InputError) as caught:
        turn_deg(grid, "f.nc")
    return str(caught.value)


def test_axes_that_run_against_their_numbers(make_bent: Callable[..., xr.Dataset]) -> None:
    """A file flipped by a tool that forgot the axis: the wind would be taken from the other side."""
    grid = grid_of_content(make_bent("rotated", members=1, hours=2))
    flipped = grid._replace(latitude_deg=grid.latitude_deg[::-1], longitude_deg=grid.longitude_deg[::-1])
    assert "f.nc: y, x: the axes are left-handed: one of them runs against its numbers" in refused(flipped)


def test_axes_that_are_not_told(make_bent: Callable[..., xr.Dataset]) -> None:
    grid = grid_of_content(make_bent("rotated", members=1, hours=2))._replace(x=None)
    text = refused(grid)
    assert "f.nc: x_wind: x_wind and y_wind run along the grid's axes, but the file does not tell which way" in text
    assert "add projection_x_coordinate and projection_y_coordinate, or grid_longitude and grid_latitude" in text


@pytest.mark.parametrize("skew_deg", [0.0, 4.0, 6.0, 40.0])
def test_axes_that_are_not_square(skew_deg: float) -> None:
    """Rows to the east, columns leaning to the east of north: the misfit is halved, a large one refused."""
    x, y = 0.1 * np.arange(5), 0.1 * np.arange(4)
    latitude = np.broadcast_to(y[:, None] - 0.15, (4, 5))
    longitude = x + np.tan(np.deg2rad(skew_deg)) * y[:, None]
    grid = Grid("y", "x", latitude, longitude, np.arange(4), np.arange(5), x, y)
    across, up = axis_azimuths_deg(longitude, latitude, x, y)
    np.testing.assert_allclose(across, 90.0, atol=0.01)
    np.testing.assert_allclose(up, skew_deg, atol=0.01)
    if skew_deg > 5.0:
        assert f"up to {skew_deg:.1f} deg from square, allowed are 5; x_wind has no direction" in refused(grid)
    else:
        np.testing.assert_allclose(turn_deg(grid, "f.nc"), skew_deg / 2.0, atol=0.01)


@pytest.mark.parametrize("kind", KINDS)
def test_uneven_axes(kind: str, make_bent: Callable[..., xr.Dataset], outside: Any) -> None:
    whole = make_bent(kind, rows=12, columns=12, members=1, hours=2)
    grid = grid_of_content(whole.isel(x=[0, 1, 2, 4, 6, 7, 9, 11], y=[0, 2, 3, 4, 6, 8, 9, 10]))
    theirs = outside.north_deg(kind, grid.longitude_deg, grid.latitude_deg)
    np.testing.assert_allclose(turn_deg(grid, "f.nc"), theirs, atol=1e-3)


def test_seam_at_180_degrees() -> None:
    plane = partial(pyproj.Proj(proj="lcc", lat_1=50, lat_2=60, lat_0=55, lon_0=170, R=6371229), inverse=True)
    x, y = np.linspace(2e5, 9e5, 15), np.linspace(-3e5, 3e5, 13)
    longitude, latitude = plane(*np.meshgrid(x, y))
    assert longitude.max() > 179.0 and longitude.min() < -179.0
    found = turn_deg(Grid("y", "x", latitude, longitude, np.arange(13), np.arange(15), x, y), "f.nc")
    sine = np.log(np.cos(np.deg2rad(50)) / np.cos(np.deg2rad(60))) / np.log(
        np.tan(np.deg2rad(45 + 30)) / np.tan(np.deg2rad(45 + 25))
    )
    np.testing.assert_allclose(found, sine * ((longitude - 170.0 + 180.0) % 360.0 - 180.0), atol=1e-3)
