"""The road as a Dataset over the station: what every other check reads."""

import json
from typing import Any, Literal

import numpy as np
import xarray as xr
from pyproj import CRS, Proj

from routes import alignment, bends, centreline, chainage, crossfall, geodesy, reversal, stretches, support
from routes.inputs import Route, Section
from routes.survey import Survey
from shared.arrays import Array
from shared.datasets import dataset
from shared.errors import Fault, InputError
from shared.tables import figure
from shared.units import mps_from_kmh

__all__ = ["assess"]

END_TOLERANCE_M = 10.0  # a section or hold point may lie this far past the end of the road
Variable = tuple[str, Any]
ACROSS = ("width_left_m", "width_right_m", "crossfall_ratio")


def assess(survey: Survey, route: Route, *, leg: Literal["out", "return"], step_m: float = 5.0) -> xr.Dataset:
    """The road in the direction of travel, each quantity with its standard error.

    A station is horizontal distance on the ground at the mean elevation of the road, counted from where the
    leg begins. What the survey cannot support is NaN, with the reason in the attributes. Shapes: (station).
    """
    crs = geodesy.horizontal_crs(survey.crs)
    plane = _plane(crs, survey)
    plan_m = np.column_stack(geodesy.in_plane(plane, survey.longitude_deg, survey.latitude_deg))
    line = alignment.fit(plan_m, survey.elevation_m, sigma_xy_m=survey.sigma_xy_m, sigma_z_m=survey.sigma_z_m)
    point_m = chainage.length_at_points_m(line.plan.spline, line.t_m)
    station_m = chainage.even_stations_m(float(point_m[-1]), step_m)
    columns = centreline.geometry(line, station_m) | _stated(route, station_m)
    columns |= _across(survey, line.profile.sigma_m, columns, point_m)
    columns |= _on_earth(crs, plane, columns)
    held = support.support_of(line.plan.sigma_m, line.profile.sigma_m, line.spacing_m)
    columns, remarks = support.without_unsupported(columns, held, support.gap_at(station_m, point_m))
    if leg == "return":
        columns = reversal.reversed_columns(columns)
        point_m = reversal.reversed_station_m(point_m, point_m[-1])
    length_m = float(station_m[-1])
    variables = _bends(columns, (point_m, plan_m, line.plan.sigma_m)) | _holds(route, leg, length_m)
    variables |= _sections(columns, _named(route, leg, length_m))
    breaks_m = np.concatenate([variables[name][1] for name in ("section_from_station_m", "hold_station_m")])
    variables["break_m"] = "border", np.unique(breaks_m)
    attrs = _attributes(survey, line, held, crs, plane) | {"leg": leg}
    attrs["remarks"] = json.dumps([*remarks, *_scatter_remarks(survey, line)])
    variables |= {name: ("station", values) for name, values in columns.items() if name not in variables}
    numbers = np.arange(len(variables["section_name"][1]))
    return dataset(variables, {"station": variables.pop("station"), "section_index": numbers}, attrs)


def _plane(crs: CRS, survey: Survey) -> Proj:
    middle = survey.longitude_deg.size // 2
    elevation_m = float(np.mean(survey.elevation_m))
    return geodesy.plane(
        crs, float(survey.longitude_deg[middle]), float(survey.latitude_deg[middle]), elevation_m
    )


