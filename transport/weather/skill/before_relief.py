"""The gust that the tool takes at a place before relief: the one quantity that is learned from and then calibrated."""

from collections.abc import Mapping
from typing import Any

import numpy as np

from transport.weather.exposure import exposure
from transport.weather.fields import Values
from transport.weather.inputs import Site
from transport.weather.load_wind import LoadWind, load_wind
from transport.weather.neighbourhood import Neighbourhood
from transport.weather.space import interpolated
from transport.weather.vectors import from_direction_deg

__all__ = ["by_member", "ensemble_direction_deg", "wind_before_relief"]


def wind_before_relief(
    near: Neighbourhood, feed: Mapping[Any, Any], site: Site, height_m: float, stations: int
) -> LoadWind:
    """Gust and mean at a height over flat ground, (station, member x step), by the same equations as at the load.

    gust = max(field, mean x cr G [, mean x cr + added without a maximum in the feed]), relief 1, nothing moves.
    Source: load_wind and exposure of this package.
    """
    still = np.zeros(stations)
    step_s = float(np.max(near.end - near.start) / np.timedelta64(1, "s"))
    flat = site.model_copy(update={"relief": ()})
    exposed = exposure(flat, still, height_m, 0.0, step_s)
    kind, resolves = str(feed["gust_kind"]), bool(feed["resolves_relief"])
    return load_wind(near, exposed, kind, resolves, site.convective_gust_mps, (still, still), 0.0)


def by_member(values: Values, near: Neighbourhood) -> Values:
    """From (station, member x step) to (station, member, step).

    Source: order of the arrays of this package.
    """
    members, steps = near.shape
    return values.reshape(-1, members, steps)


def ensemble_direction_deg(near: Neighbourhood, calm_mps: float) -> Values:
    """Where the mean wind vector of all members comes from, (station, step); NaN below the calm or if unknown.

    D of the mean of u and v over members and both ends of the step.      Source: house rule on vectors (practice).
    """
    east, north = (
        interpolated(near.matrix, ends.mean(axis=0)).reshape(-1, *near.shape).mean(axis=1) for ends in near.ends
    )
    direction_deg = from_direction_deg(east, north)
    direction_deg[~(np.hypot(east, north) >= calm_mps)] = np.nan
    direction_deg[near.outside] = np.nan
    return direction_deg
