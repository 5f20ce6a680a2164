"""From a feed to the weather that the move meets: gust at the load for each station, time and member, and the rest."""

import json
from collections.abc import Iterable, Iterator
from datetime import datetime
from typing import Any, NamedTuple

import numpy as np
import xarray as xr

from shared.arrays import Array
from shared.calculation import attach
from shared.datasets import dataset
from shared.errors import InputError
from shared.tables import figure
from shared.units import kelvin_from_celsius
from transport.weather.beaufort import beaufort_number
from transport.weather.conditions import Mirror, air_temperature_K, highest_density_kg_per_m3, margin_K, over_road
from transport.weather.dust import lifting_wind_mps
from transport.weather.exposure import Exposure, exposure
from transport.weather.fields import Instants, Values
from transport.weather.inputs import Site, Weather
from transport.weather.load_wind import LoadWind, load_wind
from transport.weather.neighbourhood import Neighbourhood, neighbourhood
from transport.weather.plausibility import Refusal
from transport.weather.quality import Asked, asked, ground_doubts, judge, utc
from transport.weather.sheet import lines
from transport.weather.skill.at_load import Learned, Scene, with_learned
from transport.weather.thunder import thunder_distance_m

__all__ = ["assess"]

CARRIED = {
    "precipitation_mm_per_h": ("precipitation_mm_per_h",),
    "visibility_m": ("visibility_m",),
    "air_temperature_K": ("air_temperature_K",),
    "dew_margin_K": ("dew_point_K", "air_temperature_K"),
}


class Road(NamedTuple):
    """What of the road the weather needs, one value a station."""

    station_m: Array
    longitude_deg: Array
    latitude_deg: Array
    elevation_m: Array
    heading_deg: Array
    speed_mps: Array


@np.errstate(over="ignore", invalid="ignore", divide="ignore")
def assess(
    feed: xr.Dataset,
    site: Site,
    weather: Weather,
    *,
    station_m: Array,
    longitude_deg: Array,
    latitude_deg: Array,
    elevation_m: Array,
    heading_deg: Array,
    speed_mps: Array,
    load_height_m: float,
    as_of: datetime,
    needed_from: datetime,
    needed_until: datetime,
    mirror_temperature_c: float | None = None,
    mirror_temperature_at: datetime | None = None,
    learned: Learned | None = None,
) -> xr.Dataset:
    """Weather met by the move by one forecast or second opinion, and every reason not to believe it.

    Dimensions (realization, time, station) and (realization, time); `time` is the END of each step, `time_start` its
    beginning; NaN where unknown, in wind_from_deg: any direction. Attributes `refusals` and `remarks` are JSON, and so
    is `lacks`: the variables that the feed does not carry at all, as a second opinion may; one that is there and holds
    nothing is not known. `learned` calibrates the gust at the load, or adds forecast_error_mps (time, station); the
    attribute `calibration` (JSON) tells what it did.
    Errors: InputError for a feed of the wrong role, times without a zone.
    Source: the equations of this package.
    """
    road = _road(station_m, longitude_deg, latitude_deg, elevation_m, heading_deg, speed_mps)
    times = asked(as_of, needed_from, needed_until)
    _check_role(feed)
    near = neighbourhood(feed, road.longitude_deg, road.latitude_deg, weather.maximum_step_h)
    step_s = float(np.max(near.end - near.start) / np.timedelta64(1, "s"))
    spread_deg = weather.direction_spread_deg + figure("weather_direction_differs_deg")
    exposed = exposure(site, road.station_m, load_height_m, spread_deg, step_s)
    raw = _wind(near, exposed, feed, site, road, spread_deg)
    scene = Scene(near, exposed, feed, site, weather.maximum_step_h, *road[1:3], *road[4:], load_height_m, times.as_of)
    wind, fitted, told, misfit, more = with_learned(learned, raw, scene, spread_deg)
    air_K = air_temperature_K(near, road.elevation_m)
    refusals = judge(feed, near, weather, times, road.elevation_m)
    mirror = _mirror(mirror_temperature_c, mirror_temperature_at, times)
    fields = _over_road(near, wind, air_K, mirror)
    density = highest_density_kg_per_m3(near, air_K, road.elevation_m)
    dense = _too_dense(density, site, near, times, second=feed.attrs["role"] == "second_opinion")
    attrs = _attributes(feed, site, times, [*refusals, *dense, *misfit]) | _mismatch(near, road)
    attrs |= _said(feed, site, ground_doubts(feed, near, road.elevation_m, weather))
    attrs |= {"direction_spread_deg": spread_deg} | told
    fields |= fitted | {"relief_ratio": ("station", exposed.relief.max(axis=1))}
    built = dataset(_stations(wind, near) | fields, _coords(feed, near, road.station_m), attrs)
    used = (near.end > times.needed_from) & (near.start < times.needed_until)
    movement = (road.speed_mps, road.heading_deg)
    chain = lines(raw, exposed, site, feed.attrs, movement, used, weather.direction_spread_deg)
    return attach(built, (*chain, *more))


