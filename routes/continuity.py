"""Is it one line, walked once, in order? Gaps, jumps, repeated points, spikes, mixed heights are refused."""

from collections.abc import Iterator

import numpy as np

from routes.points import Points, refuse
from shared.arrays import Array
from shared.errors import Fault, InputError

__all__ = ["check_line", "check_place"]

FEWEST_POINTS_COUNT = 5
SAME_POINT_M = 0.001
GAP_LIMIT_M = 100.0
JUMP_LIMIT_M = 1000.0
STEEPEST_STEP_RATIO = 0.5  # a step in elevation beyond this share of the distance is no road
SHARPEST_TURN_DEG = 120.0


def check_place(
    points: Points, longitude_deg: Array, latitude_deg: Array, area: tuple[float, float, float, float]
) -> None:
    """Refuse points outside the area of use (west, south, east, north) of the coordinate system."""
    west, south, east, north = area
    inside_longitude = (longitude_deg >= west) & (longitude_deg <= east)
    if west > east:  # the area crosses the antimeridian
        inside_longitude = (longitude_deg >= west) | (longitude_deg <= east)
    outside = ~(
        inside_longitude & np.isfinite(longitude_deg) & (latitude_deg >= south) & (latitude_deg <= north)
    )
    message = (
        f"outside the area of the coordinate system, {west:g} to {east:g} degrees east and "
        f"{south:g} to {north:g} degrees north; are easting and northing swapped, or is the crs another one?"
    )
    if outside.all():
        raise InputError(
            Fault(f"{points.file}:{points.line[0]}", "", f"this and every other point lies {message}")
        )
    refuse([Fault(f"{points.file}:{points.line[i]}", "", f"lies {message}") for i in np.flatnonzero(outside)])


def check_line(points: Points, distance_m: Array, turn_deg: Array, sigma_z_m: float) -> None:
    """Refuse a line that is too short, broken or out of order. Shapes: distance (point-1), turn (point-2)."""
    if len(points.line) < FEWEST_POINTS_COUNT:
        raise InputError(
            f"{points.file}: has {len(points.line)} points, at least {FEWEST_POINTS_COUNT} are needed"
        )
    faults = [*_steps(points, distance_m), *_climbs(points, distance_m, sigma_z_m)]
    refuse(faults or list(_turns(points, turn_deg)))


def _steps(points: Points, distance_m: Array) -> Iterator[Fault]:
    for index in np.flatnonzero(~((distance_m > SAME_POINT_M) & (distance_m <= GAP_LIMIT_M))):
        step_m = distance_m[index]
        if step_m <= SAME_POINT_M:
            message = "is the same place as the point before; delete one"
        elif step_m <= JUMP_LIMIT_M:
            message = (
                f"lies {step_m:.1f} m from the point before, allowed up to {GAP_LIMIT_M:g} m; survey the gap"
            )
        else:
            message = (
                f"lies {step_m:.0f} m from the point before: a wrong point, or its two coordinates swapped"
            )
        yield Fault(f"{points.file}:{points.line[index + 1]}", "", message)


def _climbs(points: Points, distance_m: Array, sigma_z_m: float) -> Iterator[Fault]:
    climb_m = np.diff(points.elevation_m)
    allowed_m = STEEPEST_STEP_RATIO * distance_m + 6.0 * sigma_z_m
    for index in np.flatnonzero(~(np.abs(climb_m) <= allowed_m)):
        message = (
            f"rises {climb_m[index]:.2f} m over {distance_m[index]:.2f} m, allowed {allowed_m[index]:.2f} m; "
            "a wrong point, or orthometric and ellipsoidal heights mixed"
        )
        yield Fault(f"{points.file}:{points.line[index + 1]}", "elevation_m", message)


def _turns(points: Points, turn_deg: Array) -> Iterator[Fault]:
    for index in np.flatnonzero(~(turn_deg <= SHARPEST_TURN_DEG)):
        message = (
            f"the line turns by {turn_deg[index]:.0f} degrees at this point, allowed up to "
            f"{SHARPEST_TURN_DEG:g}; points out of order, or a wrong point"
        )
        yield Fault(f"{points.file}:{points.line[index + 1]}", "", message)
