"""A synthetic switchback, published check values, and surveys written to files."""

import csv
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from pyproj import Transformer
from scipy.special import fresnel

from routes.inputs import Route
from shared.arrays import Array

PUBLISHED = Path(__file__).parents[1] / "published"
RADIUS_M, CLOTHOID_M, TANGENT_M = 15.0, 10.0, 40.0
ARC_M = np.pi * RADIUS_M - CLOTHOID_M
LENGTH_M = 2.0 * (TANGENT_M + CLOTHOID_M) + ARC_M
ORIGIN = (500_400.0, 5_738_000.0)  # easting and northing in EPSG:32727


@dataclass(frozen=True)
class Value:
    """One check value."""

    expected: float
    tolerance: float


def clothoid(s_m: Array, radius_m: float, length_m: float) -> NDArray[np.complex128]:
    """x + iy along a clothoid that starts straight along x. Source: A sqrt(pi) (C(u) + i S(u))."""
    scale_m = np.sqrt(np.pi * radius_m * length_m)
    sine, cosine = fresnel(s_m / scale_m)
    return np.asarray(scale_m * (cosine + 1j * sine))


def switchback_plan(s_m: Array) -> Array:
    """Tangent, clothoid, arc to the left, clothoid, tangent: 180 degrees in all. Shapes: (point, 2)."""
    angle = CLOTHOID_M / (2.0 * RADIUS_M)
    arc_begins = TANGENT_M + clothoid(np.array([CLOTHOID_M]), RADIUS_M, CLOTHOID_M)[0]
    centre = arc_begins + 1j * RADIUS_M * np.exp(1j * angle)

    def half(s: Array) -> NDArray[np.complex128]:
        turn = angle + (s - TANGENT_M - CLOTHOID_M) / RADIUS_M
        on_clothoid = TANGENT_M + clothoid(np.clip(s - TANGENT_M, 0.0, CLOTHOID_M), RADIUS_M, CLOTHOID_M)
        on_arc = centre - 1j * RADIUS_M * np.exp(1j * turn)
        return np.where(s <= TANGENT_M, s, np.where(s <= TANGENT_M + CLOTHOID_M, on_clothoid, on_arc))

    first, second = half(s_m), half(LENGTH_M - s_m)
    place = np.where(s_m <= LENGTH_M / 2.0, first, second.conj() + 2j * centre.imag)
    return np.column_stack([place.real, place.imag])


def ramp(x_m: Array, curve_m: float) -> Array:
    """max(0, x), rounded by a parabola of the given length."""
    inside = np.clip(x_m + curve_m / 2.0, 0.0, curve_m)
    return np.asarray(inside**2 / (2.0 * curve_m) + np.maximum(x_m - curve_m / 2.0, 0.0))


def switchback_elevation(s_m: Array) -> Array:
    """+12 %, +6 % through the bend, +12 %, joined by parabolas of 20 m."""
    return np.asarray(0.12 * s_m - 0.06 * ramp(s_m - 40.0, 20.0) + 0.06 * ramp(s_m - (LENGTH_M - 40.0), 20.0))


def switchback_curvature(s_m: Array) -> Array:
    """Trapezoid of the two clothoids and the arc."""
    knots = np.cumsum([0.0, TANGENT_M, CLOTHOID_M, ARC_M, CLOTHOID_M, TANGENT_M])
    return np.interp(s_m, knots, np.array([0.0, 0.0, 1.0, 1.0, 0.0, 0.0]) / RADIUS_M)


def switchback_grade(s_m: Array) -> Array:
    """Slope of switchback_elevation."""
    first, second = (np.clip((s_m - at) / 20.0 + 0.5, 0.0, 1.0) for at in (40.0, LENGTH_M - 40.0))
    return np.asarray(0.12 - 0.06 * first + 0.06 * second)


@dataclass(frozen=True)
class Switchback:
    """The true road at the points of a survey."""

    s_m: Array
    plan_m: Array
    elevation_m: Array


