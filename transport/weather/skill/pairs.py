"""Forecast and observed gust side by side: one case is one step of one run at the mast; nothing is ever filled in."""

import json
from collections import Counter
from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np
import xarray as xr

from shared.arrays import Array
from shared.datasets import dataset
from shared.errors import Fault, InputError
from shared.tables import figure
from transport.weather.feeds.inputs import Station
from transport.weather.fields import Instants, Values
from transport.weather.inputs import Site
from transport.weather.neighbourhood import neighbourhood
from transport.weather.skill.before_relief import by_member, ensemble_direction_deg, wind_before_relief
from transport.weather.steps import overlap, worst

__all__ = ["pairs_of"]

SAME = ("gust_kind", "resolves_relief", "estimates_gust")


class Run(NamedTuple):
    """One run at the mast: gust and mean (member, step), direction (step), steps, labels of its members."""

    gust_mps: Values
    mean_mps: Values
    wind_from_deg: Values
    start: Instants
    end: Instants
    reference: np.datetime64
    labels: np.ndarray
    altitude_m: float
    outside: bool


class Seen(NamedTuple):
    """What the mast saw in each step of a run: highest gust and mean, and why it is not known ("" if it is)."""

    gust_mps: Array
    mean_mps: Array
    why: np.ndarray


def pairs_of(
    forecasts: Sequence[xr.Dataset], observation: xr.Dataset, site: Site, station: Station, longest_h: float
) -> xr.Dataset:
    """Pairs of every run of an archive with a mast: Dataset with dimensions (case, member).

    Forecast gust: what the tool itself takes at the mast and its height before relief. Observed gust: the highest of
    all intervals of the logger that overlap the step, known only if they cover it and the instrument moved. Runs that
    overlap are kept, each is its own series of cases. A member that a run lacks is NaN; a case with a NaN is counted
    in the attribute `dropped` (JSON, reason: count) and named in `left_out`, never filled. `lead_h` is the end of the
    step after the reference time.
    Attributes: place, `model_altitude_m`, `gust_kind`, `resolves_relief`, `runs`.
    Errors: InputError for no run, a run twice, runs of different kinds.
    Source: overlap of intervals as everywhere in this package (practice).
    """
    _same_kind(forecasts)
    runs = [_run(forecast, site, station, longest_h) for forecast in forecasts]
    seen = [_seen(observation, run) for run in runs]
    labels = np.unique(np.concatenate([run.labels for run in runs]))
    gust, mean = (np.concatenate([_aligned(run, name, labels) for run in runs]) for name in ("gust_mps", "mean_mps"))
    why = np.concatenate([_why(run, one.why) for run, one in zip(runs, seen, strict=True)])
    lacking = (why == "") & np.isnan(gust).any(axis=1)
    why[lacking] = "a member of the forecast is not known"
    variables = {
        "forecast_gust_mps": (("case", "member"), gust),
        "forecast_mean_mps": (("case", "member"), mean),
        "observed_gust_mps": ("case", np.concatenate([one.gust_mps for one in seen])),
        "observed_mean_mps": ("case", np.concatenate([one.mean_mps for one in seen])),
        "lead_h": ("case", np.concatenate([(run.end - run.reference) / np.timedelta64(1, "h") for run in runs])),
        "wind_from_deg": ("case", np.concatenate([run.wind_from_deg for run in runs])),
        "reference_time": ("case", _precise([np.full(len(run.end), run.reference) for run in runs])),
        "left_out": ("case", why),
        "time_start": ("case", _precise([run.start for run in runs])),
    }
    coords = {"time": ("case", _precise([run.end for run in runs]))}
    attrs = _attributes(forecasts, runs, station) | {"dropped": json.dumps(Counter(why[why != ""].tolist()))}
    return dataset(variables, coords, attrs).assign_coords(member=labels)


