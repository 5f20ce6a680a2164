"""What a calibration makes of the wind at the load, and of the gust that an instrument is compared with."""

import json
from collections.abc import Iterator
from typing import Any, NamedTuple

import numpy as np
import xarray as xr

from shared.arrays import Array
from shared.calculation import Line
from shared.tables import figure
from transport.weather.exposure import Exposure
from transport.weather.fields import Values
from transport.weather.inputs import Site
from transport.weather.load_wind import LoadWind
from transport.weather.neighbourhood import Neighbourhood, neighbourhood
from transport.weather.plausibility import Refusal
from transport.weather.skill.applying import (
    Applied,
    Ground,
    allowance_over_time_mps,
    applied,
    carried_ratio,
    near_mast,
)
from transport.weather.skill.before_relief import by_member, ensemble_direction_deg, wind_before_relief
from transport.weather.skill.file import Calibration
from transport.weather.skill.fitness import differing, misfits
from transport.weather.skill.sheet import lines
from transport.weather.vectors import highest_apparent_mps

__all__ = ["Learned", "Outcome", "Scene", "lowered_mps", "with_learned"]


class Learned(NamedTuple):
    """A calibration, how the move wants it used, and its file.

    chance_ratio: the accepted chance of the fitted factor, or None where the members are to be calibrated.
    """

    file: str
    calibration: Calibration
    mast_in_the_open: bool
    chance_ratio: float | None
    control_realization: int | None


class Scene(NamedTuple):
    """What the wind at the load was made from; heading, speed and place of each station."""

    near: Neighbourhood
    exposed: Exposure
    feed: xr.Dataset
    site: Site
    maximum_step_h: float
    longitude_deg: Array
    latitude_deg: Array
    heading_deg: Array
    speed_mps: Array
    load_height_m: float
    as_of: np.datetime64


class Outcome(NamedTuple):
    """The wind that counts; more variables, attributes and lines of the Dataset; why the calibration is refused."""

    wind: LoadWind
    fields: dict[str, Any]
    attrs: dict[str, Any]
    refusals: tuple[Refusal, ...]
    lines: tuple[Line, ...]


def with_learned(learned: Learned | None, wind: LoadWind, scene: Scene, spread_deg: float) -> Outcome:
    """Calibrate the members, or work out the allowance for the control member; without a calibration nothing changes.

    A calibration that does not fit changes nothing either, and is a refusal: nothing is decided on it.
    Source: skill/applying.py.
    """
    if learned is None:
        return Outcome(wind, {}, {}, (), ())
    close = near_mast(learned.calibration.mast, scene.longitude_deg, scene.latitude_deg)
    refused = tuple(Refusal("calibration", f"{learned.file}: {one}") for one in _refused(learned, scene, close))
    ground = Ground(scene.exposed.relief.max(axis=1), close & learned.mast_in_the_open & _high_enough(learned, scene))
    if learned.chance_ratio is not None:
        error = _error_mps(learned, wind, scene, ground)
        fields = _error_field(np.full_like(error, np.nan) if refused else error)
        return Outcome(wind, fields, _told(learned, scene, ()), refused, ())
    if refused:
        return Outcome(wind, {}, {}, refused, ())
    return _calibrated(learned, wind, scene, ground, spread_deg)


def _calibrated(learned: Learned, wind: LoadWind, scene: Scene, ground: Ground, spread_deg: float) -> Outcome:
    near, flat = scene.near, by_member(_before(learned, scene).gust_mps, scene.near)
    raw = by_member(wind.gust_mps, near)
    found = _applied(learned, raw, flat, scene, ground)
    gust = found.gust_mps.reshape(wind.gust_mps.shape)
    vehicle, heading = (part.astype(np.float32)[:, None] for part in (scene.speed_mps, scene.heading_deg))
    apparent = highest_apparent_mps(gust, wind.from_deg, vehicle, heading, spread_deg)
    changed = wind._replace(gust_mps=gust, apparent_mps=apparent)
    ahead = near.end > scene.as_of
    return Outcome(changed, {}, _told(learned, scene, (_share(found, raw),)), (), lines(found, raw, flat, ahead))


def lowered_mps(learned: Learned | None, gust_mps: Values, scene: Scene) -> Values:
    """Gust of each member at an instrument, (member, step), lowered where the calibration lowers it there.

    An instrument judges what decides: a calibration that takes off too much must not hide behind the raw forecast.
    gust: of the forecast as it is; scene: the place of the instrument alone, without relief.
    Source: skill/applying.py.
    """
    if learned is None or learned.chance_ratio is not None:
        return gust_mps
    close = near_mast(learned.calibration.mast, scene.longitude_deg, scene.latitude_deg)
    ground = Ground(np.ones(1), close & learned.mast_in_the_open & _high_enough(learned, scene))
    before = by_member(_before(learned, scene).gust_mps, scene.near)
    result: Values = np.minimum(gust_mps, _applied(learned, before, before, scene, ground).gust_mps[0])
    return result


