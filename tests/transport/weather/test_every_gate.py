"""Every way in which a feed can be wrong, one at a time: the file that has just this fault, and what is then said.

A fault of the values shuts a gate, and what `assess` refuses leaves every start undecided; a fault of the structure
refuses the file. Neither ever ends as a smaller wind. The rows are the ways to go wrongly known to us (practice).
"""

import json
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
import pytest
import xarray as xr

from shared.errors import InputError
from transport.weather.assess import assess
from transport.weather.feeds import extract, feed, netcdf, raw
from transport.weather.feeds.inputs import Feed
from transport.weather.feeds.normal_form import normal_form
from transport.weather.inputs import Site, Weather
from transport.window.reasons import refusals

START = datetime(2026, 3, 10, tzinfo=UTC)
KNOT = 1852.0 / 3600.0
Change = Callable[[xr.Dataset], xr.Dataset]
Write = Callable[..., Path]


class Gate(NamedTuple):
    """A fault, the gates it shuts, and the whole first message without the name of the file."""

    change: Change
    gates: str
    said: str
    asked: dict[str, Any] = {}  # noqa: RUF012 - read only


class Refused(NamedTuple):
    """A fault, and how the message begins after the name of the file."""

    change: Change
    said: str


def same(data: xr.Dataset) -> xr.Dataset:
    return data


def at(name: str, where: Any, value: Any) -> Change:
    def change(data: xr.Dataset) -> xr.Dataset:
        values = data[name].to_numpy().copy()
        values[where] = value
        return data.assign({name: (data[name].dims, values, data[name].attrs)})

    return change


def copied(name: str, there: Any, origin: Any) -> Change:
    return lambda data: at(name, there, data[name].to_numpy()[origin])(data)


def times(factor: float, *names: str, **attrs: str) -> Change:
    def change(data: xr.Dataset) -> xr.Dataset:
        return data.assign(
            {
                name: (data[name].dims, (data[name].to_numpy() * factor).astype("f4"), data[name].attrs | attrs)
                for name in names
            }
        )

    return change


def with_attrs(name: str, **attrs: Any) -> Change:
    def change(data: xr.Dataset) -> xr.Dataset:
        variable = data.variables[name].copy()
        variable.attrs = {key: value for key, value in (variable.attrs | attrs).items() if value is not None}
        coordinate = name in data.coords
        return data.assign_coords({name: variable}) if coordinate else data.assign({name: variable})

    return change


def axis(name: str, values: Any) -> Change:
    return lambda data: data.assign_coords({name: (data[name].dims, np.asarray(values), data[name].attrs)})


def both(*changes: Change) -> Change:
    def change(data: xr.Dataset) -> xr.Dataset:
        for one in changes:
            data = one(data)
        return data

    return change


def hours(*kept: int) -> Change:
    return lambda data: data.isel(time=list(kept))


def members(*kept: int) -> Change:
    return lambda data: data.isel(realization=list(kept))


def copied_while_asked(data: xr.Dataset) -> xr.Dataset:
    """Member 5 is a copy of member 4 in the hours asked for, and another one later."""
    names = [str(name) for name in data if data[name].dims[:1] == ("realization",)]
    return both(*(copied(name, np.s_[5, 5:22], np.s_[4, 5:22]) for name in names))(data)


def rain_since_the_start(data: xr.Dataset) -> xr.Dataset:
    ends = np.arange(31)
    totals = np.cumsum(data["tp"].to_numpy(), axis=1)
    totals[0, 12:] -= 30.0
    return data.assign(
        tp=(data["tp"].dims, totals, data["tp"].attrs),
        time_bnds=(("time", "bnds"), np.stack([0 * ends, ends], axis=1)),
        fg10=(data["fg10"].dims, data["fg10"].to_numpy(), data["fg10"].attrs | {"cell_methods": "time: point"}),
    )


def humidity(data: xr.Dataset) -> xr.Dataset:
    """From 0.5 to 0.9, labelled %."""
    ratio = 0.5 + 0.4 * np.random.default_rng(3).random(data["d2"].shape, dtype="f4")
    return data.assign(
        d2=(data["d2"].dims, ratio, data["d2"].attrs | {"standard_name": "relative_humidity", "units": "%"})
    )


