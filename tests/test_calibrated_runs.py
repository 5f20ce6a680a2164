"""Whole moves with a calibration: what it closes, what it may never open, and that every output names it."""

import json
import re
import shutil
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import netCDF4
import numpy as np
import pytest
from click.testing import CliRunner

from shared.assessment import Assessment
from transport.cli.main import main
from transport.reports import record
from transport.reports.masthead import rule
from transport.reports.page import page
from transport.weather.feeds import raw
from transport.weather.feeds.extract import extract
from transport.window.assess import assess
from transport.window.learning import calibration_of

SAMPLE = Path(__file__).resolve().parents[1] / "samples" / "measured_winter"
AS_OF = datetime(2026, 8, 11, 6, tzinfo=UTC)
CLOCK = ("--as-of", "2026-08-11T06:00:00Z")
USED = (r"(?ms)^\[weather.calibration\].*?(?=^\[weather.archive\])", "")
FITTED = (
    r'(?m)^rule = "ensemble".*\n(?:.*\n)*?members_count = .*\n',
    'rule = "alpha"\nalpha = "fitted"\nacceptable_chance_ratio = 0.1\ncontrol_realization = 0\n',
)
Change = tuple[str, str]


@pytest.fixture
def folder(tmp_path: Path) -> Callable[..., Path]:
    """A copy of the sample without its archive, and changes of its move file."""

    def make(*changes: Change, archive: bool = False) -> Path:
        made = tmp_path / f"move{len(list(tmp_path.iterdir()))}"
        shutil.copytree(SAMPLE, made, ignore=None if archive else shutil.ignore_patterns("archive", "mast.csv"))
        edit(made, *changes)
        return made

    return make


def edit(folder: Path, *changes: Change) -> None:
    file = folder / "move.toml"
    content = file.read_text(encoding="utf-8")
    for pattern, new in changes:
        content, count = re.subn(pattern, new, content)
        assert count, pattern
    file.write_text(content, encoding="utf-8")


def run(folder: Path, as_of: datetime = AS_OF) -> Assessment:
    return assess(folder / "move.toml", as_of=as_of)


def going(result: Assessment) -> set[np.datetime64]:
    return set(result.window["start"].values[result.window["verdict"].values == "go"])


def windier(folder: Path, factor: float) -> None:
    """All winds and gusts of the forecast times a factor."""
    with netCDF4.Dataset(folder / "forecast.nc", "a") as data:
        for name in ("eastward_wind", "northward_wind", "wind_speed_of_gust"):
            data[name][...] = data[name][...] * factor


def change_calibration(folder: Path, change: Callable[[dict], None]) -> None:  # type: ignore[type-arg]
    path = folder / "calibration.json"
    plain = json.loads(path.read_text(encoding="utf-8"))
    change(plain)
    path.write_text(json.dumps(plain), encoding="utf-8")


def half(plain: dict) -> None:  # type: ignore[type-arg]
    """The most dangerous file: fits that halve every gust."""
    for lead in plain["leads"]:
        for fit in (lead["together"], *lead["sectors"]):
            fit |= {"a_mps": 0.0, "b_ratio": 0.5, "c_m2_per_s2": 0.01, "d_ratio": 0.0}


@pytest.fixture(scope="module")
def calibrated() -> Assessment:
    return run(SAMPLE)


def test_members_that_know_too_little_go_longer_than_the_mast_allows(
    calibrated: Assessment, folder: Callable[..., Path]
) -> None:
    without = run(folder(USED))
    assert going(calibrated) < going(without)
    spread = [float(result.forecast["gust_at_load_mps"].std("realization").mean()) for result in (calibrated, without)]
    assert spread[0] > 1.3 * spread[1]


def test_a_go_never_appears_where_the_forecast_lies_beyond_what_was_learned(folder: Callable[..., Path]) -> None:
    """Winds three times as strong, no-go as they are: even a file that halves every gust opens nothing."""
    made = folder()
    windier(made, 3.0)
    change_calibration(made, half)
    plain = folder(USED)
    windier(plain, 3.0)
    found, without = run(made), run(plain)
    assert not going(found) and not going(without)
    beyond = without.forecast["gust_at_load_mps"].mean("realization") > 25.0
    below = found.forecast["gust_at_load_mps"] < without.forecast["gust_at_load_mps"] - 1e-4
    assert beyond.any() and not (below & beyond).any()


def test_the_same_file_would_lower_gusts_inside_it(folder: Callable[..., Path], calibrated: Assessment) -> None:
    """The test above can fail."""
    made = folder()
    change_calibration(made, half)
    lowered = run(made).forecast["gust_at_load_mps"] < calibrated.forecast["gust_at_load_mps"]
    assert float(lowered.mean()) > 0.3


def _far_mast(plain: dict) -> None:  # type: ignore[type-arg]
    plain["mast"].update(longitude_deg=-21.2, latitude_deg=-38.6)


