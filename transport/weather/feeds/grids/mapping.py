"""The grid mapping of a file: where its x and y lie on the globe, and whether that is where the file says they lie."""

from typing import Any, NamedTuple

import numpy as np
import pyproj
import xarray as xr

from shared.arrays import Array
from shared.errors import Fault, InputError
from shared.tables import figure
from transport.weather.feeds.raw import Raw

__all__ = ["AXES", "CHECKED", "FALSE_ORIGIN", "Mapping", "earths", "mapping_of", "positions_deg"]

PROJECTED = ("projection_x_coordinate", "projection_y_coordinate")
ROTATED = ("grid_longitude", "grid_latitude")
AXES = (PROJECTED, ROTATED)
PLAIN = "latitude_longitude"
CHECKED = {
    "rotated_latitude_longitude": ROTATED,
    **dict.fromkeys(("lambert_conformal_conic", "polar_stereographic", "transverse_mercator", "mercator"), PROJECTED),
}
SHAPE = ("earth_radius", "semi_major_axis", "semi_minor_axis", "inverse_flattening")
PARALLELS = "standard_parallel"
FALSE_ORIGIN = ("false_easting", "false_northing")
PARAMETERS = (
    *("grid_north_pole_latitude", "grid_north_pole_longitude", "north_pole_grid_longitude"),
    *("latitude_of_projection_origin", "longitude_of_projection_origin", "straight_vertical_longitude_from_pole"),
    *("longitude_of_central_meridian", "longitude_of_prime_meridian", PARALLELS),
    *("scale_factor_at_central_meridian", "scale_factor_at_projection_origin"),
)
NUMBERS = (*PARAMETERS, *FALSE_ORIGIN, *SHAPE)


class Mapping(NamedTuple):
    """A grid mapping: the name of its variable, what it is called, and its numbers."""

    variable: str
    kind: str
    numbers: dict[str, float | list[float]]

    @property
    def tells_shape(self) -> bool:
        """Whether it says how large the earth is."""
        return any(name in self.numbers for name in SHAPE)


def mapping_of(raw: Raw) -> Mapping | None:
    """The one grid mapping that fields of the file name, other than plain latitude and longitude; None without one.

    Errors: InputError if there are two, if one has no name or a broken number, or if longitude does not count from
    Greenwich.
    Source: CF conventions, 5.6 and appendix F (read).
    """
    found = [_mapping(raw.file, name, raw.variables[name]) for name in sorted(_named(raw) & raw.variables.keys())]
    bent = [mapping for mapping in found if mapping.kind != PLAIN]
    if len(bent) > 1:
        names = ", ".join(mapping.variable for mapping in bent)
        raise InputError(Fault(raw.file, names, f"{len(bent)} grid mappings; keep one"))
    return bent[0] if bent else None


def _named(raw: Raw) -> set[str]:
    """`crs`, or `crs: x y other: lat lon`."""
    names: set[str] = set()
    for variable in raw.variables.values():
        words = str(variable.attrs.get("grid_mapping", "")).split()
        marked = {word[:-1] for word in words if word.endswith(":")}
        names |= marked or set(words)
    return names


def _mapping(where: str, name: str, variable: xr.Variable) -> Mapping:
    kind = variable.attrs.get("grid_mapping_name")
    if not isinstance(kind, str):
        raise InputError(Fault(where, name, "is named as grid_mapping, but has no grid_mapping_name"))
    numbers = {key: np.atleast_1d(variable.attrs[key]) for key in NUMBERS if key in variable.attrs}
    for key, value in numbers.items():
        if value.dtype.kind not in "iuf" or not np.isfinite(value).all() or (len(value) != 1 and key != PARALLELS):
            raise InputError(Fault(where, name, f"attribute {key} is {variable.attrs[key]!r}, allowed is a number"))
    if numbers.pop("longitude_of_prime_meridian", np.zeros(1))[0] != 0.0:
        raise InputError(
            Fault(where, name, "longitude_of_prime_meridian is not 0; longitude must count from Greenwich")
        )
    return Mapping(name, kind, {key: _plain(value) for key, value in numbers.items()})


def _plain(value: np.ndarray) -> float | list[float]:
    return float(value[0]) if len(value) == 1 else [float(part) for part in value]


def positions_deg(where: str, mapping: Mapping, x: Array, y: Array, earth: dict[str, float]) -> tuple[Array, Array]:
    """Longitude and latitude, each (row, column), of the crossings of x and y (metres, or degrees of a rotated grid).

    earth: its shape, for a mapping that does not state it; empty for WGS 84.
    Errors: InputError if the mapping cannot be understood or a crossing lies outside it.
    Source: CF conventions, appendix F (read), worked out by pyproj.
    """
    try:
        crs = pyproj.CRS.from_cf(_for_pyproj(mapping) | earth)
        to_globe = pyproj.Transformer.from_crs(crs, crs.source_crs or crs.geodetic_crs, always_xy=True)
        longitude_deg, latitude_deg = to_globe.transform(*np.meshgrid(x, y), errcheck=True)
    except (pyproj.exceptions.ProjError, KeyError, ValueError, TypeError) as problem:
        what = f"{mapping.kind} cannot be worked out ({type(problem).__name__}); correct its attributes"
        raise InputError(Fault(where, mapping.variable, what)) from None
    return np.asarray(longitude_deg), np.asarray(latitude_deg)


def _for_pyproj(mapping: Mapping) -> dict[str, Any]:
    """pyproj knows the older name of a polar meridian only, and takes the flattening 1/0 for an ellipsoid."""
    numbers: dict[str, Any] = dict(mapping.numbers)
    if mapping.kind == "polar_stereographic" and "longitude_of_projection_origin" in numbers:
        numbers.setdefault("straight_vertical_longitude_from_pole", numbers["longitude_of_projection_origin"])
    if numbers.get("inverse_flattening") == 0.0:
        del numbers["inverse_flattening"]
    return numbers | {"grid_mapping_name": mapping.kind}


def earths(mapping: Mapping) -> list[dict[str, float]]:
    """Shapes of the earth to try: the stated one, else the sphere of the weather models and WGS 84.

    Source: WMO GRIB2 code table 3.2 (read); that others are not met (practice).
    """
    return [{}] if mapping.tells_shape else [{"earth_radius": figure("weather_model_earth_radius_m")}, {}]