def _same_kind(forecasts: Sequence[xr.Dataset]) -> None:
    if not forecasts:
        raise InputError("the archive holds no forecast; correct weather.archive.forecasts")
    seen: dict[str, str] = {}
    for forecast in forecasts:
        file, reference = str(forecast.attrs["file"]), str(forecast.attrs["forecast_reference_time"])
        if reference in seen:
            raise InputError(
                Fault(file, "", f"is the run of {reference} once more, as {seen[reference]}; take one out")
            )
        seen[reference] = file
        for name in SAME:
            if forecast.attrs[name] != forecasts[0].attrs[name]:
                other = f"{forecasts[0].attrs[name]} in {forecasts[0].attrs['file']}"
                what = f"{name} is {forecast.attrs[name]} here and {other}"
                raise InputError(Fault(file, "", f"{what}; the archive mixes forecasts of two kinds, take one out"))


def _run(forecast: xr.Dataset, site: Site, station: Station, longest_h: float) -> Run:
    place = np.array([station.longitude_deg]), np.array([station.latitude_deg])
    near = neighbourhood(forecast, *place, longest_h)
    wind = wind_before_relief(near, forecast.attrs, site, station.height_m, 1)
    gust, mean = (by_member(values, near)[0] for values in (wind.gust_mps, wind.mean_mps))
    return Run(
        gust_mps=gust,
        mean_mps=mean,
        wind_from_deg=ensemble_direction_deg(near, figure("weather_calm_mps"))[0],
        start=near.start,
        end=near.end,
        reference=np.datetime64(str(forecast.attrs["forecast_reference_time"]).removesuffix("Z"), "s"),
        labels=forecast["realization"].to_numpy(),
        altitude_m=float((near.matrix @ near.altitude_m)[0]),
        outside=bool(near.outside[0]),
    )


def _precise(times: Sequence[Instants]) -> Instants:
    return np.concatenate(times).astype("datetime64[ns]")


def _aligned(run: Run, name: str, labels: np.ndarray) -> Array:
    """(step, member) with a column for every member of the archive; those that the run lacks are NaN."""
    values: Values = getattr(run, name)
    whole = np.full((values.shape[1], len(labels)), np.nan)
    whole[:, np.searchsorted(labels, run.labels)] = values.T
    return whole


def _seen(observation: xr.Dataset, run: Run) -> Seen:
    start, end = (observation[f"gust_{edge}"].to_numpy().astype("datetime64[s]") for edge in ("start", "end"))
    found = overlap(start, end, run.start, run.end)

    def in_step(name: str, pick: np.ufunc) -> Array:
        values = observation[name].to_numpy().reshape(1, -1).astype(float)
        return np.asarray(worst(values, found, pick)[0])

    gust, least, mean = (
        in_step("gust_mps", np.maximum),
        in_step("gust_mps", np.minimum),
        in_step("mean_wind_mps", np.maximum),
    )
    still = (gust == least) & (found.last - found.first + 1 >= figure("calibration_still_count"))
    why = np.where(still, "the anemometer stood still", "").astype("U60")
    why[np.isnan(gust)] = "the mast has a gap in the step"
    gust[still], mean[still] = np.nan, np.nan
    return Seen(gust, mean, why)


def _why(run: Run, seen: np.ndarray) -> np.ndarray:
    return np.full(seen.shape, "the mast lies outside the grid", seen.dtype) if run.outside else seen


def _attributes(forecasts: Sequence[xr.Dataset], runs: Sequence[Run], station: Station) -> dict[str, Any]:
    kinds = {name: forecasts[0].attrs[name] for name in SAME}
    altitudes = {round(run.altitude_m, 1) for run in runs}
    if len(altitudes) > 1 and np.isfinite(list(altitudes)).any():
        told = ", ".join(f"{value:g}" for value in sorted(altitudes)[:4])
        raise InputError(
            f"the archive gives the model's ground at the mast as {told} m: two forecast models, or two versions of "
            "one; set weather.archive.earliest or latest to keep one"
        )
    return kinds | {
        "runs": len(runs),
        "model_altitude_m": runs[0].altitude_m,
        "station": station.name,
        "longitude_deg": station.longitude_deg,
        "latitude_deg": station.latitude_deg,
        "elevation_m": station.elevation_m,
        "height_m": station.height_m,
    }
