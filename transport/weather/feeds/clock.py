"""The clock of a feed: times in UTC, checked against each other, or refused."""

import re
import warnings
from typing import NamedTuple

import numpy as np
import xarray as xr

from shared.arrays import Array
from shared.errors import Fault, InputError
from transport.weather.feeds.packing import missing, unpacked
from transport.weather.feeds.raw import Raw
from transport.weather.feeds.units import scale_of
from transport.weather.fields import Instants

__all__ = ["Clock", "clock_of", "decoded", "one_of"]

CALENDARS = ("standard", "gregorian", "proleptic_gregorian")
UNITS = re.compile(
    r"(seconds?|minutes?|hours?|days?|s|min|h|d) since (\d{1,4}-\d{1,2}-\d{1,2})"
    r"(?:[T ]\s*(\d{1,2}:\d{1,2}(?::\d{1,2}(?:\.\d+)?)?))?\s*(?:(Z|UTC|GMT)|([+-])(\d{1,2})(?::?(\d{2}))?)?"
)


class Clock(NamedTuple):
    """Time axis of a feed, the instant its forecast starts from, and whether the two were checked with each other."""

    dimension: str
    time: Instants
    reference: np.datetime64
    cross_checked: bool


def one_of(raw: Raw, standard_name: str) -> str | None:
    """Name of the one variable with a standard name, None if there is none; two are an error.

    Source: CF conventions, 3.3 (read).
    """
    names = [name for name, variable in raw.variables.items() if variable.attrs.get("standard_name") == standard_name]
    if len(names) > 1:
        raise InputError(
            Fault(raw.file, ", ".join(names), f"{len(names)} variables are called {standard_name}; keep one")
        )
    return names[0] if names else None


def decoded(variable: xr.Variable, units: object, calendar: object, where: str, name: str) -> Instants:
    """Instants in UTC, to the second; NaT where missing.

    A zone text other than UTC, Z, GMT or a numeric offset is refused: libraries read `CET` as UTC without a word.
    Source: CF conventions, 4.4 (read).
    """
    match = UNITS.fullmatch(units.strip()) if isinstance(units, str) else None
    if not match:
        example = "'hours since 2026-03-10 00:00:00', in UTC or with an offset such as +01:00"
        raise InputError(
            Fault(where, name, f"time units '{units}' are not understood; allowed is for example {example}")
        )
    if calendar not in (None, *CALENDARS):
        allowed = ", ".join(CALENDARS)
        raise InputError(Fault(where, name, f"calendar '{calendar}' is not that of the clock; allowed are {allowed}"))
    plain = f"{match[1]} since {match[2]} {match[3] or '00:00:00'}"
    offset_min = (60 * int(match[6]) + int(match[7] or 0)) * (-1 if match[5] == "-" else 1) if match[6] else 0
    seconds = _seconds(unpacked(variable).astype(np.float64), plain, str(calendar or "standard"))
    if seconds is None:
        raise InputError(Fault(where, name, "times lie outside the range of the clock; correct the file"))
    return np.asarray((seconds - np.timedelta64(offset_min, "m")).reshape(variable.shape))


def _seconds(numbers: Array, units: str, calendar: str) -> Instants | None:
    coded = xr.Dataset({"t": xr.Variable(("x",), numbers.ravel(), {"units": units, "calendar": calendar})})
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            times = xr.decode_cf(coded)["t"].to_numpy()
    except (ValueError, OverflowError):
        return None
    if times.dtype.kind != "M":
        return None
    return np.asarray((times.astype("datetime64[ms]") + np.timedelta64(500, "ms")).astype("datetime64[s]"))


def clock_of(raw: Raw) -> Clock:
    """Time axis, reference time and lead times of a feed, checked.

    Errors: InputError for a missing, broken, duplicate or reversed time, more than one forecast run in the file, and
    time other than reference + lead (local time written as UTC).      Source: CF conventions, 4.4 (read).
    """
    name = one_of(raw, "time")
    if name is None or raw.variables[name].ndim != 1:
        raise InputError(
            Fault(raw.file, name or "time", "there is no time axis of one dimension with standard_name 'time'")
        )
    time, reference = _times(raw, name), _reference(raw)
    _check_axis(time, raw.file, name)
    if time[0] < reference:
        raise InputError(
            Fault(raw.file, name, f"begins at {time[0]} UTC, before the forecast's reference time {reference} UTC")
        )
    return Clock(str(raw.variables[name].dims[0]), time, reference, _cross_checked(raw, time, reference))


def _times(raw: Raw, name: str) -> Instants:
    variable = raw.variables[name]
    return decoded(variable, variable.attrs.get("units"), variable.attrs.get("calendar"), raw.file, name)


def _check_axis(time: Instants, where: str, name: str) -> None:
    if len(time) < 2:
        raise InputError(Fault(where, name, f"holds {len(time)} times, at least 2 are needed to make a step"))
    if np.isnat(time).any():
        raise InputError(Fault(where, name, "has a missing time; fetch the file again"))
    steps = np.diff(time)
    zero = np.timedelta64(0, "s")
    if not (steps > zero).all():
        at = time[int(np.argmin(steps > zero)) + 1]
        fault = "twice" if (steps == zero).any() else "after a later time"
        raise InputError(Fault(where, name, f"the time {at} UTC stands {fault}; the times of a feed must rise"))


def _reference(raw: Raw) -> np.datetime64:
    name = one_of(raw, "forecast_reference_time")
    if name is None:
        raise InputError(
            Fault(
                raw.file,
                "forecast_reference_time",
                "is missing, so the age of the forecast is unknown; add a variable "
                "with standard_name 'forecast_reference_time'",
            )
        )
    runs = np.unique(_times(raw, name))
    if len(runs) != 1 or np.isnat(runs[0]):
        raise InputError(
            Fault(raw.file, name, f"names {len(runs)} forecast runs, allowed is exactly one, and not a missing one")
        )
    return np.datetime64(runs[0], "s")


def _cross_checked(raw: Raw, time: Instants, reference: np.datetime64) -> bool:
    name = one_of(raw, "forecast_period")
    if name is None:
        return False
    variable = raw.variables[name]
    scale = scale_of("forecast_period", variable.attrs.get("units"), raw.file, name)
    if variable.shape != time.shape or missing(variable).any():
        raise InputError(Fault(raw.file, name, "does not give a lead time for each time; correct the file"))
    lead_s = np.round(unpacked(variable).astype(np.float64) * scale.factor).astype("timedelta64[s]")
    wrong = time != reference + lead_s
    if wrong.any():
        at = int(np.argmax(wrong))
        lead = f"lead {lead_s[at] / np.timedelta64(1, 'h'):g} h"
        what = f"time {time[at]} UTC is not reference {reference} UTC + {lead}; is it local time? correct the file"
        raise InputError(Fault(raw.file, name, what))
    return True
