"""The normal form of a feed: one Dataset, whatever the file looked like.

Dimensions (realization, time, latitude, longitude), axes rising, or, for a rotated or projected grid, (realization,
time, y, x) with latitude and longitude of each node (y, x). Longitude -180 to 180, times UTC, SI units, NaN where
missing, wind towards true east and north. `time` holds the instants of the forecast. A field counts around its instant;
gust and precipitation count in (gust_start, gust_end] and (precipitation_start, precipitation_end]. The attributes
`read`, `derived` and `remarks` (JSON lists of sentences) tell what was read from what, what was derived from it, and
what is missing; `absent` (JSON list) names the variables of which the file has no field at all, as against one that is
there and holds nothing. A new reader has to build just this.
"""

import json

import numpy as np
import xarray as xr

from shared.arrays import Array
from shared.datasets import dataset
from shared.tables import figure
from transport.weather.dew import dew_point_K
from transport.weather.feeds.inputs import Feed
from transport.weather.feeds.raw import Raw
from transport.weather.feeds.reading import Reading, reading_of
from transport.weather.feeds.winds import HIGHEST, POINT, winds
from transport.weather.fields import BENT_DIMENSIONS, DIMENSIONS, NAMES, Instants, Values
from transport.weather.steps import around_instants, rates_from_totals

__all__ = ["normal_form"]

Held = tuple[Values, tuple[Instants, Instants]]


@np.errstate(over="ignore", invalid="ignore", divide="ignore")
def normal_form(raw: Raw, feed: Feed, source_kind: str = "NetCDF") -> xr.Dataset:
    """Bring a file to the normal form. source_kind: what kind of file it was, for the reader of the result.

    Errors: InputError for everything that is structurally wrong.      Source: CF conventions (read).
    """
    reading = reading_of(raw)
    if not reading.clock.cross_checked:
        reading.remark("no forecast_period, so the clock of the file could not be cross-checked")
    if reading.grid.unchecked:
        reading.remark(reading.grid.unchecked)
    if reading.grid.placing:
        reading.derive(reading.grid.placing)
    (gust, gust_times), gust_kind = _gust(reading)
    rain, rain_times = _precipitation(reading)
    fields = {"gust_mps": gust, "precipitation_mm_per_h": rain, **winds(reading), **_air(reading)}
    dims = DIMENSIONS if reading.grid.regular else BENT_DIMENSIONS
    ground = dims[2:], _altitude(reading, feed)
    attrs = {
        "file": raw.file,
        "role": feed.role,
        "forecast_reference_time": f"{reading.clock.reference}Z",
        "gust_kind": gust_kind,
        "resolves_relief": int(feed.resolves_relief),
        "estimates_gust": int(feed.estimates_gust),
        "source_kind": source_kind,
    } | {
        name: json.dumps(texts, ensure_ascii=False)
        for name, texts in (
            ("read", reading.read),
            ("derived", reading.derived),
            ("remarks", reading.remarks),
            ("absent", reading.absent),
        )
    }
    variables = {name: (dims, values) for name, values in fields.items()}
    return dataset(variables | {"surface_altitude_m": ground}, _coords(reading, gust_times, rain_times), attrs)


def _coords(
    reading: Reading, gust: tuple[Instants, Instants], precipitation: tuple[Instants, Instants]
) -> dict[str, object]:
    clock = {
        "time": reading.clock.time,
        "gust_start": gust[0],
        "gust_end": gust[1],
        "precipitation_start": precipitation[0],
        "precipitation_end": precipitation[1],
    }
    regular = reading.grid.regular
    return {
        "realization": reading.labels,
        "latitude": ("latitude" if regular else ("y", "x"), reading.grid.latitude_deg),
        "longitude": ("longitude" if regular else ("y", "x"), reading.grid.longitude_deg),
        **{name: ("time", times.astype("datetime64[ns]")) for name, times in clock.items()},
    }


def _absent(reading: Reading, name: str) -> Values:
    reading.absent.append(name)
    return np.broadcast_to(np.float32(np.nan), reading.shape)


