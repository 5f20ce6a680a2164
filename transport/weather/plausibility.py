"""Gates on the values around the road in the time asked for: complete, physical, not stuck, units of one kind."""

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from shared.tables import figure
from transport.weather.dew import dew_point_K
from transport.weather.fields import Values, bounds_of
from transport.weather.neighbourhood import Neighbourhood

__all__ = ["Refusal", "implausible", "one_unit", "physical"]


class Refusal(NamedTuple):
    """A gate that is shut, and why."""

    gate: str
    message: str


def implausible(near: Neighbourhood, used: np.ndarray, ahead: np.ndarray, gust_kind: str) -> Iterator[Refusal]:
    """Every reason in the values themselves.

    Values may be missing after the time asked for (`used`): a start that meets one is not decided. But every step from
    now on (`ahead`) must be believable, since starts are decided over all of them. What speaks for one place alone, in
    whole knots perhaps, may well say the same or calm for hours.
    Source: house rules, each gate names its own.
    """
    gone = "gust_mps" if gust_kind == "none" else ""
    fields = {name: values for name, values in (near.high | near.low).items() if name != gone}
    for name, values in fields.items():
        if name in ("mean_wind_mps", "gust_mps") or not np.isnan(values).all():
            yield from _complete(name, values[:, used])
            yield from physical(name, values[:, ahead])
    yield from _too_dry(near, ahead)
    if near.altitude_m.size > 1:
        for name in ("mean_wind_mps", "gust_mps"):
            if name in fields:
                yield from _stuck(name, fields[name][:, ahead])
        yield from _repeated(near, ahead)
    if "gust_mps" in fields:
        yield from one_unit(near.mean_at_end[:, ahead], fields["gust_mps"][:, ahead])


def _complete(name: str, values: Values) -> Iterator[Refusal]:
    lost = np.isnan(values)
    if lost.any():
        members = int(lost.any(axis=(1, 2)).sum())
        yield Refusal(
            "missing values",
            f"{name} is missing in {members} of {len(values)} members around the road in the time asked for; "
            "nothing is filled in, fetch the file again",
        )


def physical(name: str, values: Values) -> Iterator[Refusal]:
    """Values that no weather near the ground has; NaN is left to others.

    Source: practice, shared/published/weather_fields.csv (practice).
    """
    bounds, known = bounds_of(name), values[~np.isnan(values)]
    wrong = known[~((known >= bounds.low) & (known <= bounds.high))]
    if wrong.size:
        yield Refusal(
            "implausible values",
            f"{name} holds {wrong[0]:g}, allowed is {bounds.low:g} to {bounds.high:g}; is the unit wrong?",
        )


def _too_dry(near: Neighbourhood, ahead: np.ndarray) -> Iterator[Refusal]:
    """A humidity from 0 to 1 that is labelled % would make every dew point harmless.

    Source: common practice, no source (practice).
    """
    least = figure("weather_humidity_least_ratio")
    air_K, dew_K = near.low["air_temperature_K"][:, ahead], near.high["dew_point_K"][:, ahead]
    low_K, high_K, *_ = bounds_of("air_temperature_K")
    known = (air_K >= low_K) & (air_K <= high_K) & ~np.isnan(dew_K)
    if known.any() and not (dew_K[known] >= dew_point_K(air_K[known], np.asarray(least))).any():
        what = f"the relative humidity lies below {100 * least:g} % everywhere and always"
        yield Refusal("implausible values", f"{what}; is it a number from 0 to 1 that is labelled %?")


def _stuck(name: str, values: Values) -> Iterator[Refusal]:
    zero = values <= figure("weather_negligible_mps")
    zeros = float(max(zero.mean(axis=(0, 2)).max(), zero.mean(axis=(1, 2)).max()))
    if not zeros <= figure("weather_zero_share_ratio"):
        yield Refusal(
            "stuck values",
            f"{100 * zeros:.0f} % of {name} in one step or member is exactly zero; a cut or empty file looks so",
        )
    if values.size > 1 and np.min(values) == np.max(values):
        yield Refusal("stuck values", f"{name} is {values.flat[0]:g} everywhere; a cut or empty file looks like this")


def _repeated(near: Neighbourhood, ahead: np.ndarray) -> Iterator[Refusal]:
    """A forecast that was lengthened by its last hour, or a member that stands still, looks as calm as that hour.

    One hour is enough where many numbers stand still at once, several where there are few: they may be rounded.
    Source: common practice, no source (practice).
    """
    ends, same = near.end[ahead], (np.diff(near.mean_at_end[:, ahead], axis=1) == 0.0).all(axis=2)
    members, _, nodes = near.mean_at_end.shape
    if same.all():
        return
    if members * nodes >= figure("weather_repeat_values") and same.all(axis=0).any():
        step = int(np.argmax(same.all(axis=0)))
        what = f"mean_wind_mps is the same at {ends[step]} and {ends[step + 1]} UTC in every member"
        yield Refusal("stuck values", f"{what}; a file that was filled up with copies of an hour looks so")
        return
    steps = round(figure("weather_repeat_steps"))
    if nodes > 1 and same.shape[1] >= steps:
        still = np.argwhere(np.lib.stride_tricks.sliding_window_view(same, steps, axis=1).all(axis=2))
        for member, step in still[:1]:
            what = f"mean_wind_mps of member {member + 1} of {members} stands still from {ends[step]} UTC"
            yield Refusal("stuck values", f"{what} for {steps} steps or more; fetch the file again")


def one_unit(mean_at_end: Values, gust: Values) -> Iterator[Refusal]:
    """Gust and mean that cannot both be in the unit they claim; arrays of one shape.

    Source: common practice, no source (practice).
    """
    below = float(np.mean(gust < mean_at_end - figure("weather_gust_below_mean_mps")))
    if not below <= figure("weather_gust_below_share_ratio"):
        yield Refusal(
            "gust and mean", f"the gust lies below the mean wind in {100 * below:.0f} % of the values; is a unit wrong?"
        )
    windy = (mean_at_end > figure("weather_ratio_from_mean_mps")) & ~np.isnan(gust)
    if windy.any():
        ratio = float(np.median(gust[windy] / mean_at_end[windy]))
        low, high = figure("weather_gust_ratio_low"), figure("weather_gust_ratio_high")
        if not low <= ratio <= high:
            yield Refusal(
                "gust and mean",
                f"gust over mean is {ratio:.2f} in the middle, believable is {low:g} to {high:g}; is a unit wrong?",
            )
