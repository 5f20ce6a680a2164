"""Gates: is the forecast fresh, complete and believable? Each fault makes every start undecided, with its reason.

A gate passes only by a comparison that is true; NaN never passes.
"""

from collections.abc import Iterator
from datetime import datetime
from typing import NamedTuple

import numpy as np
import xarray as xr

from shared.arrays import Array
from shared.errors import InputError
from transport.weather.inputs import Weather
from transport.weather.neighbourhood import Neighbourhood
from transport.weather.plausibility import Refusal, implausible

__all__ = ["Asked", "asked", "ground_doubts", "judge", "utc"]


class Asked(NamedTuple):
    """The clock of the run, and the time for which weather is needed (UTC)."""

    as_of: np.datetime64
    needed_from: np.datetime64
    needed_until: np.datetime64


def utc(moment: datetime, name: str) -> np.datetime64:
    """An aware time as UTC; a time without a zone is refused.

    Source: house rule on time (practice).
    """
    if moment.tzinfo is None:
        raise InputError(f"{name}: {moment.isoformat()} has no time zone; add an offset such as Z or -01:00")
    return np.datetime64(round(moment.timestamp()), "s")


def asked(as_of: datetime, needed_from: datetime, needed_until: datetime) -> Asked:
    """The times that a run asks for.

    Errors: InputError for a time without a zone or an empty span.      Source: house rule on time (practice).
    """
    times = Asked(utc(as_of, "as_of"), utc(needed_from, "needed_from"), utc(needed_until, "needed_until"))
    if not times.needed_from < times.needed_until:
        raise InputError(
            f"weather is asked from {times.needed_from} to {times.needed_until} UTC; the end must come later"
        )
    return times


def judge(
    feed: xr.Dataset, near: Neighbourhood, weather: Weather, times: Asked, elevation_m: Array
) -> tuple[Refusal, ...]:
    """Every reason why this feed is not believed for these stations and times.

    A second opinion may have few members, holes, and less reach than the forecast, and may lack the gust: what it does
    not say leaves the starts undecided that would meet it. What it says must be as believable as a forecast.
    Source: house rules, each gate names its own.
    """
    file, second = str(feed.attrs["file"]), feed.attrs["role"] == "second_opinion"
    ahead = near.end > times.needed_from
    used = ahead & (near.start < times.needed_until) & (not second)
    found = [
        *_fresh(feed, weather, times),
        *(_says_wind(near) if second else _bounds_gust(feed)),
        *(() if second else _covers_time(near, times, used)),
        *_covers_road(near, second),
        *_members(feed, near, 1 if second else weather.minimum_members),
        *_spread(near, (ahead & (near.start < times.needed_until)) | ~ahead.any()),
        *(() if second else ground_doubts(feed, near, elevation_m, weather)),
        *(implausible(near, used, ahead, str(feed.attrs["gust_kind"])) if ahead.any() else ()),
    ]
    return tuple(Refusal(gate, f"{file}: {message}") for gate, message in found)


def _fresh(feed: xr.Dataset, weather: Weather, times: Asked) -> Iterator[Refusal]:
    reference = np.datetime64(str(feed.attrs["forecast_reference_time"]).removesuffix("Z"), "s")
    age_h = float((times.as_of - reference) / np.timedelta64(1, "h"))
    if not age_h >= 0.0:
        yield Refusal(
            "future reference", f"the forecast starts at {reference} UTC, {-age_h:.1f} h after now; check the clocks"
        )
    if not age_h <= weather.maximum_age_h:
        yield Refusal(
            "age", f"the forecast is {age_h:.1f} h old, allowed are {weather.maximum_age_h:g} h; fetch a newer one"
        )


def _bounds_gust(feed: xr.Dataset) -> Iterator[Refusal]:
    kind = str(feed.attrs["gust_kind"])
    if kind != "maximum" and not feed.attrs["estimates_gust"]:
        what = "holds no gust" if kind == "none" else "holds the gust of an instant, not the maximum of each step"
        yield Refusal(
            "gust",
            f"{what}; take a feed with cell_methods 'time: maximum', or set estimates_gust = true to bound the gust "
            "by the mean wind and its turbulence",
        )


