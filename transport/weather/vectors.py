"""Wind as vectors: components, direction, wind felt by a moving vehicle, differences of direction.

Directions are clockwise from true north and say where the wind comes FROM; a heading says where the vehicle goes TO.
"""

import numpy as np

from transport.weather.fields import Values

__all__ = [
    "components_mps",
    "from_direction_deg",
    "highest_apparent_mps",
    "widest_angle_deg",
]


def components_mps(speed_mps: Values, from_deg: Values) -> tuple[Values, Values]:
    """Eastward and northward component of a wind.

    u = -W sin D, v = -W cos D.
    Source: CF standard names eastward_wind, northward_wind, wind_from_direction (read).
    """
    angle_rad = np.deg2rad(from_deg)
    return -speed_mps * np.sin(angle_rad), -speed_mps * np.cos(angle_rad)


def from_direction_deg(eastward_mps: Values, northward_mps: Values) -> Values:
    """Direction a wind comes from, 0 to 360; both ends are north.

    D = atan2(-u, -v), one turn added below zero.      Source: definition; numpy takes the first argument as the sine.
    """
    angle_deg = np.rad2deg(np.arctan2(-eastward_mps, -northward_mps))
    return np.where(angle_deg < 0.0, angle_deg + 360.0, angle_deg)


def highest_apparent_mps(
    gust_mps: Values, from_deg: Values, vehicle_mps: Values, heading_deg: Values, spread_deg: float
) -> Values:
    """Highest gust relative to the vehicle when the direction may be off by the spread; never below the gust itself.

    a = sqrt(W^2 + V^2 + 2 W V cos y), y = max(|D - h| - spread, 0); unknown direction: a = W + V.
    Source: law of cosines; the vehicle may also stand (practice).
    """
    off_bow_deg = np.abs(from_deg - heading_deg)
    off_bow_deg = np.maximum(np.minimum(off_bow_deg, 360.0 - off_bow_deg) - spread_deg, 0.0)
    ahead = np.where(np.isnan(off_bow_deg), 1.0, np.cos(np.deg2rad(off_bow_deg)))
    moving_mps = np.sqrt(gust_mps**2 + vehicle_mps**2 + 2.0 * gust_mps * vehicle_mps * ahead)
    return np.maximum(gust_mps, moving_mps)


def widest_angle_deg(eastward_mps: Values, northward_mps: Values, axis: int = 0) -> Values:
    """Widest angle between any two of the winds along an axis; NaN if one of them is NaN or has no direction.

    angle = acos((w1 . w2) / (|w1| |w2|)).      Source: scalar product.
    """
    speed_mps = np.hypot(eastward_mps, northward_mps)
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        east = np.moveaxis(eastward_mps / speed_mps, axis, 0)
        north = np.moveaxis(northward_mps / speed_mps, axis, 0)
    least = np.full(east.shape[1:], 1.0, dtype=east.dtype)
    for first in range(len(east)):
        for other in range(first, len(east)):
            least = np.minimum(least, east[first] * east[other] + north[first] * north[other])
    return np.rad2deg(np.arccos(np.clip(least, -1.0, 1.0)))