def _road(*columns: Array) -> Road:
    road = Road(*(np.asarray(column, dtype=np.float64) for column in columns))
    if len({part.shape for part in road}) != 1 or road.station_m.ndim != 1 or not len(road.station_m):
        raise InputError("the road needs one value a station in each of its columns, and at least one station")
    return road


def _check_role(feed: xr.Dataset) -> None:
    if feed.attrs["role"] not in ("forecast", "second_opinion"):
        what = f"{feed.attrs['file']} is no forecast but an {feed.attrs['role']}; it says nothing of the time ahead"
        raise InputError(what)


def _wind(
    near: Neighbourhood, exposed: Exposure, feed: xr.Dataset, site: Site, road: Road, spread_deg: float
) -> LoadWind:
    return load_wind(
        near,
        exposed,
        str(feed.attrs["gust_kind"]),
        bool(feed.attrs["resolves_relief"]),
        site.convective_gust_mps,
        (road.speed_mps, road.heading_deg),
        spread_deg,
    )


def _mirror(temperature_c: float | None, at: datetime | None, times: Asked) -> Mirror | None:
    if temperature_c is None or at is None:
        return None
    measured_at = utc(at, "mirror_temperature_at")
    if not measured_at <= times.as_of:
        raise InputError(f"mirror_temperature_at: {measured_at} UTC lies after now ({times.as_of} UTC); correct it")
    return Mirror(float(kelvin_from_celsius(temperature_c)), measured_at)


def _too_dense(density: Values, site: Site, near: Neighbourhood, times: Asked, *, second: bool) -> list[Refusal]:
    ahead = near.end > times.needed_from
    known = density[:, ahead][~np.isnan(density[:, ahead])]
    stated = site.air_density_kg_per_m3
    if not known.size and not second:
        return list(_unconfirmed(stated))
    if not known.size or np.max(known) <= stated:
        return []
    return [
        Refusal(
            "air density",
            f"the air may be as dense as {np.max(known):.3f} kg/m3, the limits of the wind were worked "
            f"out for {stated:g}; raise site.air_density_kg_per_m3",
        )
    ]


def _unconfirmed(stated_kg_per_m3: float) -> Iterator[Refusal]:
    """A density below the usual one, where no air temperature is known to confirm it."""
    usual = figure("weather_usual_air_density_kg_per_m3")
    if not stated_kg_per_m3 >= usual:
        what = f"not known, the limits of the wind were worked out for {stated_kg_per_m3:g} kg/m3"
        yield Refusal(
            "air density",
            f"the density of the air is {what}; give air_temperature, or set site.air_density_kg_per_m3 to {usual:g}",
        )