def _says_wind(near: Neighbourhood) -> Iterator[Refusal]:
    if np.isnan(near.high["mean_wind_mps"]).all():
        yield Refusal("no wind", "holds no mean wind around the road, so it is no second opinion; take another")


def _covers_time(near: Neighbourhood, times: Asked, used: np.ndarray) -> Iterator[Refusal]:
    if not near.start[0] <= times.needed_from:
        yield Refusal(
            "coverage in time", f"begins at {near.start[0]} UTC, weather is needed from {times.needed_from} UTC"
        )
    if not near.end[-1] >= times.needed_until:
        yield Refusal(
            "coverage in time",
            f"ends at {near.end[-1]} UTC, weather is needed until {times.needed_until} UTC; fetch a longer forecast",
        )
    if (near.gap & used).any():
        at = int(np.argmax(near.gap & used))
        yield Refusal(
            "gap in time",
            f"nothing between {near.start[at]} and {near.end[at]} UTC; a gap is not bridged, fetch the file again",
        )


def _covers_road(near: Neighbourhood, second: bool) -> Iterator[Refusal]:
    if not near.outside.any():
        return
    count = f"{int(near.outside.sum())} of {len(near.outside)} stations lie outside"
    if second:
        what = f"does not cover the road, {count} its reach, so it is no second opinion; take another"
        yield Refusal("coverage in space", what)
    else:
        yield Refusal("coverage in space", f"{count} the grid; fetch a wider one")


def _members(feed: xr.Dataset, near: Neighbourhood, least: int) -> Iterator[Refusal]:
    labels = feed["realization"].to_numpy()
    if not len(labels) >= least:
        yield Refusal("members", f"holds {len(labels)} members, allowed from {least}; fetch the whole ensemble")
    if len(np.unique(labels)) != len(labels):
        yield Refusal("members", "a member stands twice; fetch the file again")


def _spread(near: Neighbourhood, used: np.ndarray) -> Iterator[Refusal]:
    """Members that are copies of each other in the time asked for count as one; a chance from them is false."""
    for name, what in (("mean_wind_mps", "members differ"), ("gust_mps", "members differ in the gust")):
        values = near.high[name][:, used] + np.float32(0.0)
        distinct, count = len({member.tobytes() for member in values}), len(values)
        if distinct != count and not np.isnan(values).all():
            what = f"only {distinct} of {count} {what}, the others are copies"
            yield Refusal("members", f"{what}; fetch the file again")
            return


def ground_doubts(feed: xr.Dataset, near: Neighbourhood, elevation_m: Array, weather: Weather) -> Iterator[Refusal]:
    """Why the ground of a feed lies too far from the road for its wind to be that of the road.

    A second opinion is not refused for it, since it can only close starts: there it is a remark.
    Source: common practice, no source (practice).
    """
    mismatch_m = np.abs(elevation_m - near.matrix @ near.altitude_m)[~near.outside]
    if np.isnan(near.altitude_m).any():
        yield Refusal(
            "height of the ground",
            "the height of the model's ground is not known; add surface_altitude to the file, or "
            "surface_altitude_m to [[weather.feed]]",
        )
    elif not (mismatch_m <= weather.maximum_height_mismatch_m).all():
        whose, remedy = "the model's ground", "a smoothed slope says little about a ridge, use a finer model"
        if "valid_within_m" in feed.attrs:
            whose, remedy = (
                "the ground of its station",
                "it says little about a road so far above or below, take another",
            )
        what = f"the road lies up to {np.max(mismatch_m):.0f} m off {whose}"
        allowed = f"allowed are {weather.maximum_height_mismatch_m:g} m"
        yield Refusal("height of the ground", f"{what}, {allowed}; {remedy}")
