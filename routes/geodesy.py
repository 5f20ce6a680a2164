"""From coordinates of the survey to a plane in which lengths are ground lengths, and to true north.

The plane is a transverse Mercator projection through the middle of the survey whose scale there is that of
the ground at the mean elevation, k = 1 + h / R. Heights and datums are never transformed: only differences
along the road are needed.
"""

import numpy as np
from pyproj import CRS, Proj, Transformer
from pyproj.exceptions import CRSError

from shared.arrays import Array
from shared.errors import Fault, InputError
from shared.ranges import require

__all__ = [
    "earth_radius_m",
    "from_plane",
    "horizontal_crs",
    "in_crs",
    "in_plane",
    "on_earth",
    "plane",
]

REACH_M = 30_000.0


def horizontal_crs(code: str) -> CRS:
    """The coordinate system of the survey; refused unless horizontal, in metres or degrees, from Greenwich.

    A system with heights in it would call for a transformation of heights, which returns wrong numbers
    without an error where the geoid grid is not installed. Source: PROJ documentation, network and grids
    (memory).
    """
    try:
        crs = CRS.from_user_input(code)
    except CRSError:
        raise _refused(
            f"is {code}, not a known coordinate system; give the EPSG code of the survey"
        ) from None
    if not (crs.is_projected or crs.is_geographic or crs.is_vertical):
        raise _refused(f"is {code} ({crs.name}), neither a map grid nor longitude and latitude")
    if crs.is_vertical or len(crs.axis_info) != 2:
        raise _refused(
            f"is {code} ({crs.name}), which holds heights; give the horizontal system and height_type"
        )
    units = {axis.unit_name for axis in crs.axis_info}
    if units != {"metre" if crs.is_projected else "degree"}:
        raise _refused(
            f"is {code} ({crs.name}), whose unit is the {sorted(units)[0]}; use a system in metres"
        )
    if crs.prime_meridian is None or crs.prime_meridian.longitude != 0.0:
        raise _refused(f"is {code} ({crs.name}), which does not count from Greenwich; use one that does")
    return crs


def on_earth(crs: CRS, first_axis: Array, second_axis: Array) -> tuple[Array, Array]:
    """Longitude and latitude in degrees, on the datum of the system itself; inf where there is no place."""
    change = Transformer.from_crs(crs, crs.geodetic_crs, always_xy=True)
    longitude_deg, latitude_deg = change.transform(first_axis, second_axis)
    return np.asarray(longitude_deg, dtype=float), np.asarray(latitude_deg, dtype=float)


def in_crs(crs: CRS, longitude_deg: Array, latitude_deg: Array) -> tuple[Array, Array]:
    """The way back: coordinates in the coordinate system of the survey."""
    change = Transformer.from_crs(crs.geodetic_crs, crs, always_xy=True)
    first, second = change.transform(longitude_deg, latitude_deg)
    return np.asarray(first, dtype=float), np.asarray(second, dtype=float)


def earth_radius_m(crs: CRS, latitude_deg: float) -> float:
    """Mean radius of curvature of the ellipsoid.

    R = sqrt(M N) = a sqrt(1 - e^2) / (1 - e^2 sin^2(latitude)). Source: geometry of the ellipsoid.
    """
    a_m, b_m = _axes_m(crs)
    e2 = 1.0 - (b_m / a_m) ** 2
    return float(b_m / (1.0 - e2 * np.sin(np.radians(latitude_deg)) ** 2))


def plane(crs: CRS, longitude_deg: float, latitude_deg: float, elevation_m: float) -> Proj:
    """Transverse Mercator through a point, scaled to the ground there: k = 1 + h / R.

    Valid: within 30 km of the point and 500 m of the elevation, lengths are right to 1 in 10 000.
    Source: scale of the projection, 1 + x^2 / (2 R^2); geometry.
    """
    a_m, b_m = _axes_m(crs)
    scale = 1.0 + elevation_m / earth_radius_m(crs, latitude_deg)
    return Proj(proj="tmerc", lat_0=latitude_deg, lon_0=longitude_deg, k_0=scale, a=a_m, b=b_m, units="m")


def in_plane(plane: Proj, longitude_deg: Array, latitude_deg: Array) -> tuple[Array, Array]:
    """Metres east and north of the middle of the survey. Valid: up to 30 km from it."""
    east_m, north_m = (np.asarray(part, dtype=float) for part in plane(longitude_deg, latitude_deg))
    away_m = np.hypot(east_m, north_m)
    require(
        away_m, 0.0, REACH_M, name="distance from the middle of the survey in m", what="range of the plane"
    )
    return east_m, north_m


def from_plane(plane: Proj, east_m: Array, north_m: Array) -> tuple[Array, Array, Array]:
    """Longitude, latitude, and by how much the true heading exceeds the one measured in the plane, deg."""
    longitude_deg, latitude_deg = (
        np.asarray(part, dtype=float) for part in plane(east_m, north_m, inverse=True)
    )
    turn_deg = plane.get_factors(longitude_deg, latitude_deg).meridian_convergence
    return longitude_deg, latitude_deg, np.asarray(turn_deg, dtype=float)


def _axes_m(crs: CRS) -> tuple[float, float]:
    ellipsoid = crs.ellipsoid
    if ellipsoid is None:
        raise _refused(f"is {crs.name}, which has no ellipsoid")
    return float(ellipsoid.semi_major_metre), float(ellipsoid.semi_minor_metre)


def _refused(message: str) -> InputError:
    return InputError(Fault("", "route.crs", message))
