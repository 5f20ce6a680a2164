"""The demonstration files are what their script makes, follow the open formats, and each broken one has one mistake.

`python tests/test_samples_made.py --record` writes the answer of the tool to each broken sample beside it.
"""

import difflib
import importlib.util
import json
import os
import re
import subprocess
import sys
import tomllib
from pathlib import Path
from types import ModuleType
from xml.etree import ElementTree

import netCDF4
import numpy as np
import pytest
from pyproj import Geod, Transformer
from scipy.integrate import quad
from scipy.io import netcdf_file
from scipy.optimize import least_squares

ROOT = Path(__file__).resolve().parents[1]
SAMPLES = ROOT / "samples"
BROKEN = SAMPLES / "broken"
AS_OF = "2026-03-09T06:00:00Z"
GPX = "{http://www.topografix.com/GPX/1/1}"


def _script() -> ModuleType:
    spec = importlib.util.spec_from_file_location("make_samples", SAMPLES / "make_samples.py")
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


made = _script()
CASES = {case.name: case for case in made.CASES}
NETCDF_BROKEN_ON_PURPOSE = ("truncated_netcdf4.nc", "truncated_netcdf3.nc", "flipped_bit.nc", "declared_40_gb.nc")


@pytest.fixture(scope="module")
def fresh(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """All made files, made once more."""
    folder = tmp_path_factory.mktemp("samples")
    made.make(folder)
    return folder


def _made_files(suffix: str) -> list[str]:
    found = sorted(path.relative_to(SAMPLES).as_posix() for path in SAMPLES.glob(f"*/**/*{suffix}"))
    return [name for name in found if not name.endswith("/move.toml")]


@pytest.fixture
def survey() -> "made.Survey":
    return made.surveyed(made.SHELTERED_ROAD)


# ---------------------------------------------------------------- the same files again


@pytest.mark.parametrize("suffix", [".csv", ".gpx", ".toml", ".nc"])
def test_the_script_makes_the_files_that_stand_there(fresh: Path, suffix: str) -> None:
    again = sorted(path.relative_to(fresh).as_posix() for path in fresh.glob(f"*/**/*{suffix}"))
    assert again == _made_files(suffix), "files were added or left behind: run samples/make_samples.py"


@pytest.mark.parametrize("name", [*_made_files(".csv"), *_made_files(".gpx"), *_made_files(".toml")])
def test_text_is_made_again_byte_for_byte(fresh: Path, name: str) -> None:
    assert (fresh / name).read_bytes() == (SAMPLES / name).read_bytes(), "run samples/make_samples.py again"


@pytest.mark.parametrize("name", [n for n in _made_files(".nc") if not n.endswith(NETCDF_BROKEN_ON_PURPOSE)])
def test_forecasts_are_made_again_value_for_value(fresh: Path, name: str) -> None:
    with netCDF4.Dataset(fresh / name) as new, netCDF4.Dataset(SAMPLES / name) as old:
        assert set(new.variables) == set(old.variables)
        for key in old.variables:
            np.testing.assert_array_equal(np.ma.filled(new[key][...], -1), np.ma.filled(old[key][...], -1), key)
            assert {a: new[key].getncattr(a) for a in new[key].ncattrs()} == {
                a: old[key].getncattr(a) for a in old[key].ncattrs()
            }


def test_samples_stay_small() -> None:
    assert all(path.stat().st_size < 700_000 for path in SAMPLES.rglob("*") if path.is_file())
    assert sum(path.stat().st_size for path in SAMPLES.rglob("*") if path.is_file()) < 5_000_000


# ---------------------------------------------------------------- the roads


def test_clothoid_follows_its_series() -> None:
    # x = L - L^3/40R^2 + L^5/3456R^4, y = L^2/6R - L^4/336R^3: series in every road design handbook (memory)
    radius_m, length_m = 300.0, 100.0
    end = made.clothoid(np.array([length_m]), 1.0 / (radius_m * length_m))[0]
    x_m = length_m - length_m**3 / (40 * radius_m**2) + length_m**5 / (3456 * radius_m**4)
    y_m = length_m**2 / (6 * radius_m) - length_m**4 / (336 * radius_m**3)
    assert end == pytest.approx(x_m + 1j * y_m, abs=1e-4)


@pytest.mark.parametrize(
    ("first", "last"), [(0.0, 0.05), (0.0, -0.05), (-0.05, 0.0), (0.05, 0.0), (0.04, 0.04), (0.0, 0.0)]
)
def test_elements_are_the_integral_of_their_heading(first: float, last: float) -> None:
    # x + iy = integral of exp(i theta), theta = k0 s + (k1 - k0) s^2 / 2L; checked with a general quadrature library
    element = made.Element(14.0, first, last)

    def direction(s: float) -> complex:
        return np.exp(1j * (first * s + (last - first) * s**2 / 28.0))

    for s_m in (0.0, 5.0, 14.0):
        wanted = quad(direction, 0.0, s_m, complex_func=True)[0]
        assert made.along(element, np.array([s_m]))[0] == pytest.approx(wanted, abs=1e-9)


def test_vertical_curve_has_its_summit_where_the_handbooks_say() -> None:
    # +12 % to -4 % over 40 m: summit L g1 / (g1 - g2) = 30 m and 1.80 m after and above its begin (memory)
    profile = made.elevation(np.linspace(0.0, 60.0, 6001), 0.0, 0.12, (made.GradeChange(30.0, -0.04, 40.0),))
    begin = 10.0
    assert np.argmax(profile) / 100.0 == pytest.approx(begin + 30.0, abs=0.02)
    assert profile.max() - 0.12 * begin == pytest.approx(1.80, abs=1e-4)


def test_sheltered_road_is_as_described(survey: "made.Survey") -> None:
    assert survey.station_m[-1] == pytest.approx(6400.0, abs=20.0)
    assert 1840.0 < survey.elevation_m.min() < 1860.0
    assert 2180.0 < survey.elevation_m.max() < 2210.0
    steep = (survey.station_m > 1500.0) & (survey.station_m < 1850.0)
    grade, _ = np.polyfit(survey.station_m[steep], survey.elevation_m[steep], 1)
    assert grade == pytest.approx(0.115, abs=0.0005)
    assert np.diff(survey.station_m).max() < 16.0 / 2.9, "a point at least every third of the smallest radius"


@pytest.mark.parametrize(("station_m", "radius_m"), [(2470.0, 17.0), (2619.0, 16.0), (2764.0, 18.0), (2914.0, 17.0)])
def test_hairpins_have_their_radius_and_room(survey: "made.Survey", station_m: float, radius_m: float) -> None:
    # circle fit with a general least-squares library; room: outer corner of a 12 x 3 m rectangle on the circle + 0.5 m
    near = np.abs(survey.station_m - station_m) < 14.0
    x, y = survey.easting_m[near], survey.northing_m[near]

    def miss(circle: np.ndarray) -> np.ndarray:
        return np.hypot(x - circle[0], y - circle[1]) - circle[2]

    middle = (x[0] + x[-1]) / 2, (y[0] + y[-1]) / 2
    assert least_squares(miss, (*middle, radius_m)).x[2] == pytest.approx(radius_m, abs=0.2)
    needed_m = np.hypot(radius_m + 1.5, 6.0) - radius_m + 0.5
    assert np.all(np.minimum(survey.width_left_m, survey.width_right_m)[near] > needed_m)


def test_crossfall_leans_into_the_bend_and_widths_stay_in_range(survey: "made.Survey") -> None:
    # crossfall > 0 falls to the right; ISO 8855 axes, so a left bend is banked with crossfall < 0
    curvature = np.array([0.05, -0.05, 0.0])
    np.testing.assert_allclose(made.crossfall(curvature), [-0.04, 0.04, 0.02])
    for width_m in (survey.width_left_m, survey.width_right_m):
        assert width_m.min() >= 2.9
        assert width_m.max() <= 6.0


def test_csv_holds_the_columns_that_were_agreed() -> None:
    first, *rows = (SAMPLES / "sheltered_morning" / "road.csv").read_text(encoding="utf-8").splitlines()
    assert first == "easting_m,northing_m,elevation_m,crossfall_ratio,width_left_m,width_right_m,surface"
    assert len(rows) == pytest.approx(1280, abs=5)
    assert {row.rsplit(",", 1)[1] for row in rows} == {"asphalt", "gravel"}


def test_gpx_follows_the_schema_and_lies_where_the_design_line_does() -> None:
    # GPX 1.1 schema: latitude and longitude are attributes in WGS 84 degrees, one trkseg = no lost reception (read)
    root = ElementTree.parse(SAMPLES / "windy_saddle" / "road.gpx").getroot()  # noqa: S314 - our own file
    assert (root.tag, root.get("version")) == (f"{GPX}gpx", "1.1")
    points = root.findall(f"{GPX}trk/{GPX}trkseg/{GPX}trkpt")
    assert len(root.findall(f"{GPX}trk/{GPX}trkseg")) == 1
    assert all([child.tag for child in point] == [f"{GPX}ele"] for point in points)
    assert all(re.fullmatch(r"-\d\d\.\d{9}", point.get(axis)) for point in points for axis in ("lat", "lon"))
    east_m, north_m = Transformer.from_crs("EPSG:4326", "EPSG:32727", always_xy=True).transform(
        [float(point.get("lon")) for point in points], [float(point.get("lat")) for point in points]
    )
    survey = made.surveyed(made.SADDLE_ROAD)
    np.testing.assert_allclose(east_m, survey.easting_m, atol=0.001)
    np.testing.assert_allclose(north_m, survey.northing_m, atol=0.001)
    length_m = Geod(ellps="WGS84").line_length(
        [float(point.get("lon")) for point in points], [float(point.get("lat")) for point in points]
    )
    assert length_m == pytest.approx(5000.0, rel=0.001)


# ---------------------------------------------------------------- the forecasts

# CF standard name table, version 93: canonical units (read)
CANONICAL_UNITS = {
    "eastward_wind": "m s-1",
    "northward_wind": "m s-1",
    "wind_speed_of_gust": "m s-1",
    "air_temperature": "K",
    "dew_point_temperature": "K",
    "surface_air_pressure": "Pa",
    "precipitation_flux": "kg m-2 s-1",
    "precipitation_amount": "kg m-2",
    "visibility_in_air": "m",
    "surface_altitude": "m",
}


@pytest.fixture(params=["sheltered_morning", "windy_saddle"])
def file(request: pytest.FixtureRequest):
    with netCDF4.Dataset(SAMPLES / request.param / "forecast.nc") as data:
        yield data


def test_forecast_names_units_and_cell_methods_as_cf_does(file: netCDF4.Dataset) -> None:
    fields = {name: file[name] for name in file.variables if name in CANONICAL_UNITS}
    assert len(fields) == 9
    for name, variable in fields.items():
        assert (variable.standard_name, variable.units) == (name, CANONICAL_UNITS[name])
        assert "_FillValue" in variable.ncattrs()
    methods = {name: variable.cell_methods for name, variable in fields.items() if name != "surface_altitude"}
    # CF 7.3: a maximum, mean or sum belongs to the interval of the bounds; a value at an instant is a point (read)
    assert methods.pop("wind_speed_of_gust") == "time: maximum"
    rain = "precipitation_flux" if "precipitation_flux" in methods else "precipitation_amount"
    assert methods.pop(rain) == {"precipitation_flux": "time: mean", "precipitation_amount": "time: sum"}[rain]
    assert set(methods.values()) == {"time: point"}
    assert float(file["height_10m"][...]) == 10.0
    assert float(file["height_2m"][...]) == 2.0


def test_forecast_time_is_reference_plus_period(file: netCDF4.Dataset) -> None:
    def instants(name: str) -> np.ndarray:
        return np.atleast_1d(netCDF4.num2date(file[name][...], file[name].units, only_use_cftime_datetimes=False))

    time, reference = instants("time"), instants("forecast_reference_time")[0]
    hours = np.array([(instant - reference).total_seconds() / 3600.0 for instant in time])
    np.testing.assert_array_equal(hours, file["forecast_period"][:])
    np.testing.assert_array_equal(hours, np.arange(73.0))
    np.testing.assert_array_equal(file["time_bnds"][:], np.stack([hours - 1.0, hours], axis=1))
    assert f"{reference:%Y-%m-%dT%H}" == "2026-03-09T00"


def test_every_array_has_a_checksum_and_is_compressed(file: netCDF4.Dataset) -> None:
    filters = {name: file[name].filters() for name in file.variables if file[name].ndim}
    assert all(used["fletcher32"] and used["zlib"] for used in filters.values())


def test_forecast_is_plausible_air(file: netCDF4.Dataset) -> None:
    file.set_auto_mask(False)
    gust, speed = file["wind_speed_of_gust"][:], np.hypot(file["eastward_wind"][:], file["northward_wind"][:])
    assert np.all(gust >= speed - 0.02), "a gust is not below the mean wind at the end of its hour"
    assert 1.05 < np.median(gust[speed > 5.0] / speed[speed > 5.0]) < 2.5
    assert np.all(file["dew_point_temperature"][:] <= file["air_temperature"][:])
    assert 275.0 < file["air_temperature"][:].min() < file["air_temperature"][:].max() < 291.0
    # ISA, ISO 2533: 795 hPa at 2000 m (memory); the invented surface lies near there
    assert np.all(np.abs(file["surface_air_pressure"][:] - 79500.0) < 4000.0)
    early, late = gust[:, :12].std(axis=0).mean(), gust[:, -12:].std(axis=0).mean()
    assert late > early, "the spread grows with the lead time"


def _at(name: str, folder: str, hours: slice) -> np.ndarray:
    with netCDF4.Dataset(SAMPLES / folder / "forecast.nc") as data:
        return np.asarray(data[name][:, hours])


def test_morning_of_the_tenth_is_light_and_dry_and_nothing_else_is() -> None:
    morning, folder = slice(31, 41), "sheltered_morning"
    gust = _at("wind_speed_of_gust", folder, morning)
    assert gust.max() < 8.5
    assert 3.0 < np.median(gust) < 6.0
    assert _at("precipitation_flux", folder, morning).max() == 0.0
    assert np.all(_at("air_temperature", folder, morning) - _at("dew_point_temperature", folder, morning) > 5.5)
    assert np.median(_at("wind_speed_of_gust", folder, slice(7, 21))) > 11.0
    assert 13.0 < np.median(_at("wind_speed_of_gust", folder, slice(44, 48))) < 17.0
    assert np.median(_at("precipitation_flux", folder, slice(54, 60))) * 3600.0 > 1.0


def test_only_the_saddle_is_windy() -> None:
    gust = np.median(_at("wind_speed_of_gust", "windy_saddle", slice(0, 73)), axis=0)
    assert gust[:, 2, 2].min() > 8.0
    assert np.delete(gust.reshape(73, 25), [7, 11, 12, 13, 17], axis=1).max() < 6.5
    assert _at("precipitation_amount", "windy_saddle", slice(0, 73)).max() == 0.0


# ---------------------------------------------------------------- the measured winter


def test_the_winter_fits_into_two_megabytes() -> None:
    whole = [path for path in (SAMPLES / "measured_winter").rglob("*") if path.is_file()]
    assert len([path for path in whole if path.parent.name == "archive"]) == made.WINTER.runs == 70
    assert sum(path.stat().st_size for path in whole) < 2_000_000


def test_the_mast_has_a_gap_and_some_ice_and_gusts_above_its_mean() -> None:
    rows = (SAMPLES / "measured_winter" / "mast.csv").read_text(encoding="utf-8").splitlines()[1:]
    numbers = np.array([[float(value) for value in row.split(",")[1:]] for row in rows])
    times = np.array([row.split(",")[0].replace(" ", "T") for row in rows], dtype="datetime64[m]")
    steps = np.diff(times)
    assert (steps > np.timedelta64(10, "m")).sum() == 1
    assert steps.max() == np.timedelta64(24 * 60 + 10, "m")
    assert (numbers == 0.0).all(axis=1).sum() == 7 * 6
    assert (numbers[:, 1] >= numbers[:, 0]).all()


def test_every_archived_run_is_small_and_three_hourly() -> None:
    for path in (SAMPLES / "measured_winter" / "archive").glob("*.nc"):
        with netcdf_file(path, mmap=False) as data:
            assert data.variables["wind_speed_of_gust"].shape == (7, 17, 2, 2)
            bounds = data.variables["time_bnds"][:]
            np.testing.assert_array_equal(np.diff(bounds, axis=1), 3.0)


# ---------------------------------------------------------------- one mistake each


def test_there_are_enough_mistakes_and_each_is_said() -> None:
    mistakes = [case for case in made.CASES if not case.name.startswith("good_")]
    assert len(mistakes) >= 22
    assert len({case.mistake for case in mistakes}) == len(mistakes)


@pytest.mark.parametrize("name", CASES)
def test_a_broken_move_differs_in_one_place_only(name: str) -> None:
    good = (SAMPLES / "sheltered_morning" / "move.toml").read_text(encoding="utf-8").splitlines()
    text = (BROKEN / f"{name}.toml").read_text(encoding="utf-8")
    first, *rest = text.splitlines()
    assert first == f"# Mistake: {CASES[name].mistake}."
    changed = [line for line in difflib.ndiff(good, rest) if line.startswith("- ")]
    assert len(changed) == {"": int("good" not in name), ".nc": 1, ".csv": 1, ".gpx": 3}[CASES[name].suffix]
    data = tomllib.loads(text)
    for file in (data["route"]["survey"], data["weather"]["feed"][0]["path"]):
        assert "/" not in file, "inputs stay inside the folder of the move"
        assert (BROKEN / file).exists() or name == "forecast_missing"


def test_cut_and_flipped_files_are_noticed_by_the_libraries() -> None:
    for name in ("truncated_netcdf4.nc", "flipped_bit.nc"):
        with pytest.raises((OSError, RuntimeError)), netCDF4.Dataset(BROKEN / name) as data:
            for variable in data.variables.values():
                variable[...]
    with pytest.raises((OSError, ValueError)), netcdf_file(BROKEN / "truncated_netcdf3.nc", mmap=False) as data:
        data.variables["visibility_in_air"][:].sum()


def test_one_bit_is_flipped() -> None:
    good, bad = ((BROKEN / name).read_bytes() for name in ("forecast.nc", "flipped_bit.nc"))
    assert sum((a ^ b).bit_count() for a, b in zip(good, bad, strict=True)) == 1


def test_the_huge_file_is_small_on_disk() -> None:
    with netCDF4.Dataset(BROKEN / "declared_40_gb.nc") as data:
        assert data["wind_speed_of_gust"].size * 4 > 40e9
    assert (BROKEN / "declared_40_gb.nc").stat().st_size < 100_000


# ---------------------------------------------------------------- what the tool answers


def run(command: str, name: str, *options: str) -> subprocess.CompletedProcess[str]:
    """One command of the tool on a broken sample, in the folder where it stands."""
    arguments = [sys.executable, "-m", "transport.cli", command, f"{name}.toml", "--as-of", AS_OF, *options]
    plain = os.environ | {"PYTHONPATH": str(ROOT), "NO_COLOR": "1", "COLUMNS": "120"}
    done = subprocess.run(arguments, cwd=BROKEN, env=plain, capture_output=True, text=True, timeout=300, check=False)
    if done.returncode not in (0, 3, 10, 11):
        raise RuntimeError(f"{name}: the tool itself failed: {done.stderr}")
    return done


def reasons(name: str, stdout: str) -> str:
    """Reasons of `window`, one a line: those that name the broken file, or all where none does."""
    given: list[str] = json.loads(stdout)["reasons"]
    return "".join(f"{reason}\n" for reason in [reason for reason in given if f"{name}." in reason] or given)


def answer(name: str) -> str:
    """Exit status and message: of `check`, or where a mistake passes that, the verdict and the reasons of `window`."""
    done = run("check", name)
    command, said = "check", done.stderr
    if done.returncode == 0 and not name.startswith("good_"):
        command, done = "window", run("window", name, "--json")
        said = done.stderr if done.returncode == 3 else reasons(name, done.stdout)
    return f"$ glasshaul {command} {name}.toml --as-of {AS_OF}\nexit status {done.returncode}\n{said}"


@pytest.mark.parametrize("name", CASES)
def test_the_tool_gives_the_expected_answer(name: str) -> None:
    recorded = BROKEN / f"{name}.expected.txt"
    assert recorded.exists(), "not recorded yet: python tests/test_samples_made.py --record"
    assert answer(name) == recorded.read_text(encoding="utf-8")
    assert ("exit status 0" in recorded.read_text(encoding="utf-8")) == name.startswith("good_")


def record() -> None:
    """Write the answer of the tool to each broken sample beside it."""
    for name in CASES:
        (BROKEN / f"{name}.expected.txt").write_text(answer(name), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    if sys.argv[1:] != ["--record"]:
        sys.exit("usage: python tests/test_samples_made.py --record")
    record()
