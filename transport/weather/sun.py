"""Place of the sun in the sky. Low-precision method, good to about 0.01 degree from 1900 to 2100."""

import numpy as np

from shared.arrays import Array
from shared.tables import published
from transport.weather.fields import Instants

__all__ = ["julian_day", "solar_elevation_deg", "sun_vector"]


def julian_day(time: Instants) -> Array:
    """Days since noon of 1 January 4713 BC, from UTC.

    JD = 2440587.5 + seconds since 1970 / 86400.      Source: definition of the Julian date (memory).
    """
    return 2440587.5 + (time - np.datetime64(0, "s")) / np.timedelta64(1, "D")


def _term(name: str, centuries: Array) -> Array:
    row = published("sun").row(term=name)
    coefficients = np.array([float(row[power]) for power in ("c3", "c2", "c1", "c0")])
    return np.asarray(np.polyval(coefficients, centuries), dtype=np.float64)


def _ecliptic_longitude_deg(centuries: Array) -> Array:
    anomaly_rad = np.deg2rad(_term("mean anomaly", centuries))
    centre_deg = np.zeros_like(anomaly_rad)
    for order, name in enumerate(("first", "second", "third"), start=1):
        centre_deg = centre_deg + _term(f"centre {name}", centuries) * np.sin(order * anomaly_rad)
    nutation_deg = _term("nutation in longitude", centuries) * np.sin(np.deg2rad(_term("lunar node", centuries)))
    return _term("mean longitude", centuries) + centre_deg + _term("aberration", centuries) + nutation_deg


def _equatorial_rad(centuries: Array) -> tuple[Array, Array]:
    node_rad = np.deg2rad(_term("lunar node", centuries))
    obliquity_deg = _term("mean obliquity", centuries) + _term("nutation in obliquity", centuries) * np.cos(node_rad)
    longitude_rad, obliquity_rad = np.deg2rad(_ecliptic_longitude_deg(centuries)), np.deg2rad(obliquity_deg)
    ascension_rad = np.arctan2(np.cos(obliquity_rad) * np.sin(longitude_rad), np.cos(longitude_rad))
    return ascension_rad, np.arcsin(np.sin(obliquity_rad) * np.sin(longitude_rad))


def sun_vector(time: Instants, longitude_deg: Array, latitude_deg: Array) -> tuple[Array, Array, Array]:
    """Unit vector to the sun: east, north, up. No refraction.

    Hour angle = sidereal time + longitude - right ascension; sidereal time = L0 + 180 deg + 360 deg UT.
    Source: NOAA solar calculator after Meeus (read).
    """
    day = julian_day(time)
    centuries = (day - 2451545.0) / 36525.0
    ascension_rad, declination_rad = _equatorial_rad(centuries)
    sidereal_deg = _term("mean longitude", centuries) + 360.0 * ((day - 0.5) % 1.0) + 180.0
    hour_rad, latitude_rad = np.deg2rad(sidereal_deg + longitude_deg) - ascension_rad, np.deg2rad(latitude_deg)
    across, along = np.cos(declination_rad) * np.cos(hour_rad), np.sin(declination_rad)
    return (
        -np.cos(declination_rad) * np.sin(hour_rad),
        along * np.cos(latitude_rad) - across * np.sin(latitude_rad),
        along * np.sin(latitude_rad) + across * np.cos(latitude_rad),
    )


def solar_elevation_deg(time: Instants, longitude_deg: Array, latitude_deg: Array) -> Array:
    """Height of the sun's centre above the horizon, without refraction; times are UTC.

    h = asin(up).      Source: NOAA solar calculator after Meeus (read).
    """
    return np.rad2deg(np.arcsin(np.clip(sun_vector(time, longitude_deg, latitude_deg)[2], -1.0, 1.0)))
