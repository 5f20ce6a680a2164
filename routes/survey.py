"""The survey of the road as the rest of the tool sees it: checked points, in order, with their accuracy."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from pyproj import Geod

from routes import continuity, geodesy, survey_csv, survey_gpx
from routes.inputs import Route
from routes.points import Points
from shared.arrays import Array
from shared.errors import Fault, InputError

__all__ = ["Survey", "read"]

CLEAR_STEP_RATIO = 10.0  # a turn is judged only where both steps exceed this many standard deviations


@dataclass(frozen=True)
class Survey:
    """Surveyed points in the direction of the survey. Shapes: (point). NaN and "" = not given, never zero."""

    longitude_deg: Array
    latitude_deg: Array
    elevation_m: Array
    crossfall_ratio: Array
    width_left_m: Array
    width_right_m: Array
    surface: tuple[str, ...]
    sigma_xy_m: float
    sigma_z_m: float
    crs: str
    height_type: str


def read(path: Path, route: Route) -> Survey:
    """Read and check a survey file; raises InputError with every fault of the first kind found."""
    crs = geodesy.horizontal_crs(route.crs)
    points = (survey_gpx if route.format == "gpx" else survey_csv).read(path)
    if points.is_geographic != crs.is_geographic:
        wanted = "longitude_deg and latitude_deg" if crs.is_geographic else "easting_m and northing_m"
        raise InputError(Fault(path.name, "route.crs", f"is {route.crs}, so the columns must be {wanted}"))
    longitude_deg, latitude_deg = geodesy.on_earth(crs, points.first_axis, points.second_axis)
    if crs.area_of_use is not None:
        continuity.check_place(points, longitude_deg, latitude_deg, crs.area_of_use.bounds)
    _check_line(points, longitude_deg, latitude_deg, route)
    return Survey(
        longitude_deg=longitude_deg,
        latitude_deg=latitude_deg,
        elevation_m=points.elevation_m,
        crossfall_ratio=points.crossfall_ratio,
        width_left_m=points.width_left_m,
        width_right_m=points.width_right_m,
        surface=points.surface,
        sigma_xy_m=route.sigma_xy_m,
        sigma_z_m=route.sigma_z_m,
        crs=route.crs,
        height_type=route.height_type,
    )


def _check_line(points: Points, longitude_deg: Array, latitude_deg: Array, route: Route) -> None:
    azimuth_deg, _, distance_m = Geod(ellps="WGS84").inv(
        longitude_deg[:-1], latitude_deg[:-1], longitude_deg[1:], latitude_deg[1:]
    )
    azimuth_deg, distance_m = np.asarray(azimuth_deg), np.asarray(distance_m)
    clear = distance_m > CLEAR_STEP_RATIO * route.sigma_xy_m
    turn_deg = np.abs((np.diff(azimuth_deg) + 180.0) % 360.0 - 180.0)
    continuity.check_line(
        points, distance_m, np.where(clear[:-1] & clear[1:], turn_deg, 0.0), route.sigma_z_m
    )