def _gust(reading: Reading) -> tuple[Held, str]:
    around = around_instants(reading.clock.time)
    values = reading.values("wind_speed_of_gust", HIGHEST)
    if values is None:
        reading.remark("no gust, so it is estimated from the mean wind")
        reading.derive("gust: not in the file; it is estimated from the mean wind and its turbulence")
        return (_absent(reading, "gust_mps"), around), "none"
    if reading.method("wind_speed_of_gust") == "point":
        reading.remark("the gust is that of an instant, no bound for the hour; it counts only where it is the larger")
        return (values, around), "instant"
    if (bounds := reading.bounds("wind_speed_of_gust")) is not None:
        return (values, bounds), "maximum"
    if len(np.unique(np.diff(reading.clock.time))) != 1:
        what = "is a maximum over time, but neither bounds nor an even step tell over which time"
        raise reading.refuse("wind_speed_of_gust", f"{what}; add bounds to the time axis")
    reading.remark("no bounds of time, so each gust counts both before and after its time")
    return (values, around), "maximum"


def _precipitation(reading: Reading) -> Held:
    for name in ("precipitation_flux", "lwe_precipitation_rate"):
        if (rate := reading.values(name, ("point", "mean", "maximum"))) is not None:
            return _from_rates(reading, name, rate)
    for name in ("precipitation_amount", "lwe_thickness_of_precipitation_amount"):
        if (amount := reading.values(name, ("sum",))) is not None:
            return _from_amounts(reading, name, amount)
    reading.remark("no precipitation")
    return _absent(reading, "precipitation_mm_per_h"), around_instants(reading.clock.time)


def _from_amounts(reading: Reading, name: str, amount: Values) -> Held:
    if (bounds := reading.bounds(name)) is None:
        raise reading.refuse("precipitation", "is a sum over time without bounds; add bounds to the time axis")
    start, end = bounds
    if (start == start[0]).all():
        reading.derive("precipitation: rates from the growth of totals, as if all of a step fell in one hour of it")
        rates = rates_from_totals(amount, _hours(end - start[0]), figure("weather_total_jitter_mm"))
        rates = rates * np.maximum(_hours(np.diff(end)), 1.0).astype(np.float32)[None, :, None, None]
        each_step = np.concatenate([end[:1], end[:-1]]), end
        return np.concatenate([np.full_like(amount[:, :1], np.nan), rates], axis=1), each_step
    reading.derive("precipitation: rates from the amount of each interval, as if all of it fell in one hour of it")
    hours = np.where(end > start, np.minimum(_hours(end - start), 1.0), np.nan).astype(np.float32)
    return amount / hours[None, :, None, None], bounds


def _from_rates(reading: Reading, name: str, rate: Values) -> Held:
    """A mean over a long step may all have fallen in one of its hours; that of an instant says nothing of the rest."""
    around = around_instants(reading.clock.time)
    if reading.method(name) == "point":
        reading.remark("the rain is that of an instant and may be heavier between its times")
        return rate, around
    start, end = reading.bounds(name) or around
    hours = np.maximum(_hours(end - start), 1.0).astype(np.float32)
    reading.derive("precipitation: each rate times the hours of its interval, as if all of it fell in one of them")
    return rate * hours[None, :, None, None], (start, end)


def _hours(spans: np.ndarray) -> Array:
    return np.asarray(spans / np.timedelta64(1, "h"))


def _air(reading: Reading) -> dict[str, Values]:
    air, dew = reading.values("air_temperature", POINT), reading.values("dew_point_temperature", POINT)
    humidity = reading.values("relative_humidity", POINT)
    if dew is None and air is not None and humidity is not None:
        dew = dew_point_K(air, humidity).astype(np.float32)
        reading.derive("dew point: from air_temperature and relative_humidity, over water")
    found = {
        "air_temperature_K": air,
        "dew_point_K": dew,
        "surface_pressure_Pa": reading.values("surface_air_pressure", POINT),
        "visibility_m": reading.values("visibility_in_air", POINT),
    }
    for name in (name for name, values in found.items() if values is None):
        reading.remark(f"no {next(key for key, value in NAMES.items() if value == name)}")
    return {name: _absent(reading, name) if values is None else values for name, values in found.items()}


def _altitude(reading: Reading, feed: Feed) -> Values:
    values = reading.fixed("surface_altitude")
    if values is not None:
        return values
    if feed.surface_altitude_m is None:
        return np.full(reading.shape[2:], np.nan)
    reading.derive(f"height of the model's ground: {feed.surface_altitude_m:g} m everywhere, as the move states it")
    return np.full(reading.shape[2:], feed.surface_altitude_m)
