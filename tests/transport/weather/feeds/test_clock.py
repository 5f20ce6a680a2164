"""The clock of a feed: what is refused, word for word, and what is understood."""

from collections.abc import Callable

import numpy as np
import pytest
import xarray as xr

from shared.errors import InputError
from transport.weather.feeds import clock
from transport.weather.feeds.raw import Raw

Read = Callable[[xr.Dataset], xr.Dataset]


def refused(read: Read, content: xr.Dataset) -> str:
    with pytest.raises(InputError) as caught:
        read(content)
    return str(caught.value)


def changed_time(content: xr.Dataset, hours: list[float]) -> xr.Dataset:
    return content.isel(time=range(len(hours))).assign_coords(time=("time", np.array(hours), content["time"].attrs))


def test_duplicate_reversed_and_missing_times(content: xr.Dataset, read: Read) -> None:
    text = refused(read, changed_time(content, [0, 1, 1, 2]))
    assert text == "forecast.nc: time: the time 2026-03-10T01:00:00 UTC stands twice; the times of a feed must rise"
    text = refused(read, changed_time(content, [0, 2, 1, 3]))
    assert text.startswith("forecast.nc: time: the time 2026-03-10T01:00:00 UTC stands after a later time;")
    text = refused(read, changed_time(content, [0, 1, np.nan, 3]))
    assert text == "forecast.nc: time: has a missing time; fetch the file again"
    text = refused(read, changed_time(content, [0]))
    assert text == "forecast.nc: time: holds 1 times, at least 2 are needed to make a step"


def test_local_time_written_as_utc(content: xr.Dataset, read: Read) -> None:
    shifted = content.assign_coords(time=("time", content["time"].to_numpy() + 1, content["time"].attrs))
    text = refused(read, shifted.assign(time_bnds=content["time_bnds"] + 1))
    assert text == (
        "forecast.nc: lead: time 2026-03-10T01:00:00 UTC is not reference 2026-03-10T00:00:00 UTC + lead 0 h; "
        "is it local time? correct the file"
    )


def test_lead_time_of_the_wrong_length_or_with_a_hole(content: xr.Dataset, read: Read) -> None:
    content["lead"] = ("time",), np.full(31, np.nan), content["lead"].attrs
    assert "lead: does not give a lead time for each time" in refused(read, content)
    content["lead"] = (), 0, content["lead"].attrs
    assert "lead: does not give a lead time for each time" in refused(read, content)


def test_without_lead_time_a_remark_is_made(content: xr.Dataset, read: Read) -> None:
    assert "no forecast_period" in read(content.drop_vars("lead")).attrs["remarks"]


def test_reference_time_is_needed_and_single(content: xr.Dataset, read: Read) -> None:
    assert "is missing, so the age of the forecast is unknown" in refused(read, content.drop_vars("run"))
    content["run"] = ("runs",), np.array([0, 6]), content["run"].attrs
    assert "run: names 2 forecast runs, allowed is exactly one" in refused(read, content)
    content["run"] = (), 6, content["run"].attrs
    assert "before the forecast's reference time 2026-03-10T06:00:00 UTC" in refused(read, content)


def test_no_time_axis(content: xr.Dataset, read: Read) -> None:
    del content["time"].attrs["standard_name"]
    assert "there is no time axis of one dimension" in refused(read, content)


def test_two_variables_of_one_name() -> None:
    twice = {name: xr.Variable((), 0.0, {"standard_name": "height"}) for name in ("a", "b")}
    with pytest.raises(InputError, match=r"x\.nc: a, b: 2 variables are called height; keep one"):
        clock.one_of(Raw("x.nc", twice, ("a", "b")), "height")


@pytest.mark.parametrize(
    ("units", "expected"),
    [
        ("seconds since 2026-03-10T06:00:00Z", "2026-03-10T06:00:01"),
        ("minutes since 2026-3-10 6:00", "2026-03-10T06:01:00"),
        ("hours since 2026-03-10 06:00:00 UTC", "2026-03-10T07:00:00"),
        ("days since 2026-03-10", "2026-03-11T00:00:00"),
        ("hours since 2026-03-10 06:00:00 -01:30", "2026-03-10T08:30:00"),
        ("hours since 2026-03-10 06:00:00.0 +0100", "2026-03-10T06:00:00"),
    ],
)
def test_units_that_are_understood(units: str, expected: str) -> None:
    one = xr.Variable(("t",), np.array([1], "i4"))
    assert clock.decoded(one, units, "gregorian", "x.nc", "t")[0] == np.datetime64(expected)


@pytest.mark.parametrize(
    "units",
    [None, "", 3, "hours since then", "hours since 2026-03-10 00:00 Europe/Madrid", "fortnights since 2026-03-10"],
)
def test_units_that_are_refused(units: object) -> None:
    with pytest.raises(InputError, match="are not understood; allowed is for example"):
        clock.decoded(xr.Variable(("t",), np.array([1])), units, None, "x.nc", "t")


@pytest.mark.parametrize("value", [1e30, 9e8])
def test_time_beyond_the_clock(value: float) -> None:
    with pytest.raises(InputError, match="times lie outside the range of the clock"):
        clock.decoded(xr.Variable(("t",), np.array([value])), "days since 2026-01-01", None, "x.nc", "t")