def ten_minutes(data: xr.Dataset) -> xr.Dataset:
    """Each gust is that of the last ten minutes of its hour; of the others nothing is said."""
    ends = np.arange(31.0)
    return data.drop_vars("tp").assign(time_bnds=(("time", "bnds"), np.stack([ends - 1.0 / 6.0, ends], axis=1)))


def packed(scale: float, fill: int | None, name: str = "fg10") -> Change:
    def change(data: xr.Dataset) -> xr.Dataset:
        attrs = data[name].attrs | {"scale_factor": scale} | ({} if fill is None else {"_FillValue": np.int16(fill)})
        return data.assign({name: (data[name].dims, np.round(data[name].to_numpy() / scale).astype("i2"), attrs)})

    return change


NEAR = np.s_[:, 9:14]
LATER = {"as_of": START + timedelta(hours=20)}
EARLIER = {"as_of": START - timedelta(hours=1)}
LOST = "; nothing is filled in, fetch the file again"
WHERE = "of 6 members around the road in the time asked for" + LOST
EIGHT = " ".join(["missing values"] * 8)

GATES = {
    "stale": Gate(same, "age", "the forecast is 20.0 h old, allowed are 12 h; fetch a newer one", LATER),
    "reference in the future": Gate(
        same,
        "future reference",
        "the forecast starts at 2026-03-10T00:00:00 UTC, 1.0 h after now; check the clocks",
        EARLIER,
    ),
    "begins too late": Gate(
        same,
        "coverage in time",
        "begins at 2026-03-10T00:00:00 UTC, weather is needed from 2026-03-09T23:00:00 UTC",
        {"as_of": START, "needed_from": START - timedelta(hours=1)},
    ),
    "ends before the move": Gate(
        hours(*range(20)),
        "coverage in time",
        "ends at 2026-03-10T19:00:00 UTC, weather is needed until 2026-03-10T20:00:00 UTC; fetch a longer forecast",
    ),
    "road outside the grid": Gate(
        lambda data: data.isel(lon=slice(1, None)),
        "coverage in space",
        "2 of 9 stations lie outside the grid; fetch a wider one",
        {"longitude_deg": np.linspace(-21.46, -21.40, 9)},
    ),
    "an hour is lost": Gate(
        hours(*(hour for hour in range(31) if hour != 9)),
        "gap in time missing values missing values missing values missing values missing values missing values "
        "missing values",
        "nothing between 2026-03-10T08:00:00 and 2026-03-10T10:00:00 UTC; a gap is not bridged, fetch the file again",
    ),
    "members are missing": Gate(
        members(0, 1, 2, 3), "members", "holds 4 members, allowed from 5; fetch the whole ensemble"
    ),
    "a member stands twice": Gate(
        axis("realization", [0, 1, 2, 3, 4, 4]), "members", "a member stands twice; fetch the file again"
    ),
    "members are copies": Gate(
        both(members(0, 0, 0, 0, 0, 0), axis("realization", range(6))),
        "members",
        "only 1 of 6 members differ, the others are copies; fetch the file again",
    ),
    "a member is a copy in the time asked for": Gate(
        copied_while_asked, "members", "only 5 of 6 members differ, the others are copies; fetch the file again"
    ),
    "all members share one gust": Gate(
        lambda data: data.assign(fg10=data["fg10"].isel(realization=0, drop=True)),
        "members",
        "only 1 of 6 members differ in the gust, the others are copies; fetch the file again",
    ),
    **{
        f"one {field} is NaN in one member": Gate(
            at(name, (3, 10, 1, 1), np.nan), "missing values", f"{field} is missing in 1 {WHERE}"
        )
        for name, field in {
            "fg10": "gust_mps",
            "u10": "mean_wind_mps",
            "t2": "air_temperature_K",
            "d2": "dew_point_K",
            "ps": "surface_pressure_Pa",
            "tp": "precipitation_mm_per_h",
            "vis": "visibility_m",
        }.items()
    },
    "gust masked everywhere": Gate(at("fg10", np.s_[:], np.nan), "missing values", f"gust_mps is missing in 6 {WHERE}"),
    "one member has only every third hour": Gate(
        both(*(at(name, np.s_[2, np.arange(31) % 3 != 0], np.nan) for name in ("u10", "v10", "fg10"))),
        "missing values missing values",
        f"mean_wind_mps is missing in 1 {WHERE}",
    ),
    "packed fill value": Gate(
        both(packed(0.01, -32768), at("fg10", (1, 12, 1, 1), -32768)),
        "missing values",
        f"gust_mps is missing in 1 {WHERE}",
    ),
    "outside its own valid range": Gate(
        both(with_attrs("fg10", valid_max=np.float32(40.0)), at("fg10", (1, 12, 1, 1), 41.0)),
        "missing values",
        f"gust_mps is missing in 1 {WHERE}",
    ),
    "gust of ten minutes in each hour": Gate(ten_minutes, "missing values", f"gust_mps is missing in 6 {WHERE}"),
    "rain falls back": Gate(
        rain_since_the_start,
        "gust missing values",
        "holds the gust of an instant, not the maximum of each step; take a feed with cell_methods 'time: maximum', or "
        "set estimates_gust = true to bound the gust by the mean wind and its turbulence",
    ),
    "gust of an instant": Gate(
        with_attrs("fg10", cell_methods=None),
        "gust",
        "holds the gust of an instant, not the maximum of each step; take a feed with cell_methods 'time: maximum', or "
        "set estimates_gust = true to bound the gust by the mean wind and its turbulence",
    ),
    "maximum over space only": Gate(
        with_attrs("fg10", cell_methods="area: maximum"),
        "gust",
        "holds the gust of an instant, not the maximum of each step; take a feed with cell_methods 'time: maximum', or "
        "set estimates_gust = true to bound the gust by the mean wind and its turbulence",
    ),
    "no gust": Gate(
        lambda data: data.drop_vars("fg10"),
        "gust",
        "holds no gust; take a feed with cell_methods 'time: maximum', or set estimates_gust = true to bound the gust "
        "by the mean wind and its turbulence",
    ),
    "stronger than any wind": Gate(
        at("fg10", (0, 10, 1, 1), 80.0),
        "implausible values",
        "gust_mps holds 80, allowed is 0 to 75; is the unit wrong?",
    ),
    "library's fill value": Gate(
        at("fg10", (0, 10, 1, 1), 9.97e36),
        "implausible values",
        "gust_mps holds 9.97e+36, allowed is 0 to 75; is the unit wrong?",
    ),
    "negative gust": Gate(
        at("fg10", NEAR, -1.0),
        "implausible values stuck values gust and mean",
        "gust_mps holds -1, allowed is 0 to 75; is the unit wrong?",
    ),
    "air in degrees Celsius labelled kelvin": Gate(
        at("t2", np.s_[:], np.float32(8.0)),
        "implausible values air density",
        "air_temperature_K holds 8, allowed is 180 to 340; is the unit wrong?",
    ),
    "pressure in hPa labelled Pa": Gate(
        at("ps", np.s_[:], np.float32(780.0)),
        "implausible values",
        "surface_pressure_Pa holds 780, allowed is 30000 to 110000; is the unit wrong?",
    ),
    "negative rain": Gate(
        at("tp", (0, 10, 1, 1), -2.0),
        "implausible values",
        "precipitation_mm_per_h holds -2, allowed is 0 to 500; is the unit wrong?",
    ),
    "sight in m labelled km": Gate(
        with_attrs("vis", units="km"),
        "implausible values",
        "visibility_m holds 1.92819e+07, allowed is 0 to 1e+06; is the unit wrong?",
    ),
    "humidity from 0 to 1 labelled %": Gate(
        humidity,
        "implausible values",
        "the relative humidity lies below 1.1 % everywhere and always; is it a number from 0 to 1 that is labelled %?",
    ),
    "zeros in a few hours": Gate(
        at("fg10", NEAR, 0.0),
        "stuck values gust and mean",
        "100 % of gust_mps in one step or member is exactly zero; a cut or empty file looks so",
    ),
    "all but zero": Gate(
        at("fg10", NEAR, 1e-38),
        "stuck values gust and mean",
        "100 % of gust_mps in one step or member is exactly zero; a cut or empty file looks so",
    ),
    "a member of zeros": Gate(
        both(*(at(name, np.s_[5], 0.0) for name in ("u10", "v10", "fg10"))),
        "stuck values stuck values stuck values",
        "100 % of mean_wind_mps in one step or member is exactly zero; a cut or empty file looks so",
    ),
    "one gust everywhere": Gate(
        at("fg10", np.s_[:], 12.5),
        "members stuck values",
        "only 1 of 6 members differ in the gust, the others are copies; fetch the file again",
    ),
    "the last hours are copies of one": Gate(
        both(*(copied(name, np.s_[:, 16:], np.s_[:, 15:16]) for name in ("u10", "v10"))),
        "stuck values",
        "mean_wind_mps is the same at 2026-03-10T15:00:00 and 2026-03-10T16:00:00 UTC in every member; a file that was "
        "filled up with copies of an hour looks so",
    ),
    "a member stands still": Gate(
        both(*(copied(name, np.s_[2], np.s_[2, :1]) for name in ("u10", "v10"))),
        "stuck values",
        "mean_wind_mps of member 3 of 6 stands still from 2026-03-10T07:00:00 UTC for 6 steps or more; fetch the file "
        "again",
    ),
    "gust in knots labelled m/s": Gate(
        times(1.0 / KNOT, "fg10"),
        "gust and mean",
        "gust over mean is 3.06 in the middle, believable is 1.05 to 2.5; is a unit wrong?",
    ),
    "mean wind in knots labelled m/s": Gate(
        times(1.0 / KNOT, "u10", "v10"),
        "gust and mean gust and mean",
        "the gust lies below the mean wind in 100 % of the values; is a unit wrong?",
    ),
    "gust in m/s labelled knots": Gate(
        with_attrs("fg10", units="knots"),
        "gust and mean gust and mean",
        "the gust lies below the mean wind in 100 % of the values; is a unit wrong?",
    ),
    "the mean shown as gust": Gate(
        lambda data: at("fg10", np.s_[:], np.hypot(data["u10"].to_numpy(), data["v10"].to_numpy()))(data),
        "gust and mean",
        "gust over mean is 1.00 in the middle, believable is 1.05 to 2.5; is a unit wrong?",
    ),
    "gust below the mean at many places": Gate(
        at("fg10", np.s_[:3, ::4], 2.0),
        "gust and mean",
        "the gust lies below the mean wind in 12 % of the values; is a unit wrong?",
    ),
    "road far above the model's ground": Gate(
        at("orog", np.s_[:], 1100.0),
        "height of the ground",
        "the road lies up to 1150 m off the model's ground, allowed are 300 m; a smoothed slope says little about a "
        "ridge, use a finer model",
    ),
    "ground unknown": Gate(
        lambda data: data.drop_vars("orog"),
        "height of the ground",
        "the height of the model's ground is not known; add surface_altitude to the file, or surface_altitude_m to "
        "[[weather.feed]]",
    ),
    "hole in the ground": Gate(
        at("orog", (1, 1), np.nan),
        "height of the ground",
        "the height of the model's ground is not known; add surface_altitude to the file, or surface_altitude_m to "
        "[[weather.feed]]",
    ),
}


