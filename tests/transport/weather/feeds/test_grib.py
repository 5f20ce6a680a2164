"""GRIB2 files from end to end: a real one, and an invented ensemble, each against the cfgrib reader."""

import importlib.metadata
import json
import subprocess
import sys
import warnings
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import xarray as xr
from packaging.requirements import Requirement

from shared.errors import InputError
from transport.weather.assess import assess
from transport.weather.feeds import feed, raw
from transport.weather.feeds.grib import read as grib
from transport.weather.feeds.inputs import Feed
from transport.weather.inputs import Site, Weather

Save = Callable[..., Path]
SAME = ("10u", "10v", "2t", "2d", "sp", "vis")
FIELDS = [("gust", ("10fg", "10fg3")), ("tp_m", ("tp",)), *((name, (name,)) for name in SAME)]
NAM = ("10u", "10v", "gust", "2t", "2r", "sp", "orog", "tp")


def refused(path: Path) -> str:
    with pytest.raises(InputError) as caught:
        grib.read(path)
    return str(caught.value).removeprefix("forecast.grib2: ")


def cfgrib_field(path: Path, **keys: Any) -> np.ndarray:
    """One field as cfgrib reads it, (member, step, row, column) where it has these axes, rows as in the file."""
    options = {"indexpath": "", "filter_by_keys": keys}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        with xr.open_dataset(path, engine="cfgrib", backend_kwargs=options) as found:
            (name,) = found.data_vars
            return np.asarray(found[name].to_numpy())


@pytest.fixture(scope="module")
def held(whole: Path) -> grib.Found:
    return grib.read(whole)


@pytest.fixture(scope="module")
def normal(whole: Path) -> xr.Dataset:
    return feed.read(whole, Feed(path="forecast.grib2", role="forecast"))


def test_real_lambert_file(data: Path) -> None:
    """Values of the note on this run, each found with cfgrib 0.9.15.1 and ecCodes 2.41: maxima, and the node nearest to
    46.85 N 121.76 W."""
    found = grib.read(data / "cfgrib" / "nam_excerpt.grib2")
    held = {name: variable.to_numpy() for name, variable in found.raw.variables.items()}
    speed = np.hypot(held["10u"][0], held["10v"][0])
    assert held["gust"].max() == pytest.approx(20.433, abs=5e-4)
    assert speed.max() == pytest.approx(14.085, abs=5e-4)
    assert (int((held["gust"][0] < speed).sum()), speed.size) == (640, 6045)
    assert (held["orog"].min(), held["orog"].max()) == (
        pytest.approx(-9.81, abs=5e-3),
        pytest.approx(3304.43, abs=5e-3),
    )
    off = (held["latitude"] - 46.85) ** 2 + ((held["longitude"] - 360.0 + 121.76) * np.cos(np.deg2rad(46.85))) ** 2
    node = np.unravel_index(int(np.argmin(off)), off.shape)
    assert tuple(map(int, node)) == (44, 25)
    assert held["orog"][node] == pytest.approx(756.1, abs=0.05)
    assert speed[node] == pytest.approx(3.22, abs=5e-3)
    assert held["gust"][0][node] == pytest.approx(8.83, abs=5e-3)


def test_real_lambert_file_as_cf(data: Path) -> None:
    found = grib.read(data / "cfgrib" / "nam_excerpt.grib2")
    attrs = {name: variable.attrs for name, variable in found.raw.variables.items()}
    assert attrs["10u"]["standard_name"] == "x_wind"
    assert attrs["10v"]["standard_name"] == "y_wind"
    assert attrs["gust"]["cell_methods"] == "time: point"
    assert attrs["tp"]["cell_methods"] == "time: sum"
    assert attrs["tp"]["units"] == "kg m-2"
    assert found.raw.variables["latitude"].shape == (65, 93)
    np.testing.assert_allclose(np.diff(found.raw.variables["x"]), 81271.0)
    assert found.read[0] == "9 messages with 11 fields, 8 of them needed"
    assert "10u: m s-1 at 10 m, time: point, single forecast, 1 steps from 0 to 0 h" in found.read
    assert found.remarks == ("gust is stated at the surface and is taken as the gust at 10 m",)


@pytest.mark.parametrize("name", NAM)
def test_real_lambert_file_against_cfgrib(data: Path, name: str) -> None:
    path = data / "cfgrib" / "nam_excerpt.grib2"
    found = grib.read(path).raw.variables[name].to_numpy()
    level = {"2t": 2, "2r": 2, "10u": 10, "10v": 10}.get(name)
    keys = {"typeOfLevel": "surface"} if level is None else {"typeOfLevel": "heightAboveGround", "level": level}
    theirs = cfgrib_field(path, shortName=name, **keys)
    np.testing.assert_array_equal(found.reshape(theirs.shape), theirs)


