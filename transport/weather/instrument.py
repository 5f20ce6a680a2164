"""An instrument beside the road against the forecast: does the forecast see what blows now?

An observation counts only against go. An instrument that stands low, in shelter or in a valley sees less wind than the
road, so that little wind there says nothing in favour of a forecast.
"""

import json
from collections.abc import Iterator
from typing import Any, NamedTuple

import numpy as np
import xarray as xr

from shared.arrays import Array
from shared.datasets import dataset
from shared.tables import figure
from transport.weather.agreement import close
from transport.weather.exposure import exposure
from transport.weather.feeds.inputs import Feed
from transport.weather.fields import Instants, Values
from transport.weather.inputs import Site, Weather
from transport.weather.load_wind import load_wind
from transport.weather.neighbourhood import Neighbourhood, neighbourhood
from transport.weather.placing import placed
from transport.weather.plausibility import Refusal, one_unit, physical
from transport.weather.quality import Asked
from transport.weather.steps import overlap, worst

__all__ = ["observed"]


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


@np.errstate(over="ignore", invalid="ignore", divide="ignore")
def observed(
    observation: xr.Dataset,
    forecast: xr.Dataset,
    feed: Feed,
    site: Site,
    weather: Weather,
    times: Asked,
    *,
    longitude_deg: Array,
    latitude_deg: Array,
) -> xr.Dataset:
    """What an instrument saw in the last hours beside the forecast at its place, and why the forecast is not believed.

    observation, forecast: normal form; longitude and latitude: of the road. The gust of the forecast is its own where
    it gives the maximum of each step, else the estimate from its mean; no relief is counted at the instrument.
    Shapes: (time), the observations of the last hours. Attributes `refusals` and `remarks` are JSON; `compared` is 1
    where the instrument served as a second source.
    Source: house rule, an observation counts only against go (practice).
    """
    place = [observation[name].to_numpy().reshape(-1)[:1].astype(np.float64) for name in ("longitude", "latitude")]
    near = neighbourhood(forecast, place[0], place[1], weather.maximum_step_h)
    seen = _compared(observation, near, _members(near, forecast, site), times)
    far = bool(placed(observation, longitude_deg, latitude_deg).outside.all())
    wrong = [*_clock(observation, times), *_places(far, near), *_believable(seen)]
    silent = "" if wrong else _silent(seen, times)
    refused = [*wrong, *_missed(seen), *_differ(seen), *(() if feed.may_be_silent else _mute(silent))]
    said = [*_low(feed), *_left_out(seen, silent if feed.may_be_silent else "")]
    attrs = _attributes(observation, feed, refused, said) | {"compared": int(not wrong and not silent)}
    return _dataset(seen, attrs)


def _members(near: Neighbourhood, forecast: xr.Dataset, site: Site) -> tuple[Values, Values]:
    """Gust and mean of each member and step at the instrument, 10 m above ground without relief, (member, step)."""
    kind = str(forecast.attrs["gust_kind"])
    bare, here = site.model_copy(update={"relief": ()}), np.zeros(1)
    step_s = float(np.max(near.end - near.start) / np.timedelta64(1, "s"))
    exposed = exposure(bare, here, figure("weather_wind_height_m"), 0.0, step_s)
    wind = load_wind(near, exposed, kind, True, site.convective_gust_mps, (here, here), 0.0)
    gust_mps = wind.forecast_gust_mps if kind == "maximum" else wind.gust_mps
    return gust_mps.reshape(near.shape), wind.forecast_mean_mps.reshape(near.shape)


def _compared(observation: xr.Dataset, near: Neighbourhood, members: tuple[Values, Values], times: Asked) -> Compared:
    """The observations of the last hours, and the highest of each member in the steps that each of them overlaps."""
    time = _instants(observation, "time")
    recent = (time > times.as_of - np.timedelta64(round(3600 * figure("weather_observation_hours_h")), "s")) & (
        time <= times.as_of
    )
    spell = np.timedelta64(round(figure("weather_mean_duration_s")), "s")
    gusts = [_instants(observation, name)[recent] for name in ("gust_start", "gust_end")]
    return Compared(
        time[recent],
        _values(observation, "gust_mps")[recent],
        _values(observation, "mean_wind_mps")[recent],
        worst(members[0], overlap(near.start, near.end, gusts[0], gusts[1]), np.maximum),
        worst(members[1], overlap(near.start, near.end, time[recent] - spell, time[recent]), np.maximum),
    )


def _instants(observation: xr.Dataset, name: str) -> Instants:
    return np.asarray(observation[name].to_numpy().astype("datetime64[s]"))