def through_a_file(path: Path, role: str = "forecast") -> xr.Dataset:
    """What a feed becomes, by the code of the child process but without the process."""
    out = path.with_suffix(".npz")
    extract.extract(str(path), str(out), 10**9, "all", "netcdf4", list(netcdf.STANDARD_NAMES))
    return normal_form(raw.load(out, path.name), Feed(path=path.name, role=role))  # type: ignore[arg-type]


def test_the_file_without_a_fault_passes(
    content: xr.Dataset, write: Write, site: Site, weather: Weather, road: dict[str, Any]
) -> None:
    assert assess(through_a_file(write(content)), site, weather, **road).attrs["refusals"] == "[]"


@pytest.mark.parametrize("name", GATES)
def test_gate(content: xr.Dataset, write: Write, site: Site, weather: Weather, road: dict[str, Any], name: str) -> None:
    gate = GATES[name]
    path = write(gate.change(content))
    found = assess(through_a_file(path), site, weather, **road | gate.asked)
    shut = json.loads(found.attrs["refusals"])
    assert " ".join(one["gate"] for one in shut) == gate.gates
    assert shut[0]["message"] == f"forecast.nc: {gate.said}"
    assert refusals(found)[0] == shut[0]["message"]


@pytest.mark.parametrize(("name", "hours_old"), [("stale", 20), ("reference in the future", -1)])
def test_age_of_a_second_opinion(
    content: xr.Dataset, write: Write, site: Site, weather: Weather, road: dict[str, Any], name: str, hours_old: int
) -> None:
    """The age of every feed counts, not only that of the forecast."""
    second = through_a_file(write(content, "second.nc"), "second_opinion")
    assert assess(second, site, weather, **road).attrs["refusals"] == "[]"
    found = assess(second, site, weather, **road | {"as_of": START + timedelta(hours=hours_old)})
    (shut,) = json.loads(found.attrs["refusals"])
    assert (shut["gate"], shut["message"]) == (GATES[name].gates, f"second.nc: {GATES[name].said}")


