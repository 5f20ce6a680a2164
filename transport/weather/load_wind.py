"""The gust at the load, for every station, member and step. Arrays run (station, member x step), float32."""

from typing import NamedTuple

import numpy as np

from shared.arrays import Array
from shared.tables import figure
from transport.weather.exposure import ANY, Exposure
from transport.weather.fields import Values
from transport.weather.gust import convective_gust_mps
from transport.weather.neighbourhood import Neighbourhood
from transport.weather.space import interpolated
from transport.weather.vectors import from_direction_deg, highest_apparent_mps, widest_angle_deg

__all__ = ["LoadWind", "load_wind", "station_direction_deg", "times_ratio"]


class LoadWind(NamedTuple):
    """Wind at the load, each (station, member x step)."""

    gust_mps: Values
    apparent_mps: Values
    from_deg: Values
    mean_mps: Values
    forecast_mean_mps: Values
    forecast_gust_mps: Values


def times_ratio(values: Values, table: Array, column: np.ndarray) -> Values:
    """Values times the ratio that the table holds for each direction; stations with one ratio take the short way.

    Source: exposure tables of this package.
    """
    ratio = table.astype(np.float32)
    result: Values = values * ratio[:, :1]
    for station in np.flatnonzero((ratio != ratio[:, :1]).any(axis=1)):
        np.multiply(values[station], ratio[station].take(column[station]), out=result[station])
    return result


def station_direction_deg(near: Neighbourhood, highest_mean_mps: Values) -> Values:
    """Direction of the wind at each station and step from vectors; NaN (any) if it is calm or the corners disagree.

    Mean vector of the four corners and both ends of the step; any two of the eight further apart than the house allows:
    any. Those that are closer lie within the spread, which is widened by as much.
    Source: house rule (practice).
    """
    east, north = near.ends
    direction_deg = from_direction_deg(
        interpolated(near.matrix, east.sum(axis=0)), interpolated(near.matrix, north.sum(axis=0))
    )
    cells, cell = np.unique(near.corners, axis=0, return_inverse=True)
    agree = _corners_agree(east, north, cells)[cell.ravel()]
    known = agree & (highest_mean_mps >= figure("weather_calm_mps"))
    direction_deg[~known] = np.nan
    return direction_deg


def _corners_agree(east: Values, north: Values, cells: np.ndarray) -> np.ndarray:
    count = len(cells)
    pairs = [np.moveaxis(part[..., cells], (3, 4), (1, 0)).reshape(8, count, -1) for part in (east, north)]
    return np.asarray(widest_angle_deg(pairs[0], pairs[1]) <= figure("weather_direction_differs_deg"))


def load_wind(
    near: Neighbourhood,
    exposed: Exposure,
    gust_kind: str,
    resolves_relief: bool,
    convective_mps: float,
    movement: tuple[Array, Array],
    spread_deg: float,
) -> LoadWind:
    """Gust at the load: the larger of the forecast gust and the gust from the mean, both sped up by relief.

    gust = max(field x co, mean x cr co G [, mean x cr co + added without a maximum in the feed]).
    Apparent: vector sum with the vehicle (speed, heading) in `movement`, worst within the spread of direction.
    Source: EN 1991-1-4:2005, 4.3 to 4.5 (read); the larger counts (practice).
    """
    mean, field = (interpolated(near.matrix, near.high[name]) for name in ("mean_wind_mps", "gust_mps"))
    for values in (mean, field):
        values[near.outside] = np.nan
    from_deg = station_direction_deg(near, mean)
    column = np.where(np.isnan(from_deg), np.float32(ANY), from_deg).astype(np.int16)
    mean_mps = times_ratio(mean, exposed.mean, column)
    gust_mps = times_ratio(mean, exposed.gust_from_mean, column)
    if gust_kind != "maximum":
        np.maximum(gust_mps, convective_gust_mps(mean_mps, convective_mps), out=gust_mps)
    if gust_kind != "none":
        seen = field if resolves_relief else times_ratio(field, exposed.relief, column)
        np.maximum(gust_mps, seen, out=gust_mps)
    vehicle_mps, heading_deg = (part.astype(np.float32)[:, None] for part in movement)
    apparent_mps = highest_apparent_mps(gust_mps, from_deg, vehicle_mps, heading_deg, spread_deg)
    return LoadWind(gust_mps, apparent_mps, from_deg, mean_mps, mean, field)