def test_an_ensemble_comes_out_as_it_was_written(ensemble: Any, normal: xr.Dataset) -> None:
    """Within the step of 20-bit packing; the scenario is invented."""
    names = {"10u": "eastward_wind_mps", "10v": "northward_wind_mps", "10fg": "gust_mps", "sp": "surface_pressure_Pa"}
    names |= {"2t": "air_temperature_K", "2d": "dew_point_K", "vis": "visibility_m"}
    for theirs, ours in names.items():
        from_step = int(theirs == "10fg")
        np.testing.assert_allclose(
            normal[ours][:, from_step:], ensemble.fields[theirs][:, from_step:], rtol=2e-6, atol=1e-5, err_msg=ours
        )
    np.testing.assert_array_equal(normal["realization"], ensemble.members)
    np.testing.assert_allclose(normal["latitude"], [-38.65, -38.55, -38.45, -38.35])
    np.testing.assert_allclose(normal["longitude"], [-21.55, -21.45, -21.35, -21.25, -21.15])
    np.testing.assert_allclose(normal["surface_altitude_m"], 2100.0)
    assert np.isnan(normal["gust_mps"][:, 0]).all()
    assert normal.attrs["gust_kind"] == "maximum"
    assert normal.attrs["source_kind"] == "GRIB2"
    assert json.loads(normal.attrs["read"])[0] == "676 messages with 676 fields, 676 of them needed"


def test_start_and_end_of_each_gust_are_kept(normal: xr.Dataset) -> None:
    """Hourly to 12 h, then every 3 h."""
    run = np.datetime64("2026-03-10T00", "h")
    ends = (normal["gust_end"].to_numpy() - run) / np.timedelta64(1, "h")
    starts = (normal["gust_start"].to_numpy() - run) / np.timedelta64(1, "h")
    assert ends.tolist() == [0, *range(1, 13), 15, 18, 21, 24]
    assert starts.tolist() == [0, *range(12), 12, 15, 18, 21]


def test_rain_since_the_start_becomes_rates(ensemble: Any, normal: xr.Dataset) -> None:
    """In mm/h, the whole growth of a step put into one hour of it, as for every feed."""
    growth_mm = np.diff(1000.0 * ensemble.fields["tp"], axis=1)
    np.testing.assert_allclose(normal["precipitation_mm_per_h"][:, 1:], growth_mm, atol=1e-4)


@pytest.mark.parametrize(("name", "theirs"), FIELDS)
def test_an_ensemble_against_cfgrib(whole: Path, held: grib.Found, name: str, theirs: tuple[str, ...]) -> None:
    """Hourly and 3-hourly gusts are two variables there."""
    parts = [cfgrib_field(whole, shortName=short)[..., ::-1, :] for short in theirs]
    together = np.concatenate(parts, axis=1)
    np.testing.assert_array_equal(held.raw.variables[name].to_numpy()[:, -together.shape[1] :], together)


def test_the_gust_of_three_hours_counts_in_all_of_them(
    make_grib: Any, save: Save, site: Site, weather: Weather, road: dict[str, Any]
) -> None:
    """Wind every hour, gust every 3 h: a squall in (6, 9] is met at 7, 8 and 9 h, not at 9 h alone."""
    hourly = make_grib(steps_h=tuple(range(25)))
    hourly.fields["10fg"][:, 9] = 30.0
    kept = {key: one for key, one in hourly.messages().items() if key[0] != "10fg"}
    coarse = make_grib(steps_h=tuple(range(0, 25, 3)))
    coarse.fields = {"10fg": hourly.fields["10fg"][:, ::3]}
    found = feed.read(save(kept | coarse.messages()), Feed(path="forecast.grib2", role="forecast"))
    result = assess(found, site, weather, **road)
    end = (result["time"].to_numpy() - np.datetime64("2026-03-10T00")) / np.timedelta64(1, "h")
    at_load = result["gust_at_load_mps"].max(("realization", "station")).to_numpy()
    squall = (end > 6) & (end <= 9)
    assert (at_load[squall] > 22.0).all()
    assert (at_load[~squall] < 18.0).all()


def test_the_ensemble_passes_every_gate(normal: xr.Dataset, site: Site, weather: Weather, road: dict[str, Any]) -> None:
    result = assess(normal, site, weather.model_copy(update={"maximum_step_h": 3.0}), **road)
    assert json.loads(result.attrs["refusals"]) == []
    assert not np.isnan(result["gust_at_load_mps"][:, 6:]).any()