AXES = "realization, time and the grid's lat and lon, each a variable with its standard_name"
REFUSED: dict[str, Refused] = {
    "no units": Refused(
        with_attrs("fg10", units=None), "fg10: no units for wind_speed_of_gust, allowed are m s-1, m/s,"
    ),
    "empty units": Refused(
        with_attrs("fg10", units=""), "fg10: units '' for wind_speed_of_gust, allowed are m s-1, m/s,"
    ),
    "unknown units": Refused(
        with_attrs("u10", units="kmh"), "u10: units 'kmh' for eastward_wind, allowed are m s-1, m/s,"
    ),
    "degrees as C": Refused(
        with_attrs("t2", units="C"), "t2: units 'C' for air_temperature, allowed are K, kelvin, degC,"
    ),
    "no units of time": Refused(
        with_attrs("time", units="hours"), "time: time units 'hours' are not understood; allowed is"
    ),
    "zone as text": Refused(
        with_attrs("time", units="hours since 2026-03-10 00:00:00 CET"),
        "time: time units 'hours since 2026-03-10 00:00:00 CET' are not understood; allowed is for example 'hours",
    ),
    "calendar of a climate model": Refused(
        with_attrs("time", calendar="360_day"),
        "time: calendar '360_day' is not that of the clock; allowed are standard, gregorian, proleptic_gregorian",
    ),
    "local time written as UTC": Refused(
        lambda data: axis("time", data["time"].to_numpy() + 1)(data.assign(time_bnds=data["time_bnds"] + 1)),
        "lead: time 2026-03-10T01:00:00 UTC is not reference 2026-03-10T00:00:00 UTC + lead 0 h; is it local time? "
        "correct the file",
    ),
    "a time twice": Refused(
        axis("time", [*range(30), 29]),
        "time: the time 2026-03-11T05:00:00 UTC stands twice; the times of a feed must rise",
    ),
    "times that fall": Refused(
        axis("time", [*range(29), 30, 29]),
        "time: the time 2026-03-11T05:00:00 UTC stands after a later time; the times of a feed must rise",
    ),
    "a missing time": Refused(axis("time", [*range(30), np.nan]), "time: has a missing time; fetch the file again"),
    "no reference time": Refused(
        lambda data: data.drop_vars("run"),
        "forecast_reference_time: is missing, so the age of the forecast is unknown; add a variable with standard_name "
        "'forecast_reference_time'",
    ),
    "two runs in one file": Refused(
        lambda data: data.assign(run=(("runs",), np.array([0, 6]), data["run"].attrs)),
        "run: names 2 forecast runs, allowed is exactly one, and not a missing one",
    ),
    "begins before its own reference": Refused(
        with_attrs("run", units="hours since 2026-03-10 06:00:00"),
        "time: begins at 2026-03-10T00:00:00 UTC, before the forecast's reference time 2026-03-10T06:00:00 UTC",
    ),
    "hole in the grid": Refused(
        lambda data: data.isel(lon=[0, 1, 2, 4]),
        "lon: has a hole of 0.2 degrees, the usual spacing is 0.1; no value is made up across a hole",
    ),
    "a node twice": Refused(axis("lat", [-38.6, -38.5, -38.5, -38.4]), "lat: -38.5 stands twice; keep one"),
    "latitude and longitude swapped": Refused(
        both(with_attrs("lat", standard_name="longitude"), with_attrs("lon", standard_name="latitude")),
        "lon: units 'degrees_east' for latitude, allowed are degrees_north, degree_north, degrees_N, degree_N; correct "
        "the file",
    ),
    "wind at 80 m": Refused(
        with_attrs("height10", units="km"),
        "wind_speed_of_gust: 0 variables fit (fg10 at 10000 m), exactly one at 10 m above ground is needed; give each "
        "its scalar coordinate with standard_name 'height'",
    ),
    "wind at two heights of 10 m": Refused(
        lambda data: data.assign(u11=data["u10"]),
        "eastward_wind: 2 variables fit (u10 at 10 m, u11 at 10 m), exactly one at 10 m above ground is needed; give "
        "each its scalar coordinate with standard_name 'height'",
    ),
    "levels of the model": Refused(
        lambda data: data.assign(u10=data["u10"].expand_dims(level=3)),
        f"u10: has axes level, realization, time, lat, lon, allowed are {AXES}",
    ),
    "mean over time": Refused(
        with_attrs("u10", cell_methods="time: mean"),
        "u10: cell_methods says 'time: mean' for eastward_wind, allowed is point",
    ),
    "mean over the members": Refused(
        with_attrs("fg10", cell_methods="realization: mean time: maximum"),
        "fg10: cell_methods says 'realization: mean', which hides what single members say; fetch the members "
        "themselves",
    ),
    "packed without a value for missing": Refused(
        packed(0.01, None),
        "fg10: packed as integers without _FillValue: a missing value would read as a number; write _FillValue, or "
        "float32",
    ),
    "packed so that strong winds wrap": Refused(
        packed(0.001, -32768, "u10"),
        "u10: packing holds only -32.768 to 32.767: a stronger wind would have wrapped to a weaker one unseen; pack so "
        "that -75 to 75 fits, or write float32",
    ),
    "scale as text": Refused(
        with_attrs("fg10", scale_factor="0.01"), "fg10: attribute scale_factor is '0.01', allowed are 1"
    ),
    "gust of unknown length": Refused(
        lambda data: with_attrs("time", bounds=None)(data.drop_vars(["time_bnds", "tp"]).isel(time=[0, 1, 2, 3, 6, 9])),
        "wind_speed_of_gust: is a maximum over time, but neither bounds nor an even step tell over which time; add "
        "bounds to the time axis",
    ),
    "rain over unknown time": Refused(
        with_attrs("tp", cell_methods=None),
        "tp: cell_methods says 'time: point' for precipitation_amount, allowed is sum",
    ),
    "half a wind": Refused(
        lambda data: data.drop_vars("v10"),
        "holds only one of eastward_wind and northward_wind; both are needed",
    ),
    "where the wind goes": Refused(
        both(
            lambda data: data.drop_vars("u10"),
            with_attrs("v10", standard_name="wind_to_direction", units="degree"),
        ),
        "holds no wind: needed are eastward_wind and northward_wind, or wind_speed with wind_from_direction, by "
        "standard_name; the file has",
    ),
}


@pytest.mark.parametrize("name", REFUSED)
def test_refused_file(content: xr.Dataset, write: Write, name: str) -> None:
    change, said = REFUSED[name]
    path = write(change(content))
    with pytest.raises(InputError) as caught:
        through_a_file(path)
    assert str(caught.value).startswith(f"forecast.nc: {said}")


@pytest.mark.parametrize(
    ("engine", "kept", "said"),
    [
        ("scipy", 0.7, "cannot be read: the file is broken, or was cut on its way; fetch it again"),
        ("netcdf4", 0.7, "cannot be read: the file is broken, or was cut on its way; fetch it again"),
        ("netcdf4", 0.0, "the file is empty; fetch it again"),
    ],
)
def test_cut_file(content: xr.Dataset, write: Write, model: Feed, engine: str, kept: float, said: str) -> None:
    path = write(content, engine=engine)
    path.write_bytes(path.read_bytes()[: int(path.stat().st_size * kept)])
    with pytest.raises(InputError) as caught:
        feed.read(path, model)
    assert str(caught.value) == f"forecast.nc: {said}"
