"""Gates between an instrument and the forecast at its place: clock, place, units, and whether the wind is missed."""

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
import xarray as xr

from shared.tables import figure
from transport.weather.agreement import close
from transport.weather.exposure import flat_ratio
from transport.weather.feeds.inputs import Feed
from transport.weather.fields import Instants, Values
from transport.weather.inputs import Site
from transport.weather.neighbourhood import Neighbourhood
from transport.weather.plausibility import Refusal, one_unit, physical
from transport.weather.quality import Asked

__all__ = [
    "Compared",
    "averages_mps",
    "believable",
    "clock",
    "differ",
    "instants",
    "missed",
    "mute",
    "places",
    "seen_ratio",
    "silence",
]


class Compared(NamedTuple):
    """What was observed in the last hours, (case), and what each member had there at the same time, (member, case)."""

    time: Instants
    gust_mps: Values
    mean_mps: Values
    member_gust_mps: Values
    member_mean_mps: Values

    @property
    def usable(self) -> np.ndarray:
        """The cases in which both know a mean wind."""
        return np.asarray(~np.isnan(self.mean_mps) & ~np.isnan(self.member_mean_mps).any(axis=0))


def instants(observation: xr.Dataset, name: str) -> Instants:
    """A coordinate of time as whole seconds."""
    return np.asarray(observation[name].to_numpy().astype("datetime64[s]"))


def clock(observation: xr.Dataset, times: Asked) -> Iterator[Refusal]:
    """Nothing can have been observed after the moment whose knowledge counts."""
    stated = np.datetime64(str(observation.attrs["observed_until"]).removesuffix("Z"), "s")
    last = max(stated, instants(observation, "time")[-1])
    if not last <= times.as_of:
        yield Refusal("future observation", f"was observed until {last} UTC, after now; check the clocks")


def places(far: bool, near: Neighbourhood) -> Iterator[Refusal]:
    """The instrument must lie inside the forecast, and its reach must touch the road."""
    if far:
        what = "the whole road lies farther away than valid_within_km, so it says nothing about it"
        yield Refusal("place of the instrument", what)
    if near.outside.any():
        what = "the instrument lies outside the grid of the forecast; fetch a wider forecast"
        yield Refusal("place of the instrument", what)


def believable(seen: Compared) -> Iterator[Refusal]:
    """What is observed must be weather, and its gust and mean of one unit."""
    yield from physical("mean_wind_mps", seen.mean_mps)
    yield from physical("gust_mps", seen.gust_mps)
    if seen.time.size:
        yield from one_unit(seen.mean_mps, seen.gust_mps)


def silence(seen: Compared, times: Asked) -> str:
    """Why the instrument does not tell what blows now; nothing where it does."""
    heard = seen.time[~np.isnan(seen.mean_mps)]
    if not heard.size:
        return f"told no mean wind in the {figure('weather_observation_hours_h'):g} h before now"
    age_h = float((times.as_of - heard[-1]) / np.timedelta64(1, "h"))
    if not age_h <= figure("weather_observation_old_h"):
        return f"last told the wind {age_h:.1f} h before now, allowed are {figure('weather_observation_old_h'):g} h"
    if not seen.usable.any():
        return f"told the wind until {heard[-1]} UTC, a time of which the forecast says nothing"
    return ""


def mute(silent: str) -> Iterator[Refusal]:
    """An instrument was given to be compared: if it cannot be, nothing goes, unless the move allows for it."""
    if silent:
        remedy = "mend it or fetch it again, or set may_be_silent = true to decide without it"
        yield Refusal("silent instrument", f"{silent}; {remedy}")


def missed(seen: Compared) -> Iterator[Refusal]:
    """An observed gust or mean that is above the highest known member then by more than the house allows."""
    pairs = {
        "gust": (seen.gust_mps, np.fmax.reduce(seen.member_gust_mps, axis=0)),
        "mean wind": (seen.mean_mps, np.fmax.reduce(seen.member_mean_mps, axis=0)),
    }
    ratio, more_mps = figure("weather_observation_over_ratio"), figure("weather_observation_over_mps")
    for name, (there_mps, high_mps) in pairs.items():
        known = ~np.isnan(there_mps) & ~np.isnan(high_mps)
        over_mps = np.where(known, there_mps - np.maximum(ratio * high_mps, high_mps + more_mps), -np.inf)
        if not (over_mps <= 0.0).all():
            case = int(np.argmax(over_mps))
            what = f"{name} {there_mps[case]:.1f} m/s observed at {seen.time[case]} UTC"
            high = f"the highest member of the forecast has {high_mps[case]:.1f} m/s there and then"
            yield Refusal("forecast and instrument", f"{what}, {high}: it misses what blows now")


def differ(seen: Compared, seen_ratio: float) -> Iterator[Refusal]:
    """The gate for a wrong unit: the means over all that both know must be close, from either side.

    What stands low may see as much less as its height explains.
    """
    there_mps, here_mps = averages_mps(seen)
    if seen.usable.any() and not (close(here_mps, there_mps) or close(here_mps, there_mps / seen_ratio)):
        what = f"mean wind {there_mps:.1f} m/s observed and {here_mps:.1f} m/s in the forecast at the same times"
        yield Refusal("forecast and instrument", f"{what}; is a unit wrong, or the instrument stuck?")


def seen_ratio(feed: Feed, site: Site) -> float:
    """Mean wind at the instrument over that at 10 m, over flat ground: 1 from 10 m on.

    Source: flat_ratio, the larger of logarithmic and power law.
    """
    height_m = feed.station.height_m if feed.station else figure("weather_wind_height_m")
    return min(1.0, flat_ratio(site.model_copy(update={"height_reduction_measured": True}), height_m))


def averages_mps(seen: Compared) -> tuple[float, float]:
    """Mean of what was observed and of the forecast, over the cases that both know; NaN if there is none."""
    if not seen.usable.any():
        return float("nan"), float("nan")
    return float(seen.mean_mps[seen.usable].mean()), float(seen.member_mean_mps[:, seen.usable].mean())