INSTRUMENT = """[[weather.feed]]
path = "now.csv"
role = "observation"
format = "mast"
[weather.feed.station]
name = "Shoulder mast"
longitude_deg = -21.322
latitude_deg = -38.524
elevation_m = 2010.0
height_m = 10.0
valid_within_km = 10.0
[weather.feed.logger]
time_column = "time"
time_format = "%Y-%m-%d %H:%M"
utc_offset = "UTC"
label = "end"
interval_min = 10.0
delimiter = ","
decimal = "."
header_row = 1
first_row = 2
missing = []
gust_average_s = 3.0
[[weather.feed.column]]
name = "mean"
quantity = "wind_speed"
unit = "m s-1"
statistic = "mean"
[[weather.feed.column]]
name = "gust"
quantity = "wind_speed_of_gust"
unit = "m s-1"
statistic = "maximum"

"""


def beside(folder: Path) -> Path:
    """An instrument that has seen 7 m/s and gusts of 14 m/s all night, with the scatter of a living one."""
    time = np.datetime64("2026-08-11T00:10") + 10 * np.arange(36)
    rows = [
        f"{str(at).replace('T', ' ')},{7.0 + 0.01 * (k % 7):.2f},{14.0 + 0.01 * (k % 5):.2f}"
        for k, at in enumerate(time)
    ]
    (folder / "now.csv").write_text("\n".join(["time,mean,gust", *rows]) + "\n", encoding="utf-8")
    text = (folder / "move.toml").read_text(encoding="utf-8")
    (folder / "move.toml").write_text(text.replace("[[stage]]", f"{INSTRUMENT}[[stage]]", 1), encoding="utf-8")
    return folder


def test_an_instrument_judges_the_calibrated_gust_where_it_is_lower(folder: Callable[..., Path]) -> None:
    """The forecast as it is agrees with the instrument; a file that halves every gust does not, and decides nothing."""
    plain, halved = run(beside(folder(USED))), beside(folder())
    assert not [reason for reason in plain.reasons if "now.csv" in reason]
    change_calibration(halved, half)
    result = run(halved)
    assert set(result.window["verdict"].values) == {"undecided"}
    assert any(
        "now.csv: gust 14.0 m/s observed" in reason and "it misses what blows" in reason for reason in result.reasons
    )


MISFITS: dict[str, tuple[Callable[[Path], None], str]] = {
    "made for another model": (
        lambda made: change_calibration(made, lambda plain: plain["basis"].update(model_altitude_m=1700.0)),
        "the model's ground at the mast is 1980 m, it was 1700 m",
    ),
    "mast on another mountain": (
        lambda made: change_calibration(made, _far_mast),
        "no station of the road lies within 10 km of the mast",
    ),
    "years old": (
        lambda made: change_calibration(made, lambda plain: plain.update(trained_until="2024-08-01")),
        "its newest day is 2024-08-01",
    ),
    "other options of the site": (
        lambda made: edit(made, (r"(?m)^minimum_gust_ratio = .*$", "minimum_gust_ratio = 1.7")),
        "site.minimum_gust_ratio is 1.7, it was learned with 1.6",
    ),
    "no fit that may be used": (
        lambda made: change_calibration(made, lambda plain: [lead.update(usable=False) for lead in plain["leads"]]),
        "none of its fits may be used",
    ),
}


@pytest.mark.parametrize("name", list(MISFITS))
def test_a_calibration_that_does_not_fit_decides_nothing(name: str, folder: Callable[..., Path]) -> None:
    change, expected = MISFITS[name]
    made = folder()
    change(made)
    result = run(made)
    assert set(result.window["verdict"].values) == {"undecided"}
    assert [reason for reason in result.reasons if expected in reason and "calibration.json" in reason]


def test_the_factor_is_fitted_step_by_step_and_ends_with_what_was_learned(folder: Callable[..., Path]) -> None:
    """Without errors of the control in the file it is refused; with them the limits shrink with the lead."""
    made = folder(FITTED)
    assert set(run(made).window["verdict"].values) == {"undecided"}
    change_calibration(made, _with_errors)
    result = run(made)
    error = result.forecast["forecast_error_mps"]
    lead_h = (error["time"].values - np.datetime64("2026-08-11T00:00")) / np.timedelta64(1, "h")
    assert np.isnan(error.values[lead_h > 48.0]).all()
    assert not np.isnan(error.values[lead_h <= 48.0]).any()
    assert float(error.values[lead_h == 48.0].min()) > float(error.values[lead_h == 3.0].max())
    late = result.window["start"].values >= np.datetime64("2026-08-13T00:00")
    assert not (result.window["verdict"].values[late] == "go").any()
    assert rule(result) == (
        "Forecast error: factor on every wind limit fitted by calibration.json, acceptable chance 10%."
    )
    assert "fitted part of the limit" in page(result)


def _with_errors(plain: dict) -> None:  # type: ignore[type-arg]
    plain["control_realization"] = 0
    plain["errors"] = [
        {
            "lead_from_h": 12.0 * number,
            "lead_until_h": 12.0 * (number + 1),
            "cases": 270,
            "days": 70,
            "mean_mps": 0.5,
            "sigma_mps": 0.8 + 0.2 * number,
            "sigma_bound_mps": 1.0 + 0.2 * number,
            "forecast_high_mps": 30.0,
            "quantiles_mps": [0.1 * level for level in range(10)],
        }
        for number in range(4)
    ]