def _stated(route: Route, station_m: Array) -> dict[str, Array]:
    """What the sections say of each station; where none does, the speed is the route's, the rest unknown."""
    columns = {
        "speed_mps": np.full(station_m.size, mps_from_kmh(route.speed_kmh)),
        "surface": np.full(station_m.size, "", dtype="<U40"),
        "roughness_class": np.full(station_m.size, "", dtype="<U1"),
        **{name: np.full(station_m.size, np.nan) for name in ACROSS},
    }
    for number, section in enumerate(route.section):
        _check_station(f"route.section[{number}].to_station_m", section.to_station_m, float(station_m[-1]))
        begin_m, end_m = _ends_m(section, float(station_m[-1]))
        inside = (station_m > begin_m - 1e-6) & (station_m < end_m - 1e-6)
        inside[-1] |= end_m == station_m[-1]
        said = section.model_dump(exclude_none=True)
        for name in ("surface", "roughness_class", *ACROSS):
            columns[name][inside] = said.get(name, columns[name][inside])
        columns["speed_mps"][inside] = mps_from_kmh(section.speed_kmh or route.speed_kmh)
    return columns


def _across(survey: Survey, sigma_z_m: float, stated: dict[str, Array], point_m: Array) -> dict[str, Array]:
    """Crossfall, widths and surface at the stations: the survey's, else those of a section."""
    station_m = stated["station"]
    found = {
        "crossfall_ratio": crossfall.between_points(station_m, point_m, survey.crossfall_ratio),
        "width_left_m": crossfall.narrower_of_neighbours(station_m, point_m, survey.width_left_m),
        "width_right_m": crossfall.narrower_of_neighbours(station_m, point_m, survey.width_right_m),
    }
    known = {name: np.where(np.isnan(values), stated[name], values) for name, values in found.items()}
    width_m = known["width_left_m"] + known["width_right_m"]
    error = crossfall.crossfall_se(sigma_z_m, width_m, figure("routes_lane_width_m"))
    surface = np.array(survey.surface, dtype=np.str_)[crossfall.nearest_point(station_m, point_m)]
    return {
        **known,
        "crossfall_se_ratio": np.where(np.isnan(known["crossfall_ratio"]), np.nan, error),
        "surface": np.where(surface == "", stated["surface"], surface),
    }


def _on_earth(crs: CRS, plane: Proj, columns: dict[str, Array]) -> dict[str, Array]:
    """Longitude, latitude, true heading, and map coordinates: the survey's, or those of the plane."""
    east_m, north_m = columns.pop("east_m"), columns.pop("north_m")
    longitude_deg, latitude_deg, turn_deg = geodesy.from_plane(plane, east_m, north_m)
    grid = geodesy.in_crs(crs, longitude_deg, latitude_deg) if crs.is_projected else (east_m, north_m)
    return {
        "easting_m": grid[0],
        "northing_m": grid[1],
        "longitude_deg": longitude_deg,
        "latitude_deg": latitude_deg,
        "heading_deg": (columns["heading_deg"] + turn_deg) % 360.0,
    }


def _scatter_remarks(survey: Survey, line: alignment.Alignment) -> list[str]:
    pairs = (
        ("sigma_xy_m", survey.sigma_xy_m, line.plan.sigma_m),
        ("sigma_z_m", survey.sigma_z_m, line.profile.sigma_m),
    )
    return [
        f"the points scatter by {seen_m:.3f} m, more than {name} = {given_m:.3f} m; "
        "the scatter counts as their accuracy"
        for name, given_m, seen_m in pairs
        if seen_m > 1.2 * given_m
    ]


def _sections(columns: dict[str, Array], named: list[stretches.Span]) -> dict[str, Variable]:
    """The sections from end to end, and the number of the one that each station lies in."""
    curvature = np.abs(columns["curvature_per_m"])
    with np.errstate(divide="ignore"):
        radius_m = 1.0 / curvature
    sharp = curvature > 1.0 / figure("routes_sharp_radius_m")
    profile = stretches.Profile(columns["station"], columns["grade_long_ratio"], radius_m, sharp)
    spans = stretches.complete(named, profile)
    begins_m = np.array([span.from_station_m for span in spans])
    return {
        "section": ("station", stretches.index_of(columns["station"], begins_m)),
        "section_name": ("section_index", np.array([span.name for span in spans])),
        "section_from_station_m": ("section_index", begins_m),
        "section_to_station_m": ("section_index", np.array([span.to_station_m for span in spans])),
    }