@pytest.fixture(scope="session")
def switchback() -> Callable[[float], Switchback]:
    """The switchback with a point about every so many metres."""

    def at(spacing_m: float) -> Switchback:
        s_m = np.linspace(0.0, LENGTH_M, round(LENGTH_M / spacing_m) + 1)
        return Switchback(s_m, switchback_plan(s_m), switchback_elevation(s_m))

    return at


@pytest.fixture(scope="session")
def truth() -> dict[str, Callable[[Array], Array]]:
    """What the switchback truly is."""
    return {"grade": switchback_grade, "curvature": switchback_curvature, "plan": switchback_plan}


@pytest.fixture(scope="session")
def clothoid_points() -> Callable[[float, float], Array]:
    """101 points of a clothoid that starts along x, by its end radius and its length. Shapes: (101, 2)."""

    def build(radius_m: float, length_m: float) -> Array:
        place = clothoid(np.linspace(0.0, length_m, 101), radius_m, length_m)
        return np.column_stack([place.real, place.imag])

    return build


@pytest.fixture(scope="session")
def rows() -> Callable[[str], list[dict[str, str]]]:
    """Rows of a table of check values."""

    def read(name: str) -> list[dict[str, str]]:
        text = (PUBLISHED / f"{name}.csv").read_text(encoding="utf-8").splitlines()
        return list(csv.DictReader(line for line in text if not line.startswith("#")))

    return read


@pytest.fixture(scope="session")
def check_value(rows: Callable[[str], list[dict[str, str]]]) -> Callable[[str, str, str], Value]:
    """One check value by table, id and quantity."""

    def find(table: str, identity: str, quantity: str) -> Value:
        (row,) = [row for row in rows(table) if (row["id"], row["quantity"]) == (identity, quantity)]
        return Value(float(row["expected"]), float(row["tolerance"]))

    return find


@pytest.fixture(scope="session")
def make_route() -> Callable[..., Route]:
    """A route that states nothing special; keywords change it."""

    def build(**changes: Any) -> Route:
        given = {
            "survey": "road.csv",
            "format": "csv",
            "crs": "EPSG:32727",
            "height_type": "orthometric",
            "sigma_xy_m": 0.02,
            "sigma_z_m": 0.02,
            "speed_kmh": 5.0,
            "grade_limit_ratio": 0.14,
            "side_clearance_m": 0.5,
        }
        return Route.model_validate(given | changes)

    return build


@pytest.fixture(scope="session")
def csv_text() -> Callable[..., str]:
    """A survey as CSV in EPSG:32727, from a plan in metres and elevations."""

    def build(plan_m: Array, elevation_m: Array, tail: str = "0.02,3.5,3.5,asphalt") -> str:
        head = "easting_m,northing_m,elevation_m,crossfall_ratio,width_left_m,width_right_m,surface"
        names = head.split(",")[: 3 + (len(tail.split(",")) if tail else 0)]
        lines = [
            ",".join([f"{x + ORIGIN[0]:.4f}", f"{y + ORIGIN[1]:.4f}", f"{z:.4f}", *([tail] if tail else [])])
            for (x, y), z in zip(plan_m, elevation_m, strict=True)
        ]
        return "\n".join([",".join(names), *lines]) + "\n"

    return build


@pytest.fixture(scope="session")
def gpx_text() -> Callable[..., str]:
    """A survey as GPX 1.1."""
    change = Transformer.from_crs(32727, 4326, always_xy=True)

    def build(plan_m: Array, elevation_m: Array) -> str:
        lon, lat = change.transform(plan_m[:, 0] + ORIGIN[0], plan_m[:, 1] + ORIGIN[1])
        points = [
            f'<trkpt lat="{b:.9f}" lon="{a:.9f}"><ele>{z:.4f}</ele></trkpt>'
            for a, b, z in zip(lon, lat, elevation_m, strict=True)
        ]
        head = '<gpx version="1.1" creator="test" xmlns="http://www.topografix.com/GPX/1/1">'
        return "\n".join(
            ['<?xml version="1.0"?>', head, "<trk><trkseg>", *points, "</trkseg></trk>", "</gpx>"]
        )

    return build
