"""An instrument beside the road against the forecast: does the forecast see what blows now?

An observation counts only against go. An instrument that stands low, in shelter or in a valley sees less wind than the
road, so that little wind there says nothing in favour of a forecast.
"""

import json
from collections.abc import Iterator
from typing import Any

import numpy as np
import xarray as xr

from shared.arrays import Array
from shared.datasets import dataset
from shared.tables import figure
from transport.weather.exposure import Exposure, exposure
from transport.weather.feeds.inputs import Feed
from transport.weather.fields import Values
from transport.weather.inputs import Site, Weather
from transport.weather.instrument_gates import (
    Compared,
    averages_mps,
    believable,
    clock,
    differ,
    instants,
    missed,
    mute,
    places,
    seen_ratio,
    silence,
)
from transport.weather.load_wind import load_wind
from transport.weather.neighbourhood import Neighbourhood, neighbourhood
from transport.weather.placing import placed
from transport.weather.plausibility import Refusal
from transport.weather.quality import Asked
from transport.weather.skill.at_load import Learned, Scene, lowered_mps
from transport.weather.steps import overlap, worst

__all__ = ["observed"]


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
    load_height_m: float,
    learned: Learned | None = None,
) -> xr.Dataset:
    """What an instrument saw in the last hours beside the forecast at its place, and why the forecast is not believed.

    observation, forecast: normal form; longitude and latitude: of the road. The gust of the forecast is its own where
    it gives the maximum of each step, else the estimate from its mean; no relief is counted at the instrument. Where
    `learned` lowers the members, the lower gust is compared, since it is the one that decides.
    Shapes: (time), the observations of the last hours. Attributes `refusals` and `remarks` are JSON; `compared` is 1
    where the instrument served as a second source.
    Source: house rule, an observation counts only against go (practice).
    """
    place = [observation[name].to_numpy().reshape(-1)[:1].astype(np.float64) for name in ("longitude", "latitude")]
    near = neighbourhood(forecast, place[0], place[1], weather.maximum_step_h)
    gust, mean = _members(near, forecast, site)
    still, now = np.zeros(1), times.as_of
    scene = Scene(
        near,
        _bare(near, site),
        forecast,
        site,
        weather.maximum_step_h,
        place[0],
        place[1],
        still,
        still,
        load_height_m,
        now,
    )
    seen = _compared(observation, near, (lowered_mps(learned, gust, scene), mean), times)
    far = bool(placed(observation, longitude_deg, latitude_deg).outside.all())
    wrong = [*clock(observation, times), *places(far, near), *believable(seen)]
    silent = "" if wrong else silence(seen, times)
    refused = [*wrong, *missed(seen), *differ(seen, seen_ratio(feed, site))]
    refused += () if feed.may_be_silent else mute(silent)
    said = [*_low(feed), *_left_out(seen, silent if feed.may_be_silent else "")]
    attrs = _attributes(observation, feed, refused, said) | {"compared": int(not wrong and not silent)}
    return _dataset(seen, attrs)


def _members(near: Neighbourhood, forecast: xr.Dataset, site: Site) -> tuple[Values, Values]:
    """Gust and mean of each member and step at the instrument, 10 m above ground without relief, (member, step)."""
    kind = str(forecast.attrs["gust_kind"])
    here = np.zeros(1)
    wind = load_wind(near, _bare(near, site), kind, True, site.convective_gust_mps, (here, here), 0.0)
    gust_mps = wind.forecast_gust_mps if kind == "maximum" else wind.gust_mps
    return gust_mps.reshape(near.shape), wind.forecast_mean_mps.reshape(near.shape)


def _bare(near: Neighbourhood, site: Site) -> Exposure:
    step_s = float(np.max(near.end - near.start) / np.timedelta64(1, "s"))
    bare = site.model_copy(update={"relief": ()})
    return exposure(bare, np.zeros(1), figure("weather_wind_height_m"), 0.0, step_s)


def _compared(observation: xr.Dataset, near: Neighbourhood, members: tuple[Values, Values], times: Asked) -> Compared:
    """The observations of the last hours, and the highest of each member in the steps that each of them overlaps.

    Mean and gust of an observation hold for one interval, (gust_start, gust_end].
    """
    time = instants(observation, "time")
    first = times.as_of - np.timedelta64(round(3600 * figure("weather_observation_hours_h")), "s")
    recent = (time > first) & (time <= times.as_of)
    spans = [instants(observation, name)[recent] for name in ("gust_start", "gust_end")]
    during = overlap(near.start, near.end, spans[0], spans[1])
    return Compared(
        time[recent],
        _values(observation, "gust_mps")[recent],
        _values(observation, "mean_wind_mps")[recent],
        worst(members[0], during, np.maximum),
        worst(members[1], during, np.maximum),
    )


def _values(observation: xr.Dataset, name: str) -> Values:
    return np.asarray(observation[name].to_numpy().reshape(-1), dtype=np.float32)


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
        "observed_until": observation.attrs.get("observed_until", ""),
        **{name: observation.attrs.get(name, "[]") for name in ("read", "derived")},
        "refusals": json.dumps(refusals, ensure_ascii=False),
        "remarks": json.dumps(remarks, ensure_ascii=False),
    }


def _dataset(seen: Compared, attrs: dict[str, Any]) -> xr.Dataset:
    """Observed wind beside the members; of a forecast without members at that time NaN."""
    there_mps, here_mps = averages_mps(seen)
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