@pytest.mark.parametrize(
    ("lost", "said"),
    [
        (("10v", 2, 5), "10v: member 2 lacks 10v at step 5 h; the file was cut or fetched in part, fetch it again"),
        (("10fg", 1, 5), "gust: member 1 lacks gust at step 2-5 h; the file was cut or fetched in part"),
        (("tp", 0, 2), "tp_m: member 0 lacks tp_m at step 0-2 h; the file was cut"),
    ],
)
def test_a_lost_message_is_named(small: Any, save: Save, lost: tuple[str, int, int], said: str) -> None:
    messages = small.messages()
    del messages[lost]
    assert said in refused(save(messages))


def test_a_message_that_stands_twice_is_named(small: Any, save: Save) -> None:
    messages = small.messages()
    twice = [*messages.values(), messages["10u", 2, 2]]
    assert refused(save(twice)) == (
        "10u: stands twice of member 2 at step 2 h; one message for each is needed, fetch the file again"
    )


def test_a_file_cut_between_messages(make_grib: Any, save: Save) -> None:
    """In the order of most centres, step after step and member after member, the member that lacks something tells."""
    two = make_grib(members=(0, 1), steps_h=(0, 1, 2))
    two.fields = {name: two.fields[name] for name in ("10u", "10v", "10fg")}
    messages = sorted(two.messages().items(), key=lambda item: (item[0][2], item[0][1]))
    assert len(messages) == 16
    for cut in range(11, 16):
        said = refused(save([one for _, one in messages[:cut]]))
        assert "lacks" in said or "is missing at step 2 h" in said
    assert grib.read(save([one for _, one in messages[:10]])).raw.variables["time"].size == 2


def test_one_component_lost_in_all_members(small: Any, save: Save) -> None:
    messages = {key: one for key, one in small.messages().items() if (key[0], key[2]) != ("10v", 1)}
    assert refused(save(messages)) == ("10v: is missing at step 1 h, where 10u is given; fetch the file again")


def test_two_runs_and_a_single_forecast_beside_an_ensemble(
    small: Any, make_grib: Any, save: Save, make_message: Any
) -> None:
    later = make_grib(run="2026-03-10T06:00", members=(0,), steps_h=(0, 1))
    said = refused(save([*small.messages().values(), *later.messages().values()]))
    assert said == (
        "holds 2 forecast runs (2026-03-10T00:00:00 UTC, 2026-03-10T06:00:00 UTC), allowed is one; ask for one run"
    )
    single = make_message("10u", np.ones((4, 5)), "1", member=None)
    assert "holds a single forecast beside an ensemble; ask for one of them" in refused(
        save([*small.messages().values(), single])
    )


def test_members_that_the_ensemble_should_have(small: Any, save: Save) -> None:
    assert grib.read(save(small.messages())).remarks == ("holds 3 members of an ensemble of 5",)


def test_single_forecast_has_no_member_axis(make_message: Any, save: Save) -> None:
    ramp = np.arange(20.0).reshape(4, 5)
    parts = [make_message(name, ramp + step, f"{step}", None) for name in ("10u", "10v") for step in (0, 1, 2)]
    found = grib.read(save(parts)).raw
    assert found.variables["10u"].dims == ("time", "y", "x")
    assert "number" not in found.variables
    np.testing.assert_allclose(found.variables["10u"][1], ramp + 1, atol=1e-4)


def test_the_gust_of_an_instant_is_left_out_beside_the_maximum(small: Any, save: Save) -> None:
    maxima = small.messages()
    small.fields = {"i10fg": small.fields["10fg"] - 1.0}
    both = grib.read(save(maxima | small.messages()))
    assert both.raw.variables["gust"].attrs["cell_methods"] == "time: maximum"
    assert "gust (time: point, 12 messages) not used beside gust (time: maximum)" in both.read
    alone = feed.read(
        save({key: one for key, one in (maxima | small.messages()).items() if key[0] != "10fg"}),
        Feed(path="forecast.grib2", role="forecast"),
    )
    assert alone.attrs["gust_kind"] == "instant"
    assert "no bound for the hour" in alone.attrs["remarks"]


