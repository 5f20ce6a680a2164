"""The mean wind of a feed: its speed, and its components towards true east and north, from whatever the file gives."""

import numpy as np

from shared.tables import figure
from transport.weather.feeds.grids.mapping import mapping_of
from transport.weather.feeds.grids.turning import turn_deg, turned_mps
from transport.weather.feeds.reading import Reading
from transport.weather.fields import Values
from transport.weather.vectors import components_mps

__all__ = ["winds"]

POINT, HIGHEST = ("point",), ("point", "maximum")
TRUE, ALONG = ("eastward_wind", "northward_wind"), ("x_wind", "y_wind")
EASTWARD_ON = (None, "mercator")

Pair = tuple[Values, Values]


def winds(reading: Reading) -> dict[str, Values]:
    """Mean wind and its true components. Components along the grid are turned; the larger of several speeds counts.

    Errors: InputError if there is no wind, one component only, a grid whose axes have no direction, or two pairs of
    components that disagree.
    Source: CF standard names (read).
    """
    true, along = _pair(reading, *TRUE), _pair(reading, *ALONG)
    speed = reading.values("wind_speed", HIGHEST)
    pairs = [pair for pair in (true, along) if pair is not None]
    lengths = [np.hypot(*pair) for pair in pairs]
    if pairs:
        known = [*([] if true is None else [true]), *([] if along is None else [_turned(reading, along)])]
        east, north = known[0] if len(known) == 1 else _agreed(reading, *known)
        reading.derive(f"mean wind: the length of its components{'' if speed is None else ', or wind_speed if larger'}")
    elif speed is not None:
        east, north = _from_direction(reading, speed)
    else:
        needed = "eastward_wind and northward_wind, or wind_speed with wind_from_direction, by standard_name"
        raise reading.refuse("", f"holds no wind: needed are {needed}; the file has {', '.join(reading.raw.names)}")
    speeds = [*lengths, *([] if speed is None else [speed])]
    mean = speeds[0] if len(speeds) == 1 else np.maximum.reduce(speeds)
    return {"mean_wind_mps": mean, "eastward_wind_mps": east, "northward_wind_mps": north}


def _pair(reading: Reading, first: str, second: str) -> Pair | None:
    one, other = reading.values(first, POINT), reading.values(second, POINT)
    if (one is None) != (other is None):
        raise reading.refuse("", f"holds only one of {first} and {second}; both are needed")
    return None if one is None or other is None else (one, other)


def _turned(reading: Reading, along: Pair) -> Pair:
    if reading.grid.regular:
        mapping = mapping_of(reading.raw)
        if (kind := None if mapping is None else mapping.kind) not in EASTWARD_ON:
            what = f"x_wind runs along the x of {kind}, but the nodes lie on a regular latitude and longitude grid"
            raise reading.refuse("x_wind", f"{what}; turn it to true east, or correct the mapping")
        reading.derive("x_wind and y_wind are eastward and northward: the grid is one of latitude and longitude")
        return along
    angle_deg = turn_deg(reading.grid, reading.raw.file)
    span = f"{np.min(angle_deg):+.1f} to {np.max(angle_deg):+.1f} deg"
    reading.derive(f"winds: turned from the axes of the grid to true north, by {span} over the whole grid")
    return turned_mps(*along, angle_deg)


def _agreed(reading: Reading, true: Pair, turned: Pair) -> Pair:
    """Where one of the two is missing, the direction is."""
    off_mps = np.hypot(true[0] - turned[0], true[1] - turned[1])
    allowed_mps = figure("weather_components_differ_mps")
    if (off_mps > allowed_mps).any():
        what = (
            f"eastward_wind and northward_wind differ from x_wind and y_wind by up to {np.nanmax(off_mps):.2g} m/s, "
            f"allowed is {allowed_mps:g}; which of them is along the grid? keep the right one"
        )
        raise reading.refuse("eastward_wind", what)
    known = np.where(np.isnan(off_mps), np.float32(np.nan), np.float32(0.0))
    return true[0] + known, true[1] + known


def _from_direction(reading: Reading, speed: Values) -> Pair:
    direction = reading.values("wind_from_direction", POINT)
    if direction is None:
        reading.remark("no wind direction, so the wind may come from anywhere")
        direction = np.broadcast_to(np.float32(np.nan), reading.shape)
    else:
        reading.derive("components of the wind: from wind_speed and wind_from_direction, from true north")
    return components_mps(speed, direction)
