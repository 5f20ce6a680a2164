"""verify, from an archive on disc to its page: four invented runs, and a mast that tells what came."""

import json
import shutil
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import xarray as xr
from click.testing import CliRunner, Result

from transport.cli.main import main

SAMPLE = Path(__file__).resolve().parents[3] / "samples" / "sheltered_morning"
CLOCK = ("--as-of", "2026-03-20T06:00:00Z")
RUNS = 4
FIRST = np.datetime64("2026-03-09T00:00")
TABLES = """
[weather.verification]
thresholds_mps = [7.0]
[weather.verification.stake]
cost = 20e3
loss = 1e6
currency = "EUR"
cap_ratio = 0.02
[weather.archive]
forecasts = "archive/*.nc"
[weather.archive.observation]
path = "mast.csv"
role = "observation"
format = "mast"
[weather.archive.observation.station]
name = "Gate mast"
longitude_deg = -21.3
latitude_deg = -38.5
elevation_m = 1900.0
height_m = 10.0
valid_within_km = 10.0
[weather.archive.observation.logger]
time_column = "time"
time_format = "%Y-%m-%d %H:%M"
utc_offset = "UTC"
label = "end"
interval_min = 60.0
delimiter = ","
decimal = "."
header_row = 1
first_row = 2
missing = []
gust_average_s = 3.0
[[weather.archive.observation.column]]
name = "mean"
quantity = "wind_speed"
unit = "m s-1"
statistic = "mean"
[[weather.archive.observation.column]]
name = "gust"
quantity = "wind_speed_of_gust"
unit = "m s-1"
statistic = "maximum"
"""


def call(folder: Path, *words: str) -> Result:
    return CliRunner().invoke(main, ["verify", str(folder / "move.toml"), *CLOCK, *words], prog_name="glasshaul")


@pytest.fixture(scope="module")
def archive(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The sample's forecast, issued once more on each of four days; a mast of 12 days with one storm."""
    folder = tmp_path_factory.mktemp("move")
    text = (SAMPLE / "move.toml").read_text(encoding="utf-8")
    at = text.index("[[stage]]")
    (folder / "move.toml").write_text(text[:at] + TABLES + text[at:], encoding="utf-8")
    shutil.copy(SAMPLE / "road.csv", folder)
    (folder / "archive").mkdir()
    with xr.open_dataset(SAMPLE / "forecast.nc", decode_times=False) as forecast:
        for day in range(RUNS):
            later = shifted(forecast.load(), day)
            later.to_netcdf(folder / "archive" / f"{day}.nc", encoding={name: {} for name in later.variables})
    hours = np.arange(1, 24 * 12 + 1)
    gust = 6.0 + 2.0 * np.sin(hours / 9.0) + np.where((hours > 60) & (hours < 80), 15.0, 0.0)
    stamps = [str(FIRST + np.timedelta64(int(hour), "h")).replace("T", " ") for hour in hours]
    rows = (f"{stamp},{speed / 2:.2f},{speed:.2f}" for stamp, speed in zip(stamps, gust, strict=True))
    (folder / "mast.csv").write_text("time,mean,gust\n" + "\n".join(rows) + "\n", encoding="utf-8")
    return folder


def shifted(forecast: xr.Dataset, days: int) -> xr.Dataset:
    """The same file whose clocks all count from a later day."""
    made = forecast.copy(deep=True)
    for name in made.variables:
        unit, since, begin = str(made[name].attrs.get("units", "")).partition(" since ")
        if since:
            later = np.datetime64(begin.strip()[:10]) + np.timedelta64(days, "D")
            made[name].attrs["units"] = f"{unit} since {later}{begin.strip()[10:]}"
    return made


def test_misses_first_and_both_files(archive: Path, tmp_path: Path) -> None:
    result = call(archive, "--out", str(tmp_path))
    assert result.exit_code == 0, result.stderr
    first = result.stdout.split("\n\n")[1].splitlines()[0]
    assert first == "Missed events: gust above the limit without a warning"
    assert "all times are local" in result.stdout.split("\n\n")[0]
    assert {file.name for file in tmp_path.iterdir()} == {"verification.html", "verification.json"}
    assert all(f"wrote {tmp_path / name}" in result.stderr for name in ("verification.html", "verification.json"))
    assert "Decision support only" in result.stdout


def test_every_step_of_the_storm_is_an_event_and_every_miss_is_listed(archive: Path) -> None:
    result = call(archive, "--json")
    assert result.exit_code == 0, result.stderr
    found: dict[str, Any] = json.loads(result.stdout, parse_constant=lambda name: pytest.fail(f"{name} is not JSON"))
    assert found["schema"] == "verify/1"
    assert list(found) == sorted(found)
    assert found["gust_limit_mps"] == 9.0
    variables, places = found["scores"]["variables"], found["scores"]["coordinates"]
    assert places["threshold"] == [7.0, 9.0]
    assert places["forecast_kind"] == ["raw"]
    spells = variables["missed_spell_count"]["values"][0][1][0], variables["event_spell_count"]["values"][0][1][0]
    assert spells == (1.0, 1.0)
    misses = variables["miss_count"]["values"][0][1]
    assert variables["event_count"]["values"][0][1][0] == steps_in_the_storm(archive)
    assert 0 < misses[0] == sum(misses[1:]) <= steps_in_the_storm(archive)
    listed = [one for one in variables["missed_threshold_mps"]["values"] if one == 9.0]
    assert len(listed) == misses[0]
    assert {file["path"] for file in found["inputs"]} >= {"move.toml", "road.csv", "archive/0.nc", "mast.csv"}
    assert found["currency"] == "EUR"


def steps_in_the_storm(archive: Path) -> int:
    """Steps of all runs that end in the hours of the storm, counted in the files themselves."""
    ends = [xr.open_dataset(file)["time"].values for file in sorted((archive / "archive").glob("*.nc"))]
    hours = np.concatenate([(one[1:] - FIRST) / np.timedelta64(1, "h") for one in ends])
    return int(((hours > 60) & (hours < 80)).sum())


def test_a_move_without_an_archive_is_refused(tmp_path: Path) -> None:
    shutil.copy(SAMPLE / "move.toml", tmp_path)
    shutil.copy(SAMPLE / "road.csv", tmp_path)
    result = call(tmp_path)
    assert result.exit_code == 3
    assert "weather.archive: is not given; name the archived forecasts and the mast" in result.stderr