def _named(route: Route, leg: str, length_m: float) -> list[stretches.Span]:
    """The sections of the user in the direction of travel."""
    spans = []
    for section in route.section:
        ends_m = _ends_m(section, length_m)
        if leg == "return":
            ends_m = reversal.reversed_span(*ends_m, length_m)
        spans.append(stretches.Span(section.name, *ends_m))
    return sorted(spans, key=lambda span: span.from_station_m)


def _ends_m(section: Section, length_m: float) -> tuple[float, float]:
    """Where a section begins and ends; one that ends close to the end of the road ends there."""
    to_the_end = section.to_station_m > length_m - END_TOLERANCE_M
    return section.from_station_m, length_m if to_the_end else section.to_station_m


def _hold_stations_m(route: Route, leg: str, length_m: float) -> list[float]:
    found = []
    for number, point in enumerate(route.hold_point):
        _check_station(f"route.hold_point[{number}].station_m", point.station_m, length_m)
        station_m = min(point.station_m, length_m)
        found.append(length_m - station_m if leg == "return" else station_m)
    return found


def _holds(route: Route, leg: str, length_m: float) -> dict[str, Variable]:
    """The hold points in the order of travel."""
    stations_m = _hold_stations_m(route, leg, length_m)
    order = np.argsort(stations_m, kind="stable").astype(int)
    points = [route.hold_point[index] for index in order]
    return {
        "hold_name": ("hold", np.array([point.name for point in points], dtype=np.str_)),
        "hold_station_m": ("hold", np.array(stations_m, dtype=float)[order]),
        "hold_wait_h": ("hold", np.array([point.wait_h for point in points], dtype=float)),
    }


def _check_station(field: str, station_m: float, length_m: float) -> None:
    if not station_m <= length_m + END_TOLERANCE_M:
        message = f"is {station_m:g}, allowed up to {length_m:.1f}, the length of the surveyed road"
        raise InputError(Fault("", field, message))


def _bends(columns: dict[str, Array], points: tuple[Array, Array, float]) -> dict[str, Variable]:
    """The bends in the order of travel."""
    station_m = columns["station"]
    found = bends.listed(
        station_m,
        columns["heading_deg"],
        columns["curvature_per_m"],
        points,
        limit_m=figure("routes_bend_radius_m"),
        least_deg=figure("routes_bend_turned_deg"),
    )
    return {
        "bend_from_station_m": ("bend", np.array([station_m[bend.first] for bend in found])),
        "bend_to_station_m": ("bend", np.array([station_m[bend.last] for bend in found])),
        "bend_turned_deg": ("bend", np.array([bend.turned_deg for bend in found])),
        "bend_radius_m": ("bend", np.array([bend.radius_m for bend in found])),
        "bend_radius_se_m": ("bend", np.array([bend.radius_se_m for bend in found])),
        "bend_radius_low_m": ("bend", np.array([bend.radius_low_m for bend in found])),
    }


def _attributes(
    survey: Survey, line: alignment.Alignment, held: support.Support, crs: CRS, plane: Proj
) -> dict[str, Any]:
    return {
        "survey_class": held.survey_class,
        "survey_reason": held.reason,
        "survey_grade_error_ratio": held.grade_error_ratio,
        "survey_long_grade_error_ratio": held.long_grade_error_ratio,
        "survey_radius_error_ratio": held.radius_error_ratio,
        "crs": survey.crs,
        "easting_northing_crs": survey.crs if crs.is_projected else plane.srs,
        "height_type": survey.height_type,
        "spacing_m": line.spacing_m,
        "sigma_xy_m": line.plan.sigma_m,
        "sigma_z_m": line.profile.sigma_m,
        "bandwidth_plan_m": line.plan.bandwidth_m,
        "bandwidth_profile_m": line.profile.bandwidth_m,
    }