def _over_road(near: Neighbourhood, wind: LoadWind, air_K: Values, mirror: Mirror | None) -> dict[str, Any]:
    dims = ("realization", "time")
    mean_mps = np.max(wind.mean_mps, axis=0).reshape(near.shape)
    return {
        "mean_wind_mps": (dims, mean_mps),
        "beaufort_number": (dims, beaufort_number(mean_mps).astype(np.float32)),
        "precipitation_mm_per_h": (dims, over_road(near, near.high["precipitation_mm_per_h"], np.maximum)),
        "visibility_m": (dims, over_road(near, near.low["visibility_m"], np.minimum)),
        "air_temperature_K": (dims, air_K),
        "dew_margin_K": (dims, margin_K(near, air_K, mirror)),
    }


def _stations(wind: LoadWind, near: Neighbourhood) -> dict[str, Any]:
    dims = ("realization", "time", "station")
    named = {"gust_at_load_mps": wind.gust_mps, "gust_apparent_mps": wind.apparent_mps, "wind_from_deg": wind.from_deg}
    return {name: (dims, values.reshape(-1, *near.shape).transpose(1, 2, 0)) for name, values in named.items()}


def _coords(feed: xr.Dataset, near: Neighbourhood, station_m: Array) -> dict[str, Any]:
    def precise(times: Instants) -> Instants:
        return times.astype("datetime64[ns]")

    return {
        "realization": feed["realization"].to_numpy(),
        "time": precise(near.end),
        "time_start": ("time", precise(near.start)),
        "station": station_m,
    }


def _mismatch(near: Neighbourhood, road: Road) -> dict[str, float]:
    """Largest distance between the road and the model's ground; left out where it is not known."""
    off_m = float(np.max(np.abs(road.elevation_m - near.matrix @ near.altitude_m)))
    return {"height_mismatch_m": off_m} if np.isfinite(off_m) else {}


def _attributes(feed: xr.Dataset, site: Site, times: Asked, refusals: list[Refusal]) -> dict[str, Any]:
    reference = str(feed.attrs["forecast_reference_time"])
    age_h = (times.as_of - np.datetime64(reference.removesuffix("Z"), "s")) / np.timedelta64(1, "h")
    thunder_K = np.asarray(kelvin_from_celsius(figure("weather_thunder_air_c")))
    return {
        "file": feed.attrs["file"],
        "role": feed.attrs["role"],
        "source_kind": feed.attrs.get("source_kind", ""),
        "forecast_reference_time": reference,
        "age_h": float(age_h),
        "gust_kind": feed.attrs["gust_kind"],
        "dust_lifting_wind_mps": lifting_wind_mps(site.air_density_kg_per_m3),
        "thunder_distance_m": float(thunder_distance_m(figure("weather_thunder_count_s"), thunder_K)),
        "refusals": json.dumps([refusal._asdict() for refusal in refusals], ensure_ascii=False),
        **{name: feed.attrs.get(name, "[]") for name in ("read", "derived")},
    }


def _said(feed: xr.Dataset, site: Site, doubts: Iterable[Refusal]) -> dict[str, str]:
    """Remarks of the feed; of a second opinion also how it gets its gust, its ground, and what it lacks."""
    if feed.attrs["role"] == "forecast":
        return {"remarks": feed.attrs["remarks"], "lacks": "[]"}
    said = json.loads(feed.attrs["remarks"])
    if feed.attrs["gust_kind"] != "maximum":
        added = f"mean times gust factor and mean plus {site.convective_gust_mps:g} m/s"
        said.append(f"{feed.attrs['file']}: bounds no gust by itself, so its gust is at least the larger of {added}")
    said += [f"{feed.attrs['file']}: {one.message}" for one in doubts]
    absent = json.loads(feed.attrs.get("absent", "[]"))
    lacks = [name for name, parts in CARRIED.items() if any(part in absent for part in parts)]
    return {"remarks": json.dumps(said, ensure_ascii=False), "lacks": json.dumps(lacks)}