def _applied(learned: Learned, raw: Values, before: Values, scene: Scene, ground: Ground) -> Applied:
    near = scene.near
    direction = ensemble_direction_deg(near, figure("weather_calm_mps"))
    step_h = (near.end - near.start) / np.timedelta64(1, "h")
    return applied(learned.calibration, raw, before, direction, _lead_h(scene), step_h, ground)


def _before(learned: Learned, scene: Scene) -> LoadWind:
    height_m = learned.calibration.mast.height_m
    return wind_before_relief(scene.near, scene.feed.attrs, scene.site, height_m, len(scene.longitude_deg))


def _lead_h(scene: Scene) -> Array:
    reference = np.datetime64(str(scene.feed.attrs["forecast_reference_time"]).removesuffix("Z"), "s")
    return np.asarray((scene.near.end - reference) / np.timedelta64(1, "h"))


def _high_enough(learned: Learned, scene: Scene) -> bool:
    return bool(learned.calibration.mast.height_m >= scene.load_height_m)


def _refused(learned: Learned, scene: Scene, close: np.ndarray) -> Iterator[str]:
    calibration, alpha = learned.calibration, learned.chance_ratio is not None
    yield from misfits(calibration, scene.as_of, close, alpha)
    mast = np.array([calibration.mast.longitude_deg]), np.array([calibration.mast.latitude_deg])
    there = neighbourhood(scene.feed, *mast, scene.maximum_step_h)
    altitude_m = float("nan") if there.outside[0] else float((there.matrix @ there.altitude_m)[0])
    yield from differing(calibration.basis, scene.feed.attrs, scene.site, scene.maximum_step_h, altitude_m)
    if alpha and not learned.mast_in_the_open:
        yield "a factor is fitted only to a mast in the open (weather.calibration.mast_in_the_open)"
    if alpha and not _high_enough(learned, scene):
        yield f"the mast is {calibration.mast.height_m:g} m high, the load's centre {scene.load_height_m:g} m"
    if alpha and learned.control_realization != calibration.control_realization:
        known, wanted = calibration.control_realization, learned.control_realization
        yield f"it holds the error of member {known}, the rule takes member {wanted}"


def _error_mps(learned: Learned, wind: LoadWind, scene: Scene, ground: Ground) -> Array:
    """Allowance at the load, (station, step); NaN where the mast says nothing of the station."""
    assert learned.chance_ratio is not None  # noqa: S101  held by the caller
    labels = scene.feed["realization"].to_numpy()
    if learned.control_realization not in labels:
        return np.full((len(scene.longitude_deg), scene.near.shape[1]), np.nan)
    member = int(np.flatnonzero(labels == learned.control_realization)[0])
    winds = wind, _before(learned, scene)
    raw, before = (by_member(one.gust_mps, scene.near)[:, member].astype(np.float64) for one in winds)
    allowed = allowance_over_time_mps(learned.calibration, before, _lead_h(scene), learned.chance_ratio)
    return np.where(ground.trusted[:, None], allowed * carried_ratio(raw, before, ground.relief[:, None]), np.nan)


def _error_field(error_mps: Values) -> dict[str, Any]:
    return {"forecast_error_mps": (("time", "station"), error_mps.T)}


def _share(found: Applied, raw_mps: Values) -> str:
    lowered = float(np.mean(found.gust_mps < raw_mps))
    return (
        f"{found.may_lower.mean():.0%} of the places and steps lie in the trained range; of all gusts {lowered:.0%} "
        "are lower than in the forecast as it is"
    )


def _told(learned: Learned, scene: Scene, more: tuple[str, ...]) -> dict[str, Any]:
    """The attribute `calibration`, and the same among the remarks."""
    made = learned.calibration
    what = (
        "gusts at the load are calibrated members"
        if learned.chance_ratio is None
        else "the factor on the limits is fitted"
    )
    days = f"{made.trained_from} to {made.trained_until}"
    first = f"{what}, by {learned.file}: {made.runs} runs against the mast '{made.mast.name}', {days}"
    remarks = [*json.loads(str(scene.feed.attrs["remarks"])), first, *more]
    told = {"calibration": [first, *more], "remarks": remarks}
    return {name: json.dumps(value, ensure_ascii=False) for name, value in told.items()}
