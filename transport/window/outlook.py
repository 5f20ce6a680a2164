"""The forecast at the load: the feeds of the move, read, gated, and carried to every cell of the road."""

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path

import xarray as xr

import transport.weather.assess
import transport.weather.feeds.feed
from shared.arrays import Array
from shared.errors import Fault, InputError
from shared.folder import inside
from transport.weather.inputs import Site
from transport.weather.skill.at_load import Learned
from transport.weather.skill.file import load
from transport.window.inputs import Decision, Move

END_TOLERANCE_M = 10.0  # a surveyed end may be this far from the drawing's

__all__ = ["feeds_of", "learned_of", "outlook", "relief_edges_m"]


def outlook(
    move: Move,
    feeds: Sequence[xr.Dataset],
    road: xr.Dataset,
    edges_m: Array,
    *,
    as_of: datetime,
    horizon_s: float,
    learned: Learned | None = None,
) -> xr.Dataset:
    """Gust at the load and the other weather for the middle of every cell, each step and member.

    The alpha rule looks at its control member alone; the ensemble rule at all of them.
    """
    station_m = (edges_m[:-1] + edges_m[1:]) / 2
    middle = road.sel(station=station_m, method="nearest")
    forecast = transport.weather.assess.assess(
        feeds,
        _in_travel(move.site, move.move.leg, float(road["station"][-1])),
        move.weather,
        station_m=station_m,
        longitude_deg=middle["longitude_deg"].values,
        latitude_deg=middle["latitude_deg"].values,
        elevation_m=middle["elevation_m"].values,
        heading_deg=middle["heading_deg"].values,
        speed_mps=middle["speed_mps"].values,
        load_height_m=move.trailer.deck_height_m + move.unit.wind_centre_m[2],
        as_of=as_of.astimezone(UTC),
        needed_from=as_of.astimezone(UTC),
        needed_until=as_of.astimezone(UTC) + timedelta(seconds=horizon_s),
        mirror_temperature_c=move.mirror.temperature_c,
        mirror_temperature_at=move.mirror.temperature_measured_at,
        learned=learned,
    )
    return forecast if move.decision.control_realization is None else _control(forecast, move.decision)


def feeds_of(move: Move, folder: Path) -> list[xr.Dataset]:
    """Every feed of the move in its normal form."""
    return [
        transport.weather.feeds.feed.read(inside(folder, feed.path, f"weather.feed[{number}].path"), feed)
        for number, feed in enumerate(move.weather.feed)
    ]


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


def relief_edges_m(move: Move, length_m: float) -> list[float]:
    """Stations in the direction of travel at which a relief range begins or ends.

    Errors: InputError for a range that reaches beyond the road, which would silently speed nothing up.
    """
    faults = [
        Fault("", f"site.relief[{number}].to_station_m", f"is {relief.to_station_m:g}, the road ends at {length_m:.1f}")
        for number, relief in enumerate(move.site.relief)
        if not relief.to_station_m <= length_m + END_TOLERANCE_M
    ]
    if faults:
        raise InputError.of(faults)
    site = _in_travel(move.site, move.move.leg, length_m)
    return [edge for relief in site.relief for edge in (relief.from_station_m, relief.to_station_m)]


def _in_travel(site: Site, leg: str, length_m: float) -> Site:
    """Relief ranges are given in stations of the survey; on the return leg they count from the other end."""
    if leg == "out":
        return site
    turned = (
        relief.model_copy(
            update={
                "from_station_m": length_m - relief.to_station_m,
                "to_station_m": length_m - relief.from_station_m,
            }
        )
        for relief in site.relief
    )
    return site.model_copy(update={"relief": tuple(turned)})


def _control(forecast: xr.Dataset, decision: Decision) -> xr.Dataset:
    """The one member that the alpha rule takes, so that forecast error is allowed for once."""
    if decision.control_realization not in forecast["realization"].values:
        known = ", ".join(map(str, forecast["realization"].values[:5]))
        raise InputError(
            f"decision.control_realization: the forecast has no member {decision.control_realization}; "
            f"it has {known} and so on ({forecast.sizes['realization']} members)"
        )
    return forecast.sel(realization=[decision.control_realization])
