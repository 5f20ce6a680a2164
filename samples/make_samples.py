"""Make every demonstration file beside this script: roads, forecasts, and one broken copy for each mistake.

All of it is invented: the island, the mountain, the roads, the weather. The seeds are fixed, so that running the script
twice gives the same bytes. The two `move.toml` of the good samples are written by hand and only read here.

    python samples/make_samples.py            re-make the files in place
    python samples/make_samples.py FOLDER     make them into another folder

Frames: easting and northing in EPSG:32727, station = horizontal distance along the centreline in grid metres (the
scale of the projection, 0.9996, is left out: the road is invented in the plane). Curvature > 0 turns left,
crossfall > 0 falls to the right, as everywhere in this project.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from types import MappingProxyType
from typing import Any, Literal

import numpy as np
from netCDF4 import Dataset, Variable
from numpy.typing import NDArray
from pyproj import Transformer
from scipy.interpolate import PchipInterpolator
from scipy.ndimage import gaussian_filter1d, maximum_filter1d
from scipy.signal import lfilter
from scipy.special import fresnel

Array = NDArray[np.float64]
Points = NDArray[np.complex128]  # x + iy
Form = Literal["NETCDF4", "NETCDF3_64BIT_OFFSET"]
HERE = Path(__file__).resolve().parent
EPSG = 32727
LAPSE_K_PER_M = 0.0065
FILL = np.float32(9.96921e36)


# ---------------------------------------------------------------- road: plan


@dataclass(frozen=True)
class Tangent:
    """Straight piece."""

    length_m: float


@dataclass(frozen=True)
class Bend:
    """Clothoid, arc, clothoid: turns `turn_deg` in all (left > 0)."""

    turn_deg: float
    radius_m: float
    transition_m: float


@dataclass(frozen=True)
class Element:
    """Piece of the centreline with linear curvature; where it is a clothoid, one of its ends is straight."""

    length_m: float
    start_per_m: float
    end_per_m: float


def elements(parts: tuple[Tangent | Bend, ...]) -> list[Element]:
    """Tangents and bends as elements; the arc of a bend is R |turn| - transition long."""
    pieces: list[Element] = []
    for part in parts:
        if isinstance(part, Tangent):
            pieces.append(Element(part.length_m, 0.0, 0.0))
            continue
        curvature = np.sign(part.turn_deg) / part.radius_m
        arc_m = part.radius_m * np.radians(abs(part.turn_deg)) - part.transition_m
        pieces += [
            Element(part.transition_m, 0.0, curvature),
            Element(arc_m, curvature, curvature),
            Element(part.transition_m, curvature, 0.0),
        ]
    return pieces


def clothoid(s_m: Array, rate_per_m2: float) -> Points:
    """Point x + iy on a clothoid that starts straight along x: A sqrt(pi) (C(u) + i S(u)), u = s / (A sqrt(pi))."""
    scale_m = np.sqrt(np.pi / abs(rate_per_m2))
    sine, cosine = fresnel(s_m / scale_m)
    return np.asarray(scale_m * (cosine + 1j * np.sign(rate_per_m2) * sine), np.complex128)


def along(element: Element, s_m: Array) -> Points:
    """Point x + iy after s metres of an element that starts at the origin along x."""
    first, last, length_m = element.start_per_m, element.end_per_m, element.length_m
    if first == last == 0.0:
        return s_m.astype(np.complex128)
    if first == last:
        return np.asarray((np.exp(1j * first * s_m) - 1.0) / (1j * first), np.complex128)
    if first == 0.0:
        return clothoid(s_m, last / length_m)
    end, start = (clothoid(np.asarray(left_m), -first / length_m) for left_m in (length_m - s_m, length_m))
    return np.asarray(-np.exp(0.5j * first * length_m) * (end - start), np.complex128)


def centreline(pieces: list[Element], heading_deg: float, station_m: Array) -> tuple[Points, Array]:
    """Point x + iy and curvature at each station; the heading is counted from east, anticlockwise."""
    point = np.zeros(station_m.shape, np.complex128)
    curvature = np.zeros(station_m.shape)
    origin, heading, begins_m = 0.0 + 0.0j, np.radians(heading_deg), 0.0
    for piece in pieces:
        here = (station_m >= begins_m) & (station_m <= begins_m + piece.length_m + 1e-9)
        s_m = station_m[here] - begins_m
        point[here] = origin + np.exp(1j * heading) * along(piece, s_m)
        curvature[here] = piece.start_per_m + (piece.end_per_m - piece.start_per_m) * s_m / piece.length_m
        origin += np.exp(1j * heading) * along(piece, np.array([piece.length_m]))[0]
        heading += 0.5 * (piece.start_per_m + piece.end_per_m) * piece.length_m
        begins_m += piece.length_m
    return point, curvature


# ---------------------------------------------------------------- road: profile, crossfall, widths


@dataclass(frozen=True)
class GradeChange:
    """Point of vertical intersection: from here the grade is `grade_ratio`, rounded by a parabola of `curve_m`."""

    station_m: float
    grade_ratio: float
    curve_m: float


def rounded_ramp(distance_m: Array, curve_m: float) -> Array:
    """Ramp max(0, d), rounded by a parabola over curve_m that is centred on d = 0."""
    inside = np.clip(distance_m + 0.5 * curve_m, 0.0, curve_m)
    return inside**2 / (2.0 * curve_m) + np.maximum(distance_m - 0.5 * curve_m, 0.0)


def elevation(station_m: Array, start_m: float, grade_ratio: float, changes: tuple[GradeChange, ...]) -> Array:
    """Elevation of a profile of straight grades joined by parabolas."""
    height_m = start_m + grade_ratio * station_m
    for change in changes:
        step = change.grade_ratio - grade_ratio
        height_m = height_m + step * rounded_ramp(station_m - change.station_m, change.curve_m)
        grade_ratio = change.grade_ratio
    return height_m


def crossfall(curvature_per_m: Array) -> Array:
    """2 % to the right on a straight, 4 % into the bend from radius 60 m down, and in proportion between them."""
    share = np.minimum(1.0, 60.0 * np.abs(curvature_per_m))
    return 0.02 * (1.0 - share) - 0.04 * np.sign(curvature_per_m) * share


def half_width(station_m: Array, curvature_per_m: Array, phase: float) -> Array:
    """Width of one side of the road: 2.9 to 3.9 m, widened to 5.4 m in the hairpins and a little beyond their ends."""
    plain_m = 3.45 + 0.35 * np.sin(station_m / 310.0 + phase) + 0.2 * np.sin(station_m / 87.0 + 2.0 * phase)
    tight = np.clip((np.abs(curvature_per_m) - 1.0 / 45.0) / (1.0 / 20.0 - 1.0 / 45.0), 0.0, 1.0)
    share = gaussian_filter1d(maximum_filter1d(tight, 11), 1.5)
    return np.clip(plain_m, 2.9, 3.9) * (1.0 - share) + 5.4 * share


# ---------------------------------------------------------------- road: the two surveys


@dataclass(frozen=True)
class Plan:
    """One invented road: its design line, where it lies, and how it is surveyed."""

    seed: int
    heading_deg: float
    parts: tuple[Tangent | Bend, ...]
    anchor_station_m: float
    anchor_longitude_deg: float
    anchor_latitude_deg: float
    start_elevation_m: float
    start_grade_ratio: float
    changes: tuple[GradeChange, ...]
    asphalt_until_m: float
    asphalt_from_m: float
    sigma_m: float


@dataclass(frozen=True)
class Survey:
    """Points of a survey, about 5 m apart."""

    station_m: Array
    easting_m: Array
    northing_m: Array
    elevation_m: Array
    crossfall_ratio: Array
    width_left_m: Array
    width_right_m: Array
    surface: list[str]


SHELTERED_ROAD = Plan(
    seed=20260309,
    heading_deg=65.0,
    parts=(
        Tangent(690.0), Bend(-70.0, 90.0, 30.0), Tangent(190.0), Bend(95.0, 70.0, 25.0),
        Tangent(170.0), Bend(-85.0, 80.0, 25.0), Tangent(330.0), Bend(60.0, 100.0, 30.0),
        Tangent(180.0), Bend(-45.0, 120.0, 30.0), Tangent(196.0),
        Bend(170.0, 17.0, 12.0), Tangent(85.0), Bend(-168.0, 16.0, 12.0), Tangent(85.0),
        Bend(170.0, 18.0, 12.0), Tangent(85.0), Bend(-165.0, 17.0, 12.0),
        Tangent(280.0), Bend(60.0, 110.0, 30.0), Tangent(230.0), Bend(-90.0, 80.0, 25.0),
        Tangent(260.0), Bend(95.0, 90.0, 30.0), Tangent(260.0), Bend(-105.0, 75.0, 25.0),
        Tangent(330.0), Bend(110.0, 65.0, 25.0), Tangent(260.0), Bend(-80.0, 85.0, 25.0),
        Tangent(300.0), Bend(45.0, 110.0, 30.0), Tangent(490.0),
    ),
    anchor_station_m=2900.0,
    anchor_longitude_deg=-21.325,
    anchor_latitude_deg=-38.525,
    start_elevation_m=1855.0,
    start_grade_ratio=0.012,
    changes=(
        GradeChange(690.0, 0.068, 60.0),
        GradeChange(1470.0, 0.115, 60.0),      # 11.5 % from 1500 to 1850
        GradeChange(1880.0, 0.065, 60.0),
        GradeChange(2340.0, 0.020, 50.0),      # lay-by
        GradeChange(2450.0, 0.060, 40.0),      # four hairpins
        GradeChange(2970.0, 0.030, 60.0),      # open shoulder
        GradeChange(3620.0, 0.055, 80.0),
        GradeChange(4260.0, -0.020, 120.0),    # gentle saddle
        GradeChange(4520.0, 0.070, 120.0),
        GradeChange(6120.0, 0.004, 100.0),     # last approach
    ),
    asphalt_until_m=700.0,
    asphalt_from_m=6150.0,
    sigma_m=0.02,
)  # fmt: skip

SADDLE_ROAD = Plan(
    seed=20260310,
    heading_deg=-5.0,
    parts=(
        Tangent(420.0), Bend(60.0, 95.0, 30.0), Tangent(330.0), Bend(-95.0, 70.0, 25.0),
        Tangent(290.0), Bend(70.0, 85.0, 25.0), Tangent(260.0),
        Bend(168.0, 18.0, 12.0), Tangent(75.0), Bend(-168.0, 18.0, 12.0),
        Tangent(300.0), Bend(-50.0, 110.0, 30.0), Tangent(560.0), Bend(45.0, 120.0, 30.0),
        Tangent(330.0), Bend(-85.0, 75.0, 25.0), Tangent(330.0), Bend(90.0, 80.0, 25.0),
        Tangent(370.0), Bend(-55.0, 100.0, 30.0), Tangent(543.0),
    ),
    anchor_station_m=2650.0,
    anchor_longitude_deg=-21.26,
    anchor_latitude_deg=-38.54,
    start_elevation_m=2055.0,
    start_grade_ratio=0.006,
    changes=(
        GradeChange(380.0, 0.075, 60.0),
        GradeChange(1650.0, 0.060, 60.0),
        GradeChange(2350.0, 0.012, 100.0),     # exposed saddle
        GradeChange(2850.0, -0.070, 140.0),
        GradeChange(3750.0, -0.095, 60.0),     # steepest stretch
        GradeChange(4080.0, -0.050, 60.0),
        GradeChange(4800.0, -0.004, 80.0),
    ),
    asphalt_until_m=400.0,
    asphalt_from_m=4850.0,
    sigma_m=0.03,
)  # fmt: skip


def stations(length_m: float, rng: np.random.Generator) -> Array:
    """A point about every 5 m: both ends, and between them steps that differ by up to half a metre."""
    count = round(length_m / 5.0)
    return np.linspace(0.0, length_m, count + 1) + np.concatenate(
        ([0.0], rng.uniform(-0.25, 0.25, count - 1), [0.0])
    )


def surveyed(plan: Plan) -> Survey:
    """Design line plus white noise of sigma in x, y and z."""
    rng = np.random.default_rng(plan.seed)
    pieces = elements(plan.parts)
    station_m = stations(sum(piece.length_m for piece in pieces), rng)
    point, curvature = centreline(pieces, plan.heading_deg, station_m)
    anchor, _ = centreline(pieces, plan.heading_deg, np.array([plan.anchor_station_m]))
    east_m, north_m = Transformer.from_crs(4326, EPSG, always_xy=True).transform(
        plan.anchor_longitude_deg, plan.anchor_latitude_deg
    )
    noise_m = rng.normal(0.0, plan.sigma_m, (3, station_m.size))
    asphalt = (station_m < plan.asphalt_until_m) | (station_m > plan.asphalt_from_m)
    return Survey(
        station_m=station_m,
        easting_m=np.round(east_m - anchor[0].real, 1) + point.real + noise_m[0],
        northing_m=np.round(north_m - anchor[0].imag, 1) + point.imag + noise_m[1],
        elevation_m=elevation(station_m, plan.start_elevation_m, plan.start_grade_ratio, plan.changes) + noise_m[2],
        crossfall_ratio=crossfall(curvature),
        width_left_m=half_width(station_m, curvature, 0.0),
        width_right_m=half_width(station_m, curvature, 1.9),
        surface=["asphalt" if hard else "gravel" for hard in asphalt],
    )


CSV_HEADER = "easting_m,northing_m,elevation_m,crossfall_ratio,width_left_m,width_right_m,surface"


def csv_text(survey: Survey, points: slice = slice(None), swapped: bool = False) -> str:
    """Survey as CSV; `swapped` puts the northing under the heading of the easting."""
    east_m, north_m = survey.easting_m, survey.northing_m
    columns = (north_m, east_m) if swapped else (east_m, north_m)
    numbers = (survey.elevation_m, survey.crossfall_ratio, survey.width_left_m, survey.width_right_m)
    rows = zip(*columns, *numbers, survey.surface, strict=True)
    lines = ["{:.3f},{:.3f},{:.3f},{:.4f},{:.2f},{:.2f},{}".format(*row) for row in list(rows)[points]]
    return "\n".join([CSV_HEADER, *lines]) + "\n"


def gpx_points(survey: Survey) -> list[str]:
    """Track points of GPX 1.1: WGS84, 9 decimals, elevation above the sea."""
    longitude_deg, latitude_deg = Transformer.from_crs(EPSG, 4326, always_xy=True).transform(
        survey.easting_m, survey.northing_m
    )
    return [
        f'<trkpt lat="{lat:.9f}" lon="{lon:.9f}"><ele>{ele:.3f}</ele></trkpt>'
        for lat, lon, ele in zip(latitude_deg, longitude_deg, survey.elevation_m, strict=True)
    ]


def gpx_text(*segments: list[str], prologue: str = "", name: str = "Invented road") -> str:
    """GPX 1.1 document of one track with the given segments."""
    track = [line for points in segments for line in ["<trkseg>", *points, "</trkseg>"]]
    head = '<gpx version="1.1" creator="samples/make_samples.py" xmlns="http://www.topografix.com/GPX/1/1">'
    lines = ['<?xml version="1.0" encoding="UTF-8"?>', prologue, head, "<trk>", f"<name>{name}</name>", *track]
    return "\n".join([line for line in lines if line] + ["</trk>", "</gpx>"]) + "\n"


# ---------------------------------------------------------------- forecast: the weather


Knots = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Weather:
    """One invented ensemble forecast: values at some hours after the reference time, at the middle of the grid."""

    seed: int
    latitude_deg: Array
    longitude_deg: Array
    altitude_m: Array  # (latitude, longitude), the model's own surface
    wind_share: Array  # (latitude, longitude), wind at the node over wind of the knots
    wind_mps: Knots
    wind_from_deg: Knots
    temperature_c: Knots
    dew_depression_K: Knots
    rain_mm_per_h: Knots
    rain_as: str  # "precipitation_flux" or "precipitation_amount"


MEMBERS, HOURS = 31, 72
REFERENCE = "2026-03-09 00:00:00"

SHELTERED_GRID = np.meshgrid(np.linspace(-38.6, -38.4, 5), np.linspace(-21.4, -21.2, 5), indexing="ij")
SADDLE_GRID = np.meshgrid(np.linspace(-38.58, -38.50, 5), np.linspace(-21.30, -21.22, 5), indexing="ij")


def bump(grid: tuple[Array, Array], latitude_deg: float, longitude_deg: float, radius_km: float) -> Array:
    """Gaussian hill exp(-(d/r)^2) over a grid of latitudes and longitudes, 111.2 km a degree."""
    north_km = 111.2 * (grid[0] - latitude_deg)
    east_km = 111.2 * np.cos(np.radians(latitude_deg)) * (grid[1] - longitude_deg)
    return np.asarray(np.exp(-(north_km**2 + east_km**2) / radius_km**2))


SHELTERED_WEATHER = Weather(
    seed=31,
    latitude_deg=SHELTERED_GRID[0][:, 0],
    longitude_deg=SHELTERED_GRID[1][0, :],
    altitude_m=1780.0 + 270.0 * bump(SHELTERED_GRID, -38.522, -21.318, 11.0),
    wind_share=0.9 + 0.1 * bump(SHELTERED_GRID, -38.522, -21.318, 11.0),
    # fresh on the 9th; light from the night to the early afternoon of the 10th; a front behind it
    wind_mps=(
        (0, 6.0), (5, 7.2), (9, 8.0), (14, 8.6), (18, 8.2), (21, 6.2), (24, 4.2), (27, 2.9), (30, 2.3), (33, 2.4),
        (36, 2.8), (38, 3.1), (40, 3.4), (41, 3.8), (42, 5.0), (43, 6.9), (44, 8.2), (46, 8.8), (50, 8.0),
        (53, 8.1), (58, 8.4), (64, 7.4), (68, 6.6), (72, 6.0),
    ),
    wind_from_deg=((0, 235), (18, 240), (27, 225), (36, 255), (42, 290), (50, 300), (56, 285), (60, 230), (72, 215)),
    temperature_c=(
        (0, 8.2), (6, 7.6), (15, 9.9), (20, 8.7), (24, 7.9), (30, 7.4), (33, 7.9), (36, 8.8), (39, 9.6), (41, 9.8),
        (45, 9.2), (50, 8.2), (56, 7.2), (62, 6.8), (66, 7.6), (72, 6.4),
    ),
    dew_depression_K=(
        (0, 5.0), (12, 5.8), (22, 6.4), (28, 7.2), (32, 7.6), (38, 8.9), (43, 8.9), (47, 7.6), (49, 5.6), (51, 2.0),
        (53, 0.7), (60, 0.6), (64, 1.8), (68, 3.2), (72, 3.6),
    ),
    rain_mm_per_h=((0, 0.0), (49, 0.0), (51, 0.3), (54, 1.8), (57, 2.6), (60, 1.4), (62, 0.3), (64, 0.0), (72, 0.0)),
    rain_as="precipitation_flux",
)  # fmt: skip

SADDLE_WEATHER = Weather(
    seed=32,
    latitude_deg=SADDLE_GRID[0][:, 0],
    longitude_deg=SADDLE_GRID[1][0, :],
    altitude_m=2080.0 + 90.0 * bump(SADDLE_GRID, -38.54, -21.26, 4.0),
    wind_share=1.0 + 1.85 * bump(SADDLE_GRID, -38.54, -21.26, 1.3),
    # calm below, the west wind comes over the saddle day and night
    wind_mps=(
        (0, 2.0), (6, 1.9), (12, 2.1), (16, 2.3), (22, 2.0), (30, 1.9), (36, 2.1), (41, 2.3), (46, 2.1), (54, 1.9),
        (62, 2.1), (72, 2.0),
    ),
    wind_from_deg=((0, 262), (24, 270), (48, 265), (72, 258)),
    temperature_c=(
        (0, 8.6), (6, 7.8), (15, 12.2), (20, 10.4), (30, 8.0), (39, 12.4), (44, 10.8), (54, 8.4), (63, 12.8), (72, 9.6),
    ),
    dew_depression_K=((0, 7.0), (6, 7.0), (15, 10.4), (30, 7.6), (39, 10.8), (54, 7.8), (63, 11.2), (72, 8.2)),
    rain_mm_per_h=((0, 0.0), (72, 0.0)),
    rain_as="precipitation_amount",
)  # fmt: skip


def red_noise(rng: np.random.Generator, memory: float = 0.93) -> Array:
    """AR(1) noise of unit variance, (member, time); the control member 0 has none."""
    white = rng.standard_normal((MEMBERS, HOURS + 1))
    white[:, 1:] *= np.sqrt(1.0 - memory**2)
    noise: Array = lfilter([1.0], [1.0, -memory], white, axis=1)
    noise[0] = 0.0
    return noise


def course(knots: Knots, hour: Array) -> Array:
    """Smooth curve through the knots that never overshoots them, held at its ends."""
    at, value = np.array(knots, float).T
    return np.asarray(PchipInterpolator(at, value)(np.clip(hour, at[0], at[-1])))


def winds(weather: Weather, hour: Array, rng: np.random.Generator) -> dict[str, Array]:
    """Wind components and gust, (member, time, latitude, longitude); the spread grows with the lead time.

    The gust is the largest in the hour that ends at the time: gust factor times the larger mean wind of its two ends.
    """
    lead_h = np.arange(HOURS + 1.0)
    spread = 0.03 + 0.0018 * lead_h
    mean_mps = course(weather.wind_mps, hour) * np.exp(spread * red_noise(rng) - 0.5 * spread**2)
    wind_from_deg = course(weather.wind_from_deg, hour) + (4.0 + 0.2 * lead_h) * red_noise(rng)
    larger_mps = np.maximum(mean_mps, np.roll(mean_mps, 1, axis=1))
    larger_mps[:, 0] = mean_mps[:, 0]
    gust_mps = larger_mps * (1.66 + 0.06 * red_noise(rng, 0.6))
    towards = np.radians(wind_from_deg + 180.0)
    fields = {
        "eastward_wind": mean_mps * np.sin(towards),
        "northward_wind": mean_mps * np.cos(towards),
        "wind_speed_of_gust": gust_mps,
    }
    return {name: values[:, :, None, None] * weather.wind_share for name, values in fields.items()}


def air(weather: Weather, hour: Array, rng: np.random.Generator) -> dict[str, Array]:
    """Temperature, dew point, pressure, precipitation and visibility, (member, time, latitude, longitude)."""
    lead_h = np.arange(HOURS + 1.0)
    above_m = weather.altitude_m - weather.altitude_m.max()
    temperature_K = 273.15 + course(weather.temperature_c, hour) + (0.15 + 0.008 * lead_h) * red_noise(rng)
    depression_K = course(weather.dew_depression_K, hour) * np.exp((0.02 + 0.0012 * lead_h) * red_noise(rng))
    rain = course(weather.rain_mm_per_h, hour) * np.exp(0.4 * red_noise(rng))
    pressure_Pa = 101325.0 * (1.0 - 2.25577e-5 * weather.altitude_m) ** 5.25588
    swing_Pa = -250.0 * np.exp(-(((lead_h - 52.0) / 14.0) ** 2)) + (10.0 + 2.0 * lead_h) * red_noise(rng)
    seen_m = 40e3 * (1.0 - np.exp(-depression_K / 3.0)) / (1.0 + 2.0 * rain)
    flat = np.ones_like(above_m)
    temperature_K = temperature_K[:, :, None, None] - LAPSE_K_PER_M * above_m
    per_step = 1.0 / 3600.0 if weather.rain_as == "precipitation_flux" else 1.0
    return {
        "air_temperature": temperature_K,
        "dew_point_temperature": temperature_K - depression_K[:, :, None, None],
        "surface_air_pressure": pressure_Pa + swing_Pa[:, :, None, None],
        weather.rain_as: np.where(rain < 0.02, 0.0, np.round(rain, 2))[:, :, None, None] * per_step * flat,
        "visibility_in_air": np.maximum(seen_m, 200.0)[:, :, None, None] * flat,
    }


# ---------------------------------------------------------------- forecast: the file


@dataclass(frozen=True)
class Quantity:
    """How a variable is written: units, cell methods, height above ground, and the step it is rounded to."""

    units: str
    cell_methods: str
    height_m: float | None
    step: float | None


QUANTITIES: Mapping[str, Quantity] = MappingProxyType({
    "eastward_wind": Quantity("m s-1", "time: point", 10.0, 0.01),
    "northward_wind": Quantity("m s-1", "time: point", 10.0, 0.01),
    "wind_speed_of_gust": Quantity("m s-1", "time: maximum", 10.0, 0.01),
    "air_temperature": Quantity("K", "time: point", 2.0, 0.05),
    "dew_point_temperature": Quantity("K", "time: point", 2.0, 0.05),
    "surface_air_pressure": Quantity("Pa", "time: point", None, 10.0),
    "precipitation_flux": Quantity("kg m-2 s-1", "time: mean", None, None),
    "precipitation_amount": Quantity("kg m-2", "time: sum", None, 0.01),
    "visibility_in_air": Quantity("m", "time: point", None, 100.0),
})


@dataclass(frozen=True)
class Forecast:
    """Everything a forecast file holds, as arrays; times in hours after the reference."""

    reference: str
    realization: NDArray[np.int32]
    period_h: Array
    time_h: Array
    latitude_deg: Array
    longitude_deg: Array
    altitude_m: Array
    fields: dict[str, Array]
    step_h: float = 1.0


def forecast(weather: Weather) -> Forecast:
    """Ensemble forecast of an invented weather; each member runs a little early or late."""
    rng = np.random.default_rng(weather.seed)
    lead_h = np.arange(HOURS + 1.0)
    late_h = np.clip(rng.normal(0.0, 0.35, MEMBERS), -0.7, 0.7)
    late_h[0] = 0.0
    hour = lead_h - np.minimum(1.0, lead_h / 24.0) * late_h[:, None]
    return Forecast(
        reference=REFERENCE,
        realization=np.arange(MEMBERS, dtype=np.int32),
        period_h=lead_h,
        time_h=lead_h,
        latitude_deg=weather.latitude_deg,
        longitude_deg=weather.longitude_deg,
        altitude_m=weather.altitude_m,
        fields=winds(weather, hour, rng) | air(weather, hour, rng),
    )


def cut(whole: Forecast, members: slice, times: NDArray[np.intp], rows: slice, columns: slice) -> Forecast:
    """Part of a forecast: some members, times, latitudes and longitudes."""
    return replace(
        whole,
        realization=whole.realization[members],
        period_h=whole.period_h[times],
        time_h=whole.time_h[times],
        latitude_deg=whole.latitude_deg[rows],
        longitude_deg=whole.longitude_deg[columns],
        altitude_m=whole.altitude_m[rows, columns],
        fields={name: values[members][:, times][:, :, rows, columns] for name, values in whole.fields.items()},
    )


def write_coordinate(
    file: Dataset, name: str, values: Array | NDArray[np.int32], kind: str, **attributes: str
) -> Variable[Any]:
    """Coordinate along its own dimension, with a checksum where the format has one."""
    checked = file.data_model == "NETCDF4"
    file.createDimension(name, values.size)
    variable = file.createVariable(name, kind, (name,), zlib=checked, fletcher32=checked)
    variable.setncatts(attributes)
    variable[:] = values
    return variable


def write_scalar(file: Dataset, name: str, value: float, **attributes: str) -> None:
    """Coordinate that holds one value."""
    variable = file.createVariable(name, "f8", ())
    variable.setncatts(attributes)
    variable[...] = value


def write_axes(file: Dataset, data: Forecast) -> None:
    """Axes of the forecast with the bounds of each hour, and the scalars that go with them."""
    since = f"hours since {data.reference}"
    write_coordinate(file, "realization", data.realization, "i4", standard_name="realization", units="1", axis="E")
    time = write_coordinate(file, "time", data.time_h, "f8", standard_name="time", units=since, calendar="standard",
                            axis="T", bounds="time_bnds")  # fmt: skip
    for name, values, units, axis in (
        ("latitude", data.latitude_deg, "degrees_north", "Y"),
        ("longitude", data.longitude_deg, "degrees_east", "X"),
    ):
        write_coordinate(file, name, values, "f8", standard_name=name, units=units, axis=axis)
    checked = file.data_model == "NETCDF4"
    file.createDimension("bnds", 2)
    bounds = file.createVariable("time_bnds", "f8", ("time", "bnds"), zlib=checked, fletcher32=checked)
    bounds[:] = np.stack([data.time_h - data.step_h, data.time_h], axis=1)
    period = file.createVariable("forecast_period", "f8", ("time",), zlib=checked, fletcher32=checked)
    period.setncatts({"standard_name": "forecast_period", "units": "hours"})
    period[:] = data.period_h
    write_scalar(file, "forecast_reference_time", 0.0, standard_name="forecast_reference_time", units=time.units,
                 calendar="standard")  # fmt: skip
    for height_m in (2.0, 10.0):
        write_scalar(file, f"height_{height_m:.0f}m", height_m, standard_name="height", units="m", positive="up")


def write_field(file: Dataset, name: str, values: Array, *, virtual: bool = False) -> None:
    """One quantity on (realization, time, latitude, longitude); a virtual one is declared and never written."""
    quantity = QUANTITIES[name]
    checked = file.data_model == "NETCDF4"
    dimensions = ("realization", "time", "latitude", "longitude")
    chunks = tuple(min(file.dimensions[d].size, 100) for d in dimensions) if checked else None
    variable = file.createVariable(name, "f4", dimensions, zlib=checked, complevel=9, shuffle=checked,
                                   fletcher32=checked, fill_value=FILL, chunksizes=chunks)  # fmt: skip
    height = "" if quantity.height_m is None else f" height_{quantity.height_m:.0f}m"
    variable.setncatts({
        "standard_name": name, "units": quantity.units, "cell_methods": quantity.cell_methods,
        "coordinates": "forecast_reference_time forecast_period" + height,
    })  # fmt: skip
    if not virtual:
        rounded = values if quantity.step is None else np.round(values / quantity.step) * quantity.step
        variable[:] = np.ma.masked_invalid(rounded)


def write_forecast(path: Path, data: Forecast, *, form: Form = "NETCDF4", virtual: bool = False) -> None:
    """CF file of the forecast: compressed, every array with a checksum."""
    with Dataset(path, "w", format=form) as file:
        file.setncatts({
            "Conventions": "CF-1.11",
            "title": "Invented ensemble forecast for an invented island",
            "institution": "Brannock Shelf Observatory (invented)",
            "source": "samples/make_samples.py",
        })  # fmt: skip
        write_axes(file, data)
        checked = file.data_model == "NETCDF4"
        altitude = file.createVariable("surface_altitude", "f4", ("latitude", "longitude"), zlib=checked,
                                       fletcher32=checked, fill_value=FILL)  # fmt: skip
        altitude.setncatts({"standard_name": "surface_altitude", "units": "m"})
        if not virtual:
            altitude[:] = np.round(data.altitude_m)
        for name, values in data.fields.items():
            write_field(file, name, values, virtual=virtual)


# ---------------------------------------------------------------- a winter of forecasts, and a mast that measured it


@dataclass(frozen=True)
class Winter:
    """An invented winter: days of archived runs with few members, and the weather that the mast then measured.

    The model is too slow by `too_slow`, the error of a run grows with the lead time, and its members know too little
    of it: that is what there is to learn.
    """

    seed: int = 33
    first_day: str = "2026-06-02"
    runs: int = 70
    members: int = 7
    step_h: int = 3
    lead_h: int = 48
    too_slow: float = 0.9


WINTER = Winter()
WINTER_GRID = np.meshgrid(np.array([-38.6, -38.4]), np.array([-21.4, -21.2]), indexing="ij")
WINTER_DAY = Weather(
    seed=34,
    latitude_deg=np.linspace(-38.6, -38.4, 3),
    longitude_deg=np.linspace(-21.4, -21.2, 3),
    altitude_m=np.full((3, 3), 1980.0),
    wind_share=np.ones((3, 3)),
    # a fresh day, a night that calms down, a light morning that freshens slowly, then a gale
    wind_mps=(
        (0, 7.6), (6, 8.2), (12, 8.4), (18, 6.4), (24, 3.9), (28, 2.7), (33, 2.3), (36, 2.4), (39, 2.9), (42, 3.9),
        (45, 5.4), (51, 8.4), (60, 9.6), (72, 8.8),
    ),
    wind_from_deg=((0, 250), (24, 262), (36, 275), (48, 290), (60, 300), (72, 285)),
    temperature_c=(
        (0, 5.4), (6, 5.0), (15, 7.2), (24, 5.6), (30, 5.2), (36, 6.4), (39, 7.0), (48, 6.2), (60, 5.6), (72, 5.2),
    ),
    dew_depression_K=((0, 5.0), (24, 6.6), (36, 8.4), (48, 7.2), (60, 3.2), (72, 2.4)),
    rain_mm_per_h=((0, 0.0), (52, 0.0), (58, 1.2), (66, 0.6), (72, 0.0)),
    rain_as="precipitation_flux",
)  # fmt: skip


def winter_wind(winter: Winter, rng: np.random.Generator) -> tuple[Array, Array]:
    """Mean wind and direction over the mountain in each hour of the winter: weather that lasts for some days."""
    hours = 24 * (winter.runs + 2) + 1
    noise = [lfilter([1.0], [1.0, -0.97], rng.standard_normal(hours) * np.sqrt(1.0 - 0.97**2)) for _ in range(2)]
    return 4.6 * np.exp(0.5 * noise[0]), (265.0 + 55.0 * noise[1]) % 360.0


def few_members(winter: Winter, rng: np.random.Generator, steps: int, members: int) -> Array:
    """What each member takes for the logarithm of the wind's error, (member, step): the run's own error is common."""
    lead_h = winter.step_h * np.arange(steps)
    common = (0.08 + 0.0035 * lead_h) * _ar(rng, (1, steps))
    own = (0.04 + 0.0012 * lead_h) * _ar(rng, (members, steps))
    own[0] = 0.0
    return common + own


def _ar(rng: np.random.Generator, shape: tuple[int, int]) -> Array:
    white = rng.standard_normal(shape)
    white[:, 1:] *= np.sqrt(1.0 - 0.8**2)
    return np.asarray(lfilter([1.0], [1.0, -0.8], white, axis=1))


def winter_run(winter: Winter, day: int, wind: tuple[Array, Array], rng: np.random.Generator) -> Forecast:
    """The run of one day: components and gust on 2 x 2 nodes, every step."""
    lead_h = np.arange(0, winter.lead_h + 1, winter.step_h)
    at = 24 * day + lead_h
    mean_mps = winter.too_slow * wind[0][at] * np.exp(few_members(winter, rng, lead_h.size, winter.members))
    towards = np.radians(wind[1][at] + 6.0 * _ar(rng, (winter.members, lead_h.size)) + 180.0)
    reference = np.datetime64(winter.first_day) + np.timedelta64(day, "D")
    return Forecast(
        reference=f"{reference} 00:00:00",
        realization=np.arange(winter.members, dtype=np.int32),
        period_h=lead_h.astype(float),
        time_h=lead_h.astype(float),
        latitude_deg=WINTER_GRID[0][:, 0],
        longitude_deg=WINTER_GRID[1][0],
        altitude_m=np.full((2, 2), 1980.0),
        fields=_spread(mean_mps, towards, np.ones((2, 2))),
        step_h=winter.step_h,
    )


def _spread(mean_mps: Array, towards: Array, share: Array) -> dict[str, Array]:
    larger_mps = np.maximum(mean_mps, np.roll(mean_mps, 1, axis=1))
    larger_mps[:, 0] = mean_mps[:, 0]
    fields = {
        "eastward_wind": mean_mps * np.sin(towards),
        "northward_wind": mean_mps * np.cos(towards),
        "wind_speed_of_gust": 1.5 * larger_mps,
    }
    return {name: values[:, :, None, None] * share for name, values in fields.items()}


MAST_HEADER = "time_utc,wind_mean_mps,wind_max_mps"


def mast_text(winter: Winter, wind: Array, rng: np.random.Generator) -> str:
    """Rows of 10 min, labelled at their end: mean and highest 3 s gust; a day without rows, some hours of ice."""
    minute = np.arange(10, 60 * (wind.size - 1) + 1, 10)
    smooth_mps = np.interp(minute / 60.0, np.arange(wind.size), wind)
    mean_mps = smooth_mps * np.exp(0.06 * rng.standard_normal(minute.size))
    highest_mps = mean_mps * (1.42 + np.abs(0.12 * rng.standard_normal(minute.size)))
    hour = minute / 60.0
    iced = (hour > 24 * 37 + 2) & (hour <= 24 * 37 + 9)
    mean_mps[iced], highest_mps[iced] = 0.0, 0.0
    there = ~((hour > 24 * 20 + 6) & (hour <= 24 * 21 + 6)) & (hour <= 24 * (winter.runs) + 6)
    time = np.datetime64(winter.first_day, "m") + minute.astype("timedelta64[m]")
    rows = zip(time[there], mean_mps[there], highest_mps[there], strict=True)
    lines = [f"{str(moment).replace('T', ' ')},{mean:.1f},{highest:.1f}" for moment, mean, highest in rows]
    return "\n".join([MAST_HEADER, *lines]) + "\n"


def winter_day(winter: Winter, weather: Weather) -> Forecast:
    """The forecast of the day that is to be decided: all members, whole weather, the same step and the same faults."""
    rng = np.random.default_rng(weather.seed)
    hour = np.broadcast_to(np.arange(HOURS + 1.0), (MEMBERS, HOURS + 1))
    steps = np.arange(0, HOURS + 1, winter.step_h)
    mean_mps = course(weather.wind_mps, hour[:, steps]) * np.exp(few_members(winter, rng, steps.size, MEMBERS))
    towards = np.radians(course(weather.wind_from_deg, hour[:, steps]) + 6.0 * _ar(rng, (MEMBERS, steps.size)) + 180.0)
    rest = {name: values[:, steps] for name, values in air(weather, hour, rng).items()}
    return Forecast(
        reference=f"{np.datetime64(winter.first_day) + np.timedelta64(winter.runs, 'D')} 00:00:00",
        realization=np.arange(MEMBERS, dtype=np.int32),
        period_h=steps.astype(float),
        time_h=steps.astype(float),
        latitude_deg=weather.latitude_deg,
        longitude_deg=weather.longitude_deg,
        altitude_m=weather.altitude_m,
        fields=_spread(mean_mps, towards, weather.wind_share) | rest,
        step_h=winter.step_h,
    )


def write_winter(folder: Path, winter: Winter) -> None:
    """The archive, the mast and the forecast of the day."""
    rng = np.random.default_rng(winter.seed)
    wind = winter_wind(winter, rng)
    (folder / "archive").mkdir(parents=True, exist_ok=True)
    for day in range(winter.runs):
        data = winter_run(winter, day, wind, rng)
        path = folder / "archive" / f"{data.reference[:10]}T00.nc"
        write_forecast(path, data, form="NETCDF3_64BIT_OFFSET")
    write_text(folder / "mast.csv", mast_text(winter, wind[0], rng))
    write_forecast(folder / "forecast.nc", winter_day(winter, WINTER_DAY))


# ---------------------------------------------------------------- broken: one mistake each


@dataclass(frozen=True)
class Good:
    """What the broken samples are made from: the good move, its survey, and a small piece of its forecast."""

    move: str
    survey: Survey
    forecast: Forecast


Edit = Callable[[str], str]
Files = Callable[[Path, Good], None]


@dataclass(frozen=True)
class Case:
    """One broken sample: `name`.toml, with `name`.nc, .csv or .gpx beside it where the mistake is in a file."""

    name: str
    mistake: str
    edit: Edit = str
    suffix: str = ""
    write: Files | None = None


def with_field(field: str, value: str) -> Edit:
    """Edit that gives the first field of this name another value."""

    def edit(text: str) -> str:
        changed, count = re.subn(rf"(?m)^{field} = .*$", lambda _: f"{field} = {value}", text, count=1)
        if count != 1:
            raise KeyError(field)
        return changed

    return edit


def with_feed(file: str) -> Edit:
    """Edit that reads the forecast from another file."""
    return with_field("path", f'"{file}"')


def with_gpx(file: str) -> Edit:
    """Edit that reads the survey from a GPX file, which is always WGS 84."""

    def edit(text: str) -> str:
        for field, value in (("survey", file), ("format", "gpx"), ("crs", "EPSG:4326")):
            text = with_field(field, f'"{value}"')(text)
        return text

    return edit


def with_fifth_group(text: str) -> str:
    """Edit that splits the first hydraulic group in two."""
    group = '[[trailer.group]]\nname = "middle left"\nlines = [5, 6]\nside = "left"\n'
    return with_field("lines", "[7, 8]")(text).replace("\n[tractor]", f"\n{group}\n[tractor]", 1)


def with_misspelling(text: str) -> str:
    """Edit that misspells one field name."""
    return re.sub(r"(?m)^clearance_margin_m", "clearence_margin_m", text, count=1)


def with_unit_mass(value: str) -> Edit:
    """Edit that gives the unit, not the mirror, another mass."""

    def edit(text: str) -> str:
        changed, count = re.subn(r"(?ms)(^\[unit\].*?^mass_t = )[^\n]*", lambda found: found[1] + value, text, count=1)
        if count != 1:
            raise KeyError("unit.mass_t")
        return changed

    return edit


def with_worn_chain(text: str) -> str:
    """Edit that adds a measured diameter to the first chain."""
    return with_field("stf_kN", "16.0                            # read on the tag\nmeasured_diameter_mm = 14.1")(text)


def with_anchor(text: str) -> str:
    """Edit that rates the first lashing point for steep pulls only, and attaches its chain low on the load."""
    anchor = (
        '[[anchor]]\nname = "ring 1"\nposition_m = [4.4, 1.4, 0.0]\nrating_kN = 200.0\n'
        "least_vertical_angle_deg = 20.0\ngreatest_vertical_angle_deg = 60.0\n\n"
    )
    lower = with_field("on_load_m", '[2.4, 1.0, 0.4]\nanchor = "ring 1"')(text)
    return lower.replace("[route]\n", f"{anchor}[route]\n", 1)


def writing(change: Callable[[Forecast], Forecast], *without: tuple[str, str]) -> Files:
    """Write the changed forecast, then take away attributes, each named as (variable, attribute)."""

    def write(path: Path, good: Good) -> None:
        write_forecast(path, change(good.forecast))
        if without:
            with Dataset(path, "a") as file:
                for variable, attribute in without:
                    file[variable].delncattr(attribute)

    return write


def truncated(form: Form) -> Files:
    """Write the good forecast and keep the first 70 % of its bytes."""

    def write(path: Path, good: Good) -> None:
        write_forecast(path, good.forecast, form=form)
        whole = path.read_bytes()
        path.write_bytes(whole[: len(whole) * 7 // 10])

    return write


def flipped(path: Path, good: Good) -> None:
    """Write the good forecast and flip one bit in the middle of the file, inside its packed numbers."""
    write_forecast(path, good.forecast)
    data = bytearray(path.read_bytes())
    data[len(data) // 2] ^= 0b0001_0000
    path.write_bytes(data)


def huge(path: Path, good: Good) -> None:
    """Declare a grid of 2600 x 2600 nodes around the road, 41 GB a variable, and write nothing but its axes."""
    fine = replace(
        good.forecast,
        latitude_deg=np.linspace(-38.62, -38.38, 2600),
        longitude_deg=np.linspace(-21.42, -21.18, 2600),
    )
    write_forecast(path, fine, virtual=True)


def surveying(render: Callable[[Survey], str]) -> Files:
    """Write the good survey in a form with a mistake."""

    def write(path: Path, good: Good) -> None:
        path.write_text(render(good.survey), encoding="utf-8", newline="\n")

    return write


def in_knots(data: Forecast) -> Forecast:
    """Winds as knots."""
    winds_only = ("eastward_wind", "northward_wind", "wind_speed_of_gust")
    knots = {name: data.fields[name] * 3600.0 / 1852.0 for name in winds_only}
    return replace(data, fields=data.fields | knots)


def at_times(data: Forecast, times: NDArray[np.intp]) -> Forecast:
    """Forecast with some of its times."""
    return cut(data, slice(None), times, slice(None), slice(None))


def with_hole(data: Forecast) -> Forecast:
    """Gust of member 7 unknown from 05:00 to 20:00 UTC on the second day."""
    gust_mps = data.fields["wind_speed_of_gust"].copy()
    gust_mps[7, 30:45] = np.nan
    return replace(data, fields=data.fields | {"wind_speed_of_gust": gust_mps})


def in_local_time(data: Forecast) -> Forecast:
    """Times an hour behind, as the clocks of the site are; the file begins an hour after the reference."""
    later = at_times(data, HOURS_KEPT[1:])
    return replace(later, time_h=later.time_h - 1.0)


def axes_swapped(data: Forecast) -> Forecast:
    """Latitudes under the name of the longitude, and the other way round."""
    return replace(data, latitude_deg=data.longitude_deg, longitude_deg=data.latitude_deg)


DOCTYPE = '<!DOCTYPE gpx [<!ENTITY a0 "ha">' + "".join(
    f'<!ENTITY a{n} "{f"&a{n - 1};" * 10}">' for n in range(1, 6)
) + "]>"  # fmt: skip


def bomb(survey: Survey) -> str:
    """GPX whose name is an entity that grows tenfold five times."""
    return gpx_text(gpx_points(survey), prologue=DOCTYPE, name="&a5;")


def in_two(survey: Survey) -> str:
    """GPX with a second segment, as after lost reception."""
    points = gpx_points(survey)
    return gpx_text(points[:600], points[620:])


def without_one_height(survey: Survey) -> str:
    """GPX with one point that has no elevation."""
    points = gpx_points(survey)
    points[600] = re.sub("<ele>.*</ele>", "", points[600])
    return gpx_text(points)


HOURS_KEPT = np.arange(49)

CASES: tuple[Case, ...] = (
    Case("good_unchanged", "none: the good sample with a piece of its forecast"),
    Case("good_longitude_0_360", "none: longitudes from 0 to 360 are as good as -180 to 180",
         with_feed("good_longitude_0_360.nc"), ".nc",
         writing(lambda data: replace(data, longitude_deg=data.longitude_deg + 360.0))),
    Case("knots_without_units", "the winds are in knots and their units are missing",
         with_feed("knots_without_units.nc"), ".nc",
         writing(in_knots, ("eastward_wind", "units"), ("northward_wind", "units"), ("wind_speed_of_gust", "units"))),
    Case("gust_of_an_instant", "the gust has no cell_methods, so it may be the value of one instant",
         with_feed("gust_of_an_instant.nc"), ".nc", writing(lambda data: data, ("wind_speed_of_gust", "cell_methods"))),
    Case("truncated_netcdf4", "the last 30 % of the forecast file are missing",
         with_feed("truncated_netcdf4.nc"), ".nc", truncated("NETCDF4")),
    Case("flipped_bit", "one bit of the forecast file is wrong", with_feed("flipped_bit.nc"), ".nc", flipped),
    Case("truncated_netcdf3", "the last 30 % of the forecast file are missing, in the classic format",
         with_feed("truncated_netcdf3.nc"), ".nc", truncated("NETCDF3_64BIT_OFFSET")),
    Case("last_week", "the forecast was made on 1 March, eight days before",
         with_feed("last_week.nc"), ".nc", writing(lambda data: replace(data, reference="2026-03-01 00:00:00"))),
    Case("ends_too_early", "the forecast ends before the move can",
         with_feed("ends_too_early.nc"), ".nc", writing(lambda data: at_times(data, HOURS_KEPT[:13]))),
    Case("hole_in_one_member", "one member has no gust during the second day",
         with_feed("hole_in_one_member.nc"), ".nc", writing(with_hole)),
    Case("few_members", "12 of the 31 members are there",
         with_feed("few_members.nc"), ".nc",
         writing(lambda data: cut(data, slice(0, 12), HOURS_KEPT, slice(None), slice(None)))),
    Case("latitude_and_longitude_swapped", "latitudes stand under longitude, longitudes under latitude",
         with_feed("latitude_and_longitude_swapped.nc"), ".nc", writing(axes_swapped)),
    Case("hour_missing", "10:00 UTC on the second day is missing",
         with_feed("hour_missing.nc"), ".nc", writing(lambda data: at_times(data, np.delete(HOURS_KEPT, 34)))),
    Case("local_time_as_utc", "the times are local but written as UTC",
         with_feed("local_time_as_utc.nc"), ".nc", writing(in_local_time)),
    Case("declared_40_gb", "the forecast declares 40 GB a variable",
         with_feed("declared_40_gb.nc"), ".nc", huge),
    Case("forecast_missing", "the forecast file does not exist", with_feed("forecast_of_tomorrow.nc")),
    Case("gpx_with_doctype", "the GPX file has a document type with growing entities",
         with_gpx("gpx_with_doctype.gpx"), ".gpx", surveying(bomb)),
    Case("gpx_in_two_segments", "the GPX track has a gap between two segments",
         with_gpx("gpx_in_two_segments.gpx"), ".gpx", surveying(in_two)),
    Case("gpx_without_one_height", "one GPX point has no elevation",
         with_gpx("gpx_without_one_height.gpx"), ".gpx", surveying(without_one_height)),
    Case("road_of_one_point", "the survey has one point",
         with_field("survey", '"road_of_one_point.csv"'), ".csv", surveying(lambda road: csv_text(road, slice(0, 1)))),
    Case("easting_and_northing_swapped", "northings stand under easting_m, eastings under northing_m",
         with_field("survey", '"easting_and_northing_swapped.csv"'), ".csv",
         surveying(lambda road: csv_text(road, swapped=True))),
    Case("chain_of_zero", "a chain has no capacity", with_field("lc_kN", "0.0")),
    Case("capacity_in_daN", "the capacity of a chain is in daN, as on its tag, not in kN",
         with_field("lc_kN", "16000.0")),
    Case("anchor_inside_the_load", "the deck anchor of a chain is under the load",
         with_field("on_deck_m", "[1.6, 0.6, 0.0]")),
    Case("breaking_load_as_capacity", "the capacity of a chain is its breaking load", with_field("lc_kN", "322.0")),
    Case("anchor_in_daN", "the rating of a lashing point is in daN, as on its plate, not in kN",
         with_field("anchor_rating_kN", "2000.0")),
    Case("anchor_pulled_too_flat", "a chain pulls its lashing point flatter than that is rated for", with_anchor),
    Case("chain_through_the_load", "the signs of a deck anchor are wrong, so that the chain runs through the load",
         with_field("on_deck_m", "[-4.4, -1.4, 0.0]")),
    Case("chain_in_mm", "the point of a chain on the load is in millimetres",
         with_field("on_load_m", "[2400.0, 1000.0, 800.0]")),
    Case("worn_chain", "a chain is worn by more than a tenth", with_worn_chain),
    Case("mass_in_kg", "the mass of the unit is in kilograms", with_unit_mass("31000.0")),
    Case("centre_of_mass_outside", "the centre of mass does not lie between the pads",
         with_field("centre_of_mass_m", "[0.0, 1.50, 1.20]")),
    Case("misspelt_field", "clearance_margin_m is misspelt", with_misspelling),
    Case("limit_as_text", "a wind limit is text, not a number", with_field("gust_limit_mps", '"9.0"')),
    Case("time_without_zone", "the time of the tension measurement has no zone",
         with_field("tension_measured_at", "2026-03-09T06:00:00")),
    Case("unknown_time_zone", "the time zone does not exist", with_field("time_zone", '"Atlantic/Brannock"')),
    Case("five_hydraulic_groups", "the trailer has five hydraulic groups", with_fifth_group),
    Case("line_in_two_groups", "axle line 4 is in two groups of the same side", with_field("lines", "[4, 5, 6, 7, 8]")),
)  # fmt: skip


def write_case(folder: Path, case: Case, good: Good) -> None:
    """The move with its one mistake, said in its first line, and the wrong file if there is one."""
    text = f"# Mistake: {case.mistake}.\n" + case.edit(good.move)
    (folder / f"{case.name}.toml").write_text(text, encoding="utf-8", newline="\n")
    if case.write is not None:
        case.write(folder / f"{case.name}{case.suffix}", good)


# ---------------------------------------------------------------- all of it


def write_text(path: Path, text: str) -> None:
    """Text file with plain line ends, whatever the system."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8", newline="\n")