def _values(observation: xr.Dataset, name: str) -> Values:
    return np.asarray(observation[name].to_numpy().reshape(-1), dtype=np.float32)


def _clock(observation: xr.Dataset, times: Asked) -> Iterator[Refusal]:
    stated = np.datetime64(str(observation.attrs["observed_until"]).removesuffix("Z"), "s")
    last = max(stated, _instants(observation, "time")[-1])
    if not last <= times.as_of:
        yield Refusal("future observation", f"was observed until {last} UTC, after now; check the clocks")


def _places(far: bool, near: Neighbourhood) -> Iterator[Refusal]:
    if far:
        what = "the whole road lies farther away than valid_within_km, so it says nothing about it"
        yield Refusal("place of the instrument", what)
    if near.outside.any():
        what = "the instrument lies outside the grid of the forecast; fetch a wider forecast"
        yield Refusal("place of the instrument", what)


def _believable(seen: Compared) -> Iterator[Refusal]:
    yield from physical("mean_wind_mps", seen.mean_mps)
    yield from physical("gust_mps", seen.gust_mps)
    if seen.time.size:
        yield from one_unit(seen.mean_mps, seen.gust_mps)


def _silent(seen: Compared, times: Asked) -> str:
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


def _mute(silent: str) -> Iterator[Refusal]:
    if silent:
        remedy = "mend it or fetch it again, or set may_be_silent = true to decide without it"
        yield Refusal("silent instrument", f"{silent}; {remedy}")


def _missed(seen: Compared) -> Iterator[Refusal]:
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


def _differ(seen: Compared) -> Iterator[Refusal]:
    """The gate for a wrong unit: the means over all that both know must be close, from either side."""
    there_mps, here_mps = _averages_mps(seen)
    if seen.usable.any() and not close(here_mps, there_mps):
        what = f"mean wind {there_mps:.1f} m/s observed and {here_mps:.1f} m/s in the forecast at the same times"
        yield Refusal("forecast and instrument", f"{what}; is a unit wrong, or the instrument stuck?")


def _averages_mps(seen: Compared) -> tuple[float, float]:
    """Mean of what was observed and of the forecast, over the cases that both know; NaN if there is none."""
    if not seen.usable.any():
        return float("nan"), float("nan")
    return float(seen.mean_mps[seen.usable].mean()), float(seen.member_mean_mps[:, seen.usable].mean())


def _low(feed: Feed) -> Iterator[str]:
    least_m = figure("weather_wind_height_m")
    if feed.station is not None and not feed.station.height_m >= least_m:
        height = f"stands {feed.station.height_m:g} m above ground, lower than the {least_m:g} m of a forecast"
        yield f"{height}: it sees less wind, and nothing it says counts in favour"


def _left_out(seen: Compared, silent: str) -> Iterator[str]:
    if silent:
        yield f"{silent}, so it was not compared"
    elif np.isnan(seen.gust_mps + np.fmax.reduce(seen.member_gust_mps, axis=0)).all():
        yield "no gust was compared, the mean wind alone"


def _attributes(observation: xr.Dataset, feed: Feed, refused: list[Refusal], said: list[str]) -> dict[str, Any]:
    """Attributes with the file before each sentence; the remarks of the reader, which name it already, come first."""
    file = str(observation.attrs["file"])
    remarks = [*json.loads(observation.attrs["remarks"]), *(f"{file}: {text}" for text in said)]
    refusals = [Refusal(one.gate, f"{file}: {one.message}")._asdict() for one in refused]
    return {
        "file": file,
        "role": observation.attrs["role"],
        "source_kind": observation.attrs.get("source_kind", ""),
        "station": feed.station.name if feed.station else "",
        "refusals": json.dumps(refusals, ensure_ascii=False),
        "remarks": json.dumps(remarks, ensure_ascii=False),
    }


def _dataset(seen: Compared, attrs: dict[str, Any]) -> xr.Dataset:
    """Observed wind beside the members; of a forecast without members at that time NaN."""
    there_mps, here_mps = _averages_mps(seen)
    gust = seen.member_gust_mps
    values = {
        "observed_gust_mps": seen.gust_mps,
        "observed_mean_mps": seen.mean_mps,
        "forecast_low_mps": gust.min(axis=0),
        "forecast_median_mps": np.median(gust, axis=0),
        "forecast_high_mps": gust.max(axis=0),
    }
    known = {"observed_average_mps": there_mps, "forecast_average_mps": here_mps}
    facts = attrs | {name: value for name, value in known.items() if not np.isnan(value)}
    return dataset(
        {name: ("time", value) for name, value in values.items()}, {"time": seen.time.astype("datetime64[ns]")}, facts
    )
