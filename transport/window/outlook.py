"""The forecast at the load: the feeds of the move, read, gated, and carried to every cell of the road."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import xarray as xr

import transport.weather.assess
import transport.weather.feed
from shared.errors import InputError
from transport.window.inputs import Decision, Move

__all__ = ["outlook"]


def outlook(
    move: Move, folder: Path, road: xr.Dataset, places: xr.Dataset, *, as_of: datetime, horizon_s: float
) -> xr.Dataset:
    """Gust at the load and the other weather for every cell, step and member.

    The alpha rule looks at its control member alone; the ensemble rule at all of them.
    """
    feeds = [transport.weather.feed.read(folder / feed.path, feed) for feed in move.weather.feed]
    middle = road.sel(station=places["station"], method="nearest")
    forecast = transport.weather.assess.assess(
        feeds,
        move.site,
        move.weather,
        station_m=places["station"].values,
        longitude_deg=middle["longitude_deg"].values,
        latitude_deg=middle["latitude_deg"].values,
        elevation_m=middle["elevation_m"].values,
        heading_deg=middle["heading_deg"].values,
        speed_mps=middle["speed_mps"].values,
        load_height_m=move.trailer.deck_height_m + move.unit.wind_centre_m[2],
        as_of=as_of.astimezone(UTC),
        needed_from=as_of.astimezone(UTC),
        needed_until=as_of.astimezone(UTC) + timedelta(seconds=horizon_s),
    )
    return forecast if move.decision.control_realization is None else _control(forecast, move.decision)


def _control(forecast: xr.Dataset, decision: Decision) -> xr.Dataset:
    """The one member that the alpha rule takes, so that forecast error is allowed for once."""
    if decision.control_realization not in forecast["realization"].values:
        known = ", ".join(map(str, forecast["realization"].values[:5]))
        raise InputError(
            f"decision.control_realization: the forecast has no member {decision.control_realization}; "
            f"it has {known} and so on ({forecast.sizes['realization']} members)"
        )
    return forecast.sel(realization=[decision.control_realization])
