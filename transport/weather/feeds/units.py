"""Unit texts that a feed may carry: a closed list, compared letter by letter. Anything else is refused.

A units library guesses: it reads `C` as coulomb and an empty text as a plain number. Factors are exact by definition:
knot and nautical mile, international mile, SI prefixes. Source: SI brochure, 9th edition (memory).
"""

from typing import NamedTuple

from shared.errors import Fault, InputError
from shared.units import ABSOLUTE_ZERO_C, mps_from_kmh, mps_from_knots

__all__ = ["UNITS", "Scale", "scale_of"]


class Scale(NamedTuple):
    """value inside = factor x value in the file + offset."""

    factor: float
    offset: float = 0.0


MPH_MPS = 1609.344 / 3600.0

_SPEED = {
    **dict.fromkeys(("m s-1", "m/s", "m s**-1", "m s^-1", "meter second-1", "metre second-1"), Scale(1.0)),
    **dict.fromkeys(("km/h", "km h-1", "km hour-1"), Scale(mps_from_kmh(1.0))),
    **dict.fromkeys(("knot", "knots", "kt", "kts"), Scale(mps_from_knots(1.0))),
    **dict.fromkeys(("mph", "mile/h", "mile hour-1"), Scale(MPH_MPS)),
}
_ANGLE = dict.fromkeys(("degree", "degrees", "deg"), Scale(1.0))
_TEMPERATURE = {
    **dict.fromkeys(("K", "kelvin"), Scale(1.0)),
    **dict.fromkeys(
        ("degC", "deg_C", "Celsius", "celsius", "degree_Celsius", "degrees_Celsius"), Scale(1.0, -ABSOLUTE_ZERO_C)
    ),
}
_RATIO = {"1": Scale(1.0), "%": Scale(0.01), "percent": Scale(0.01)}
_PRESSURE = {"Pa": Scale(1.0), **dict.fromkeys(("hPa", "mbar", "millibar"), Scale(100.0)), "kPa": Scale(1000.0)}
_LENGTH = {**dict.fromkeys(("m", "meter", "metre", "meters", "metres"), Scale(1.0)), "km": Scale(1000.0)}

UNITS: dict[str, dict[str, Scale]] = {
    "wind_speed": _SPEED,
    "eastward_wind": _SPEED,
    "northward_wind": _SPEED,
    "x_wind": _SPEED,
    "y_wind": _SPEED,
    "wind_speed_of_gust": _SPEED,
    "wind_from_direction": _ANGLE,
    "air_temperature": _TEMPERATURE,
    "dew_point_temperature": _TEMPERATURE,
    "relative_humidity": _RATIO,
    "surface_air_pressure": _PRESSURE,
    "precipitation_amount": dict.fromkeys(("kg m-2", "kg/m2", "kg m**-2", "kg m^-2"), Scale(1.0)),
    "precipitation_flux": dict.fromkeys(("kg m-2 s-1", "kg/m2/s", "kg m**-2 s**-1"), Scale(3600.0)),
    "lwe_thickness_of_precipitation_amount": {"m": Scale(1000.0), "mm": Scale(1.0)},
    "lwe_precipitation_rate": {
        **dict.fromkeys(("m s-1", "m/s"), Scale(3.6e6)),
        **dict.fromkeys(("mm h-1", "mm/h", "mm hour-1"), Scale(1.0)),
    },
    "visibility_in_air": _LENGTH,
    "surface_altitude": _LENGTH,
    "height": _LENGTH,
    "projection_x_coordinate": _LENGTH,
    "projection_y_coordinate": _LENGTH,
    "grid_longitude": _ANGLE,
    "grid_latitude": _ANGLE,
    "forecast_period": {
        **dict.fromkeys(("s", "second", "seconds"), Scale(1.0)),
        **dict.fromkeys(("min", "minute", "minutes"), Scale(60.0)),
        **dict.fromkeys(("h", "hour", "hours"), Scale(3600.0)),
        **dict.fromkeys(("d", "day", "days"), Scale(86400.0)),
    },
    "latitude": dict.fromkeys(("degrees_north", "degree_north", "degrees_N", "degree_N"), Scale(1.0)),
    "longitude": dict.fromkeys(("degrees_east", "degree_east", "degrees_E", "degree_E"), Scale(1.0)),
}


def scale_of(standard_name: str, text: object, where: str, variable: str) -> Scale:
    """Factor and offset of a unit text, or an error that lists what is allowed.

    Errors: InputError naming file, variable, the text found and the texts allowed.
    Source: CF standard name table, canonical units (read).
    """
    allowed = UNITS[standard_name]
    if not isinstance(text, str) or text not in allowed:
        found = "no units" if text is None else f"units '{text}'"
        raise InputError(
            Fault(where, variable, f"{found} for {standard_name}, allowed are {', '.join(allowed)}; correct the file")
        )
    return allowed[text]
