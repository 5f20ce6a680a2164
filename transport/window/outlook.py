"""The weather at the load: the feeds of the move, gated, compared, and carried to every cell of the road."""

import json
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any, NamedTuple

import xarray as xr

import transport.weather.assess
from shared.arrays import Array
from shared.errors import InputError
from shared.folder import inside
from transport.weather.agreement import Agreement, agreement
from transport.weather.instrument import observed
from transport.weather.quality import Asked, asked
from transport.weather.skill.at_load import Learned
from transport.weather.skill.file import load
from transport.window.fitted_factor import with_error_of
from transport.window.ground import Ground
from transport.window.inputs import Decision, Move

__all__ = ["Outlook", "learned_of", "outlook"]


class Outlook(NamedTuple):
    """The weather at the load: by the forecast, by each second opinion, and at each instrument.

    Whatever speaks against the forecast stands in its attribute `refusals`, be it a second opinion or an instrument
    that contradicts it; `remarks` is what is to be said about all sources.
    """

    forecast: xr.Dataset
    opinions: tuple[xr.Dataset, ...]
    observations: tuple[xr.Dataset, ...]
    remarks: tuple[str, ...]


def outlook(
    move: Move,
    feeds: Sequence[xr.Dataset],
    road: xr.Dataset,
    edges_m: Array,
    *,
    as_of: datetime,
    horizon_s: float,
    ground: Ground,
    learned: Learned | None = None,
) -> Outlook:
    """Gust at the load and the other weather for the middle of every cell, each step and member, by every feed.

    The alpha rule looks at the control member of the forecast alone, and at all members of a second opinion. A
    calibration is for the forecast alone; a factor that it fits is on the limits of the second opinions too.
    """
    at, times = _where_and_when(move, road, edges_m, as_of, horizon_s)
    place = {name: at[name] for name in ("longitude_deg", "latitude_deg")}
    given = list(zip(feeds, move.weather.feed, strict=True))
    first = next(feed for feed, facts in given if facts.role == "forecast")
    seconds = [feed for feed, facts in given if facts.role == "second_opinion"]
    agreed = [agreement(first, feed, move.weather, times, **place) for feed in seconds]
    here = place | {"load_height_m": at["load_height_m"], "learned": learned}
    observations = tuple(
        observed(feed, first, facts, move.site, move.weather, times, **here)
        for feed, facts in given
        if facts.role == "observation"
    )
    forecast = transport.weather.assess.assess(first, ground.site, move.weather, **at, learned=learned)
    loads = (transport.weather.assess.assess(feed, ground.of_others, move.weather, **at) for feed in seconds)
    opinions = [with_error_of(forecast, there) for there in loads]
    believed = [found for data, found in zip(opinions, agreed, strict=True) if data.attrs["refusals"] == "[]"]
    doubted = _doubted(forecast, believed, observations)
    shown = doubted if move.decision.control_realization is None else _control(doubted, move.decision)
    said = (*ground.said, *_said(forecast, opinions, agreed, observations))
    return Outlook(shown, tuple(opinions), observations, said)


def _where_and_when(
    move: Move, road: xr.Dataset, edges_m: Array, as_of: datetime, horizon_s: float
) -> tuple[dict[str, Any], Asked]:
    """The middle of every cell and the load there, and the times asked for."""
    station_m = (edges_m[:-1] + edges_m[1:]) / 2
    middle = road.sel(station=station_m, method="nearest")
    names = ("longitude_deg", "latitude_deg", "elevation_m", "heading_deg", "speed_mps")
    now = as_of.astimezone(UTC)
    clock = {"as_of": now, "needed_from": now, "needed_until": now + timedelta(seconds=horizon_s)}
    at = {name: middle[name].values for name in names} | {
        "station_m": station_m,
        "load_height_m": move.trailer.deck_height_m + move.unit.wind_centre_m[2],
        "mirror_temperature_c": move.mirror.temperature_c,
        "mirror_temperature_at": move.mirror.temperature_measured_at,
    }
    return at | clock, asked(**clock)


def _doubted(forecast: xr.Dataset, agreed: Sequence[Agreement], observations: Sequence[xr.Dataset]) -> xr.Dataset:
    """The forecast with every reason of other sources, which are believed themselves, not to believe it."""
    reasons = json.loads(forecast.attrs["refusals"]) + [one._asdict() for found in agreed for one in found.refusals]
    reasons += [one for data in observations for one in json.loads(data.attrs["refusals"])]
    return forecast.assign_attrs(refusals=json.dumps(reasons, ensure_ascii=False))


def _said(
    forecast: xr.Dataset,
    opinions: Sequence[xr.Dataset],
    agreed: Sequence[Agreement],
    observations: Sequence[xr.Dataset],
) -> tuple[str, ...]:
    """Remarks of every source, and that there is only one where no other was compared and believed."""
    said = [text for data in (forecast, *opinions, *observations) for text in json.loads(data.attrs["remarks"])]
    said += [text for found in agreed for text in found.remarks]
    pairs = zip(opinions, agreed, strict=True)
    second = any(found.compared and data.attrs["refusals"] == "[]" for data, found in pairs)
    if not second and not any(data.attrs["compared"] for data in observations):
        said.append("one source of weather only: a wrong unit in all of its fields would not show")
    return tuple(said)


def learned_of(move: Move, folder: Path) -> Learned | None:
    """The calibration of the move, to calibrate the members or, under the alpha rule, to fit the factor.

    Errors: InputError if its file is missing or no calibration.
    """
    use, decision = move.weather.calibration, move.decision
    if use is None:
        return None
    found = load(inside(folder, use.path, "weather.calibration.path"))
    chance = decision.acceptable_chance_ratio if decision.rule == "alpha" else None
    return Learned(use.path, found, use.mast_in_the_open, chance, decision.control_realization)


def _control(forecast: xr.Dataset, decision: Decision) -> xr.Dataset:
    """The one member that the alpha rule takes, so that forecast error is allowed for once."""
    if decision.control_realization not in forecast["realization"].values:
        known = ", ".join(map(str, forecast["realization"].values[:5]))
        raise InputError(
            f"decision.control_realization: the forecast has no member {decision.control_realization}; "
            f"it has {known} and so on ({forecast.sizes['realization']} members)"
        )
    return forecast.sel(realization=[decision.control_realization])
