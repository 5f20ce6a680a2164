"""Published geodesics, and our plane against them: lengths on the ground, headings from true north."""

from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from pyproj import CRS, Geod, Proj

from routes import geodesy, heading
from shared.errors import InputError, OutOfRangeError

FLINDERS = (144 + 25 / 60 + 29.52440 / 3600, -(37 + 57 / 60 + 3.72030 / 3600))
BUNINYONG = (143 + 55 / 60 + 35.38390 / 3600, -(37 + 39 / 60 + 10.15610 / 3600))
GDA94 = CRS("EPSG:4283")
WGS84 = CRS("EPSG:4326")
CheckValue = Callable[[str, str, str], Any]


def test_the_geodesic_library_gives_the_published_values(check_value: CheckValue) -> None:
    """GEO-1 to GEO-3: the library that measures the steps of a survey."""
    azimuth, back, distance = Geod(ellps="GRS80").inv(*FLINDERS, *BUNINYONG)
    for quantity, found in (("distance", distance), ("azimuth", azimuth % 360.0), ("back_azimuth", back)):
        value = check_value("route_geodesy", "GEO-1", quantity)
        assert found == pytest.approx(value.expected, abs=value.tolerance)
    wgs84 = Geod(ellps="WGS84")
    value = check_value("route_geodesy", "GEO-2", "distance")
    assert wgs84.inv(174.81, -41.32, -5.50, 40.96)[2] == pytest.approx(value.expected, abs=value.tolerance)
    longitude, latitude, _ = wgs84.fwd(115.74, -32.06, 225.0, 20_000_000.0)
    for quantity, found in (("longitude", longitude), ("latitude", latitude)):
        value = check_value("route_geodesy", "GEO-3", quantity)
        assert found == pytest.approx(value.expected, abs=value.tolerance)


def test_our_plane_gives_the_published_geodesic(check_value: CheckValue) -> None:
    """GEO-1 through the local plane at elevation 0: length to 1 in 100 000, azimuth to 0.003 degrees."""
    lon, lat = np.array([FLINDERS, BUNINYONG]).T
    plane = geodesy.plane(GDA94, float(lon.mean()), float(lat.mean()), 0.0)
    east_m, north_m = geodesy.in_plane(plane, lon, lat)
    length_m = np.hypot(np.diff(east_m), np.diff(north_m))[0]
    assert length_m == pytest.approx(check_value("route_geodesy", "GEO-1", "distance").expected, rel=1e-5)
    _, _, turn_deg = geodesy.from_plane(plane, east_m, north_m)
    found = heading.heading_deg(np.diff(east_m), np.diff(north_m)) + turn_deg[0]
    assert found[0] == pytest.approx(check_value("route_geodesy", "GEO-1", "azimuth").expected, abs=0.003)


def test_arcs_of_one_degree(check_value: CheckValue) -> None:
    """GEO-4 in pieces of a tenth of a degree, each through a plane of its own."""
    for quantity, across in (("one_degree_of_latitude", False), ("one_degree_of_longitude", True)):
        value = check_value("route_geodesy", "GEO-4", quantity)
        total_m = 0.0
        for middle in np.arange(-0.45, 0.5, 0.1):
            ends = middle + np.linspace(-0.05, 0.05, 11)
            lon = 10.0 + ends if across else np.full(11, 10.0)
            lat = np.full(11, 30.0) if across else 30.0 + ends
            plane = geodesy.plane(WGS84, float(lon[5]), float(lat[5]), 0.0)
            total_m += np.hypot(*np.diff(np.array(geodesy.in_plane(plane, lon, lat)), axis=1)).sum()
        assert total_m == pytest.approx(value.expected, abs=value.tolerance + 0.03)


def test_scale_and_convergence_of_a_grid(check_value: CheckValue) -> None:
    """GEO-5."""
    grid = Proj("EPSG:32719")
    east_m, north_m = grid(-70.5, -30.0)
    _, _, turn_deg = geodesy.from_plane(grid, np.array([east_m]), np.array([north_m]))
    value = check_value("route_geodesy", "GEO-5", "convergence")
    assert turn_deg[0] == pytest.approx(value.expected, abs=value.tolerance)
    value = check_value("route_geodesy", "GEO-5", "scale")
    assert grid.get_factors(-70.5, -30.0).meridional_scale == pytest.approx(
        value.expected, abs=value.tolerance
    )


@pytest.mark.parametrize("azimuth_deg", range(0, 360, 40))
def test_a_geodesic_in_any_direction_keeps_length_and_azimuth(azimuth_deg: float) -> None:
    """Cross-check with pyproj.Geod: 8 km away, at 2000 m, a metre on the ground is a metre in the plane."""
    middle, away = (-21.3, -38.5), Geod(ellps="WGS84").fwd(-21.3, -38.5, azimuth_deg, 8000.0)
    further = Geod(ellps="WGS84").fwd(away[0], away[1], azimuth_deg, 100.0)
    start_deg, _, _ = Geod(ellps="WGS84").inv(away[0], away[1], further[0], further[1])
    plane = geodesy.plane(WGS84, *middle, 2000.0)
    lon, lat = np.array([away[0], further[0]]), np.array([away[1], further[1]])
    east_m, north_m = geodesy.in_plane(plane, lon, lat)
    radius_m = geodesy.earth_radius_m(WGS84, -38.5)
    ground_m = 100.0 * (1.0 + 2000.0 / radius_m)
    assert np.hypot(np.diff(east_m), np.diff(north_m))[0] == pytest.approx(ground_m, rel=2e-6)
    _, _, turn_deg = geodesy.from_plane(plane, east_m, north_m)
    found = heading.heading_deg(np.diff(east_m), np.diff(north_m))[0] + turn_deg[0]
    assert (found - start_deg + 180.0) % 360.0 - 180.0 == pytest.approx(0.0, abs=1e-3)


def test_there_and_back() -> None:
    crs = geodesy.horizontal_crs("EPSG:32727")
    east_m, north_m = np.array([500_400.0, 501_000.0]), np.array([5_738_000.0, 5_738_100.0])
    lon, lat = geodesy.on_earth(crs, east_m, north_m)
    again = geodesy.in_crs(crs, lon, lat)
    assert again[0] == pytest.approx(east_m, abs=1e-6)
    assert again[1] == pytest.approx(north_m, abs=1e-6)


def test_the_radius_lies_between_the_axes() -> None:
    assert (
        geodesy.earth_radius_m(WGS84, 0.0)
        < geodesy.earth_radius_m(WGS84, 45.0)
        < geodesy.earth_radius_m(WGS84, 90.0)
    )
    assert geodesy.earth_radius_m(WGS84, 45.0) == pytest.approx(6_378_137.0 * 0.9999944, rel=1e-3)


def test_a_road_too_long_for_the_plane_is_refused() -> None:
    plane = geodesy.plane(WGS84, -21.3, -38.5, 0.0)
    with pytest.raises(OutOfRangeError) as refusal:
        geodesy.in_plane(plane, np.array([-20.0]), np.array([-38.5]))
    assert str(refusal.value) == (
        "distance from the middle of the survey in m = 113408 lies outside 0 to 30000, range of the plane"
    )


def test_a_system_without_ellipsoid_is_refused() -> None:
    nothing: Any = SimpleNamespace(ellipsoid=None, name="nowhere")
    with pytest.raises(InputError) as refusal:
        geodesy.earth_radius_m(nothing, 0.0)
    assert str(refusal.value) == "route.crs: is nowhere, which has no ellipsoid"