def test_every_output_names_the_calibration(calibrated: Assessment) -> None:
    plain = record.record(calibrated)
    assert plain["options"]["calibration"] == "calibration.json"
    assert "calibration.json" in {one["path"] for one in plain["inputs"]}
    sentence = "gusts at the load are calibrated members, by calibration.json: 70 runs against the mast 'Shoulder mast'"
    assert [remark for remark in plain["remarks"] if remark.startswith(sentence)]
    assert rule(calibrated) == (
        "Forecast error: ensemble calibrated by calibration.json, acceptable chance 10%, confidence 95%."
    )
    shown = page(calibrated)
    assert "ensemble calibrated by calibration.json" in shown
    assert "gusts at the load are calibrated members" in shown
    assert "calibrated gust" in calibrated.forecast.attrs["calculation"]


def _in_this_process(name: str, arguments: list[str]) -> None:
    """A reading script run here: 70 child processes would take minutes, and are proved elsewhere."""
    script, file, out, limit_bytes, box, engine, *names = arguments
    assert Path(script).name == "extract.py", name
    extract(file, out, int(limit_bytes), box, engine, names)


def test_the_sample_teaches_what_its_file_holds(monkeypatch: pytest.MonkeyPatch) -> None:
    """Reads all 70 runs and the mast; the committed file is what comes of them."""
    monkeypatch.setattr(raw, "_run", _in_this_process)
    found = calibration_of(SAMPLE / "move.toml", AS_OF)
    kept = json.loads((SAMPLE / "calibration.json").read_text(encoding="utf-8"))
    again = found.model_dump(mode="json", by_alias=True)
    assert again["runs"] == kept["runs"] == 70
    assert again["dropped"] == kept["dropped"]
    assert again["basis"] == kept["basis"]
    assert [one["path"] for one in again["inputs"]] == [one["path"] for one in kept["inputs"]]
    for new, old in zip(again["leads"], kept["leads"], strict=True):
        assert new["usable"] and old["usable"]
        for name in ("a_mps", "b_ratio", "c_m2_per_s2", "d_ratio"):
            assert new["together"][name] == pytest.approx(old["together"][name], abs=2e-3, rel=2e-3)
        assert new["scores"]["crps_calibrated_mps"] < 0.85 * new["scores"]["crps_raw_mps"]


def test_an_archive_of_some_days_teaches_nothing_and_leaves_with_3(folder: Callable[..., Path], tmp_path: Path) -> None:
    made = folder(archive=True)
    for file in sorted((made / "archive").iterdir())[4:]:
        file.unlink()
    done = CliRunner().invoke(main, ["calibrate", str(made / "move.toml"), *CLOCK, "--out", str(tmp_path / "out")])
    assert done.exit_code == 3
    assert "lead 0 to 12 h: not fitted: 4 of at least 30 days" in done.stderr
    assert "not fitted: 16 of at least 100 cases" in done.stderr
    assert not json.loads((tmp_path / "out" / "calibration.json").read_text(encoding="utf-8"))["leads"][0]["usable"]


REFUSED: dict[str, tuple[Change, str]] = {
    "no archive": (
        (r"(?ms)^\[weather.archive\].*?(?=^\[\[stage\]\])", ""),
        "weather.archive: is not given; name the archived forecasts and the mast",
    ),
    "no file": ((r"archive/\*\.nc", "old/*.nc"), "weather.archive.forecasts: no file is called 'old/*.nc'"),
    "outside the folder": ((r"archive/\*\.nc", "../*.nc"), "'../*.nc' may leave the folder of the move"),
    "gusts of 10 s": (
        (r"gust_average_s = 3.0", "gust_average_s = 10.0"),
        "gust_average_s: is 10 s, allowed up to 3 s: a longer average is lower than the gust of the limits",
    ),
    "dates before the first run": (
        (r'forecasts = "archive/\*\.nc"', 'forecasts = "archive/*.nc"\nlatest = 2026-01-01T00:00:00Z'),
        "weather.archive.forecasts: none of 2 runs lies within the dates asked for",
    ),
    "a broken run": ((r'forecasts = "archive/\*\.nc"', 'forecasts = "archive/*"'), "torn.nc: "),
}


@pytest.mark.parametrize("name", list(REFUSED))
def test_an_archive_that_cannot_be_learned_from_is_refused(name: str, folder: Callable[..., Path]) -> None:
    change, expected = REFUSED[name]
    made = folder(change, archive=True)
    runs = sorted((made / "archive").iterdir())
    for file in runs[2:]:
        file.unlink()
    if name == "a broken run":
        (made / "archive" / "torn.nc").write_bytes(runs[0].read_bytes()[:5000])
    done = CliRunner().invoke(main, ["calibrate", str(made / "move.toml"), *CLOCK])
    assert done.exit_code == 3
    assert expected in done.stderr