def make(folder: Path) -> None:
    """Write every made file of the samples below `folder`."""
    sheltered, saddle = surveyed(SHELTERED_ROAD), surveyed(SADDLE_ROAD)
    morning = forecast(SHELTERED_WEATHER)
    write_text(folder / "sheltered_morning" / "road.csv", csv_text(sheltered))
    write_text(folder / "windy_saddle" / "road.gpx", gpx_text(gpx_points(saddle), name="Invented road over the saddle"))
    write_forecast(folder / "sheltered_morning" / "forecast.nc", morning)
    write_forecast(folder / "windy_saddle" / "forecast.nc", forecast(SADDLE_WEATHER))
    write_text(folder / "measured_winter" / "road.csv", csv_text(sheltered))
    write_winter(folder / "measured_winter", WINTER)
    move = (HERE / "sheltered_morning" / "move.toml").read_text(encoding="utf-8")
    good = Good(move, sheltered, cut(morning, slice(None), HOURS_KEPT, slice(1, 3), slice(1, 3)))
    write_text(folder / "broken" / "road.csv", csv_text(sheltered))
    write_forecast(folder / "broken" / "forecast.nc", good.forecast)
    for case in CASES:
        write_case(folder / "broken", case, good)


if __name__ == "__main__":
    make(Path(sys.argv[1]) if len(sys.argv) > 1 else HERE)
