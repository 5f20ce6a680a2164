"""The normal form of a feed that speaks for one place: one node at the station, one member."""

import json
from collections.abc import Mapping
from typing import NamedTuple

import numpy as np
import xarray as xr

from shared.arrays import Array
from shared.datasets import dataset
from shared.errors import Fault, InputError
from transport.weather.feeds.inputs import Feed, Station
from transport.weather.fields import DIMENSIONS, Instants
from transport.weather.vectors import components_mps

__all__ = ["Series", "point"]

FIELDS = (
    *("mean_wind_mps", "gust_mps", "precipitation_mm_per_h", "air_temperature_K", "dew_point_K"),
    *("surface_pressure_Pa", "visibility_m"),
)


class Series(NamedTuple):
    """What a station says: instants, the interval (start, end] of each, fields by name, one value an instant.

    wind_from_deg is NaN where the wind may come from anywhere; a field that is left out is unknown.
    """

    kind: str
    time: Instants
    start: Instants
    end: Instants
    fields: Mapping[str, Array]
    read: list[str]
    derived: list[str]
    remarks: list[str]


def point(file: str, feed: Feed, series: Series, reference: np.datetime64 | None = None) -> xr.Dataset:
    """Normal form (realization, time, latitude, longitude) of size (1, n, 1, 1); a forecast has its reference time.

    Errors: InputError if no wind is known at all.      Source: CF conventions (read).
    """
    if (station := feed.station) is None:
        raise InputError(Fault(file, "station", "is missing; a feed of one place needs [weather.feed.station]"))
    known = ~(np.isnan(series.fields["mean_wind_mps"]) & np.isnan(series.fields["gust_mps"]))
    if not known.any():
        raise InputError(Fault(file, "", "holds no wind that can be believed: " + "; ".join(series.remarks)))
    ground = np.full((1, 1), station.elevation_m)
    variables = {name: (DIMENSIONS, values) for name, values in _fields(series).items()}
    attrs = _attributes(file, feed, station, series)
    if reference is not None:
        attrs["forecast_reference_time"] = f"{reference.astype('datetime64[s]')}Z"
    else:
        attrs["observed_until"] = f"{series.end[known][-1].astype('datetime64[s]')}Z"
    return dataset(
        variables | {"surface_altitude_m": (("latitude", "longitude"), ground)}, _coords(station, series), attrs
    )


def _fields(series: Series) -> dict[str, np.ndarray]:
    unknown = np.full(len(series.time), np.nan)
    named = {name: np.asarray(series.fields.get(name, unknown)) for name in FIELDS}
    from_deg = np.asarray(series.fields.get("wind_from_deg", unknown))
    named["eastward_wind_mps"], named["northward_wind_mps"] = components_mps(named["mean_wind_mps"], from_deg)
    return {name: values.astype(np.float32)[None, :, None, None] for name, values in named.items()}


def _coords(station: Station, series: Series) -> dict[str, object]:
    spans = {"start": series.start, "end": series.end}
    intervals = {f"{kind}_{end}": spans[end] for kind in ("gust", "precipitation") for end in spans}
    return {
        "realization": np.array([0]),
        "latitude": np.array([station.latitude_deg]),
        "longitude": np.array([station.longitude_deg]),
        **{
            name: ("time", times.astype("datetime64[ns]")) for name, times in {"time": series.time, **intervals}.items()
        },
    }


def _attributes(file: str, feed: Feed, station: Station, series: Series) -> dict[str, object]:
    absent = [name for name in FIELDS if name not in series.fields]
    texts = {"read": series.read, "derived": series.derived, "absent": absent}
    return {
        "file": file,
        "role": feed.role,
        "source_kind": series.kind,
        "station": station.name,
        "station_height_m": station.height_m,
        "valid_within_m": 1000.0 * station.valid_within_km,
        "gust_kind": "maximum",
        "resolves_relief": int(feed.resolves_relief),
        "estimates_gust": int(feed.estimates_gust),
        "remarks": json.dumps([f"{file}: {text}" for text in series.remarks], ensure_ascii=False),
        **{name: json.dumps(sentences, ensure_ascii=False) for name, sentences in texts.items()},
    }