def test_two_kinds_of_maxima_are_refused(small: Any, save: Save, make_message: Any) -> None:
    longer = [make_message("10fg", np.full((4, 5), 20.0), "0-2", member) for member in small.members]
    assert refused(save([*small.messages().values(), *longer])) == (
        "gust: is given over 0-2 h and over 1-2 h, which tell one time twice; keep one kind"
    )


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        (
            {"productDefinitionTemplateNumber": 2},
            "holds no wind at 10 m above ground; it has 10u (heightAboveGround 10",
        ),
        ({"typeOfGeneratingProcess": 9}, "holds no wind at 10 m above ground"),
        ({"typeOfGeneratingProcess": 6}, "holds no wind at 10 m above ground"),
        ({"level": 100}, "holds no wind at 10 m above ground; it has 100u (heightAboveGround 100"),
        ({"significanceOfReferenceTime": 2}, "its reference time is not the start of the forecast"),
        ({"month": 13}, "names a date that does not exist"),
        ({"indicatorOfUnitOfTimeRange": 3}, "counts time in units of code 3 of table 4.4"),
    ],
)
def test_messages_that_are_no_forecast_at_10_m(make_message: Any, save: Save, keys: dict[str, int], said: str) -> None:
    parts = [make_message(name, np.ones((4, 5)), "1", **keys) for name in ("10u", "10v")]
    assert said in refused(save(parts))


def test_other_fields_are_passed_over_by_their_numbers(small: Any, save: Save, make_message: Any) -> None:
    other = [make_message("tcc", np.full((4, 5), 0.5), f"{step}", 0) for step in range(5)]
    path = save([*other, *small.messages().values(), make_message("100u", np.ones((4, 5)), "1", 0)])
    found = grib.read(path)
    assert found.read[0] == "52 messages with 52 fields, 46 of them needed"
    assert "100u (heightAboveGround 100, instant, template 1): 1" in found.raw.names
    assert refused(save(other)) == (
        "holds no wind and no other needed field; it has fields 0-6-192 (discipline-category-number)"
    )


def test_missing_values_become_nan(make_message: Any, save: Save) -> None:
    """Also a value of 9999, which the library takes as missing unless told otherwise."""
    sight = np.full((4, 5), 12000.0)
    sight[1, 2], sight[3, 4] = 1e36, 9999.0
    parts = [make_message(name, np.ones((4, 5)), f"{step}", None) for name in ("10u", "10v") for step in (0, 1)]
    parts.append(make_message("vis", sight, "1", None, bitmapPresent=1, missingValue=1e36, bitsPerValue=24))
    found = grib.read(save(parts)).raw.variables["vis"].to_numpy()
    assert np.argwhere(np.isnan(found[1])).tolist() == [[1, 2]]
    assert found[1, 3, 4] == pytest.approx(9999.0, abs=0.01)
    assert np.isnan(found[0]).all()


def test_too_large_is_refused_by_its_header(small: Any, save: Save, monkeypatch: pytest.MonkeyPatch) -> None:
    path, figure = save(small.messages()), raw.figure
    limits = {"weather_feed_size_MB": 50e-6}
    for module in (raw, sys.modules["transport.weather.feeds.grib.read"]):
        monkeypatch.setattr(module, "figure", lambda name: limits.get(name) or figure(name))
    assert refused(path).startswith("declares a field of 0 MB, allowed are 5e-05 MB for all; cut it to the road")
    limits["weather_feed_size_MB"] = 0.002
    assert refused(path) == "holds more data than allowed; cut it to the road and two grid cells around it"


def test_without_the_library(data: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys.modules["transport.weather.feeds.grib.read"], "find_spec", lambda name: None)
    with pytest.raises(InputError) as caught:
        grib.read(data / "cfgrib" / "nam_excerpt.grib2")
    assert str(caught.value) == (
        "nam_excerpt.grib2: is GRIB, for which a library is missing: pip install 'glasshaul[grib]'"
    )


def test_a_crash_of_the_library_names_the_signal(data: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def crash(command: list[str], **_: object) -> subprocess.CompletedProcess[bytes]:
        return subprocess.CompletedProcess(command, -6, b"", b"")

    monkeypatch.setattr(raw.subprocess, "run", crash)
    assert "the reader crashed with signal 6 (SIGABRT): the file is broken" in refused(
        data / "cfgrib" / "nam_excerpt.grib2"
    )


def test_the_library_lives_beside_the_others_in_one_process() -> None:
    """From 2.43 on the wheel of ecCodes brings a second PROJ that kills a process with pyproj in it."""
    code = "import eccodes, cfgrib, netCDF4, pyproj; pyproj.CRS.from_epsg(4326); print(eccodes.codes_get_api_version())"
    done = subprocess.run([sys.executable, "-W", "ignore", "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    pinned = [Requirement(text) for text in importlib.metadata.requires("glasshaul") or []]
    (wanted,) = [one for one in pinned if one.name == "eccodes" and "grib" in str(one.marker)]
    assert str(wanted.specifier) == "<2.43,>=2.41"
    assert done.stdout.strip() in wanted.specifier
