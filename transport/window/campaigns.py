"""What the mast campaigns of a move measured on its stretches with relief, and the file that holds it."""

from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import xarray as xr
from pyproj import Geod

from shared.errors import Fault, InputError
from shared.provenance import hashed, tool_version
from shared.tables import figure
from transport.weather.feeds.inputs import Station
from transport.weather.inputs import Relief
from transport.weather.skill.archive import archive_of
from transport.weather.skill.campaign import Measured, SpeedUps, measured
from transport.weather.skill.file import Input, Mast
from transport.weather.skill.pairs import pairs_of
from transport.window.assess import Plan, plan_of
from transport.window.ground import in_travel

__all__ = ["speed_ups_of"]


def speed_ups_of(path: Path, as_of: datetime) -> SpeedUps:
    """Measure the speed-up on every relief of a move that has a campaign, as known at one moment.

    Errors: InputError for a move without a campaign, a mast far from its stretch, files that cannot be read.
    """
    plan = plan_of(path)
    asked = [(number, relief) for number, relief in enumerate(plan.move.site.relief) if relief.campaign is not None]
    if not asked:
        told = "no [[site.relief]] has a campaign; name the archived forecasts and the mast in [site.relief.campaign]"
        raise InputError(Fault("", "site.relief", told))
    names = [relief.name for _, relief in asked]
    if doubled := sorted({name for name in names if names.count(name) > 1}):
        raise InputError(Fault("", "site.relief", f"two campaigns are for '{doubled[0]}'; give each its own name"))
    found = [_measured(plan, number, relief, as_of) for number, relief in asked]
    files = dict.fromkeys(name for _, read in found for name in (path.name, *read))
    return SpeedUps(
        schema_name="speed-up/1",
        version=tool_version(),
        as_of=as_of.astimezone(UTC),
        measured=tuple(one for one, _ in found),
        inputs=tuple(
            Input(path=file.path, sha256=file.sha256) for file in hashed((name, plan.folder / name) for name in files)
        ),
    )


def _measured(plan: Plan, number: int, relief: Relief, as_of: datetime) -> tuple[Measured, tuple[str, ...]]:
    campaign, field = relief.campaign, f"site.relief[{number}].campaign"
    station = campaign.observation.station if campaign else None
    if campaign is None or station is None:
        raise InputError(Fault("", field, "has no station; add [site.relief.campaign.observation.station]"))
    _beside(plan, relief, station, field)
    forecast = next(feed for feed in plan.move.weather.feed if feed.role == "forecast")
    read = archive_of(campaign, forecast, plan.folder, as_of)
    pairs = pairs_of(read.forecasts, read.observation, plan.move.site, station, plan.move.weather.maximum_step_h)
    past = pairs["time"].values <= np.datetime64(as_of.astimezone(UTC).replace(tzinfo=None), "ns")
    mast = Mast(**{name: getattr(station, name) for name in Mast.model_fields})
    return measured(pairs.isel(case=past), relief, mast), read.files


def _beside(plan: Plan, relief: Relief, station: Station, field: str) -> None:
    """Refuse a mast that does not stand on the stretch that it is to speak for."""
    length_m = float(plan.road["station"][-1])
    (turned,) = in_travel(plan.move.site.model_copy(update={"relief": (relief,)}), plan.move.move.leg, length_m).relief
    stretch: xr.Dataset = plan.road.sel(station=slice(turned.from_station_m, turned.to_station_m))
    there = [np.full(stretch.sizes["station"], getattr(station, name)) for name in ("longitude_deg", "latitude_deg")]
    road = [stretch[name].values for name in ("longitude_deg", "latitude_deg")]
    distance_m = Geod(ellps="WGS84").inv(there[0], there[1], road[0], road[1])[2]
    nearest_m, allowed_m = float(np.min(distance_m, initial=np.inf)), figure("weather_speed_up_mast_m")
    if not nearest_m <= allowed_m:
        what = f"the mast stands {nearest_m:.0f} m from the stretch '{relief.name}', allowed are {allowed_m:g} m"
        raise InputError(Fault("", f"{field}.observation.station", f"{what}; it speaks for another place"))
