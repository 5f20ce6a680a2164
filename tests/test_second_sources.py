"""Whole moves with several sources of weather: the worse counts, and what says nothing lets nothing go.

The second feeds are made by the script of the samples, from another seed or with other strength, as NetCDF files of
their own; the instruments stand in the normal form.
"""

import csv
import importlib.util
import io
import json
import re
import shutil
import sys
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from types import ModuleType
from typing import Any

import netCDF4
import numpy as np
import pytest
import xarray as xr
from click.testing import CliRunner
from pypdf import PdfReader
from scipy.ndimage import maximum_filter1d

from shared.assessment import Assessment
from shared.errors import InputError
from transport.cli.main import main
from transport.reports import archive, briefing, gust_chart, record, spreadsheet
from transport.weather.feeds.inputs import Feed, Station
from transport.window import assess as window

ROOT = Path(__file__).resolve().parents[1]
SAMPLE = ROOT / "samples" / "sheltered_morning"
AS_OF = datetime(2026, 3, 9, 6, tzinfo=UTC)
WINDS = ("eastward_wind", "northward_wind", "wind_speed_of_gust")
ONE_SOURCE = "one source of weather only: a wrong unit in all of its fields would not show"
Change = Callable[[Any], Any]


def _script() -> ModuleType:
    spec = importlib.util.spec_from_file_location("make_samples", ROOT / "samples" / "make_samples.py")
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


made = _script()


@pytest.fixture(scope="module", autouse=True)
def checks() -> Iterator[None]:
    """The checks have no weather in them and are the same in all these moves: calculate them once."""
    with pytest.MonkeyPatch.context() as patch:
        found = window.calculation(window.plan_of(SAMPLE / "move.toml"))
        patch.setattr(window, "calculation", lambda plan: found)
        yield


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    shutil.copytree(SAMPLE, tmp_path / "move")
    return tmp_path / "move"


@pytest.fixture(scope="module")
def alone() -> Assessment:
    return window.assess(SAMPLE / "move.toml", as_of=AS_OF)


def rewrite(folder: Path, pattern: str, new: str) -> None:
    file = folder / "move.toml"
    text, count = re.subn(pattern, new, file.read_text(encoding="utf-8"), count=1, flags=re.M | re.S)
    assert count, pattern
    file.write_text(text, encoding="utf-8")


def opine(
    folder: Path, name: str = "second.nc", *, seed: int = 31, factor: float = 1.0, change: Change = lambda whole: whole
) -> None:
    """Add a second opinion: the weather of the sample, from a seed of its own and with other winds."""
    whole = made.forecast(replace(made.SHELTERED_WEATHER, seed=seed))
    winds = {field: values * factor for field, values in whole.fields.items() if field in WINDS}
    made.write_forecast(folder / name, change(replace(whole, fields=whole.fields | winds)))
    table = f'[[weather.feed]]\npath = "{name}"\nrole = "second_opinion"\n\n'
    rewrite(folder, r"^\[\[stage\]\]\nname = \"Lift", f'{table}[[stage]]\nname = "Lift')


def hours(last: int, first: int = 0) -> Change:
    return lambda whole: made.at_times(whole, np.arange(first, last + 1))


def every_three_hours(folder: Path, **rest: Any) -> None:
    """A coarser second opinion of eleven members: the highest gust and rain of three hours, with their bounds."""

    def coarse(whole: Any) -> Any:
        fields = dict(whole.fields)
        for name in ("wind_speed_of_gust", "precipitation_flux"):
            fields[name] = maximum_filter1d(fields[name], 3, axis=1, origin=1)
        return made.cut(replace(whole, fields=fields), slice(11), np.arange(0, 73, 3), slice(None), slice(None))

    opine(folder, change=coarse, **rest)
    with netCDF4.Dataset(folder / "second.nc", "a") as data:
        data["time_bnds"][:, 0] = data["time"][:] - 3.0


def run(folder: Path) -> Assessment:
    return window.assess(folder / "move.toml", as_of=AS_OF)


def verdicts(result: Assessment) -> np.ndarray:
    return np.asarray(result.window["verdict"].values)


def never_better(result: Assessment, than: Assessment) -> None:
    """No start goes that did not go before, no no-go becomes undecided without a refusal, utilisations never fall."""
    before, after = verdicts(than), verdicts(result)
    assert not ((after == "go") & (before != "go")).any()
    use, was = (one.window["utilisation_ratio"].values for one in (result, than))
    assert not (use < was).any()


# ---------------------------------------------------------------- second opinions


def test_a_weaker_second_opinion_changes_no_start_but_is_a_second_source(folder: Path, alone: Assessment) -> None:
    opine(folder, factor=0.8)
    result = run(folder)
    xr.testing.assert_identical(result.window, alone.window)
    assert result.reasons == alone.reasons
    assert ONE_SOURCE in alone.remarks and ONE_SOURCE not in result.remarks
    assert result.disagreement["starts_differ_count"].values.tolist()[0] > 0
    assert result.disagreement["starts_governed_count"].values.tolist() == [0]
    assert (result.disagreement["opinion_above_mps"] <= 0.0).all()


def test_the_forecast_itself_is_no_second_source(folder: Path, alone: Assessment) -> None:
    opine(folder)
    result = run(folder)
    xr.testing.assert_identical(result.window, alone.window)
    assert "second.nc holds the same winds as the forecast: a copy is no second source" in result.remarks
    assert ONE_SOURCE in result.remarks


@pytest.mark.parametrize("members", [31, 11])
@pytest.mark.parametrize("times", [np.arange(60), np.arange(0, 73, 3)])
def test_a_part_of_the_forecast_is_no_second_source(folder: Path, members: int, times: np.ndarray) -> None:
    """Some of its members, fewer hours, every third hour, a part of its grid: nothing new is known from them."""
    opine(folder, change=lambda whole: made.cut(whole, slice(members), times, slice(4), slice(None)))
    remarks = run(folder).remarks
    assert "second.nc holds the same winds as the forecast: a copy is no second source" in remarks
    assert ONE_SOURCE in remarks


def test_swapping_two_equal_feeds_changes_nothing(folder: Path, alone: Assessment) -> None:
    opine(folder)
    rewrite(folder, r'path = "forecast.nc"', 'path = "third.nc"')
    rewrite(folder, r'path = "second.nc"', 'path = "forecast.nc"')
    (folder / "second.nc").rename(folder / "third.nc")
    swapped = run(folder)
    ours, theirs = (one.window.drop_vars("governing_feed") for one in (swapped, alone))
    xr.testing.assert_allclose(ours, theirs, rtol=1e-4)
    assert (verdicts(swapped) == verdicts(alone)).all()


def test_a_stronger_and_coarser_second_opinion_closes_starts_and_is_named(folder: Path, alone: Assessment) -> None:
    every_three_hours(folder, seed=77, factor=1.12)
    result = run(folder)
    never_better(result, alone)
    lost = (verdicts(alone) == "go") & (verdicts(result) == "no-go")
    assert lost.any()
    assert set(result.window["governing_feed"].values[lost]) == {"second.nc"}
    assert set(result.window["governed_by"].values[lost]) == {"cover divergence"}
    assert all(words.startswith("second.nc: gust ") for words in result.window["governing_words"].values[lost])
    assert result.openings[0].governing_feed == "second.nc"
    assert int(result.disagreement["starts_differ_count"][0]) >= lost.sum()
    told = r"second.nc: of the \d+ starts that both know it decides \d+ otherwise"
    assert any(re.match(told, remark) for remark in result.remarks)
    assert result.opinions[0].sizes["realization"] == 11


def test_starts_beyond_its_reach_are_undecided_in_one_line(folder: Path, alone: Assessment) -> None:
    opine(folder, factor=0.8, change=hours(38))
    result = run(folder)
    never_better(result, alone)
    reach = [reason for reason in result.reasons if "second.nc" in reason]
    assert len(reach) == 1
    assert reach[0].startswith("undecided: forecast, ")
    assert "the first: second.nc: the forecast does not reach that far" in reach[0]
    end = np.datetime64("2026-03-10T14:00")
    inside = result.window["finished_by"].values <= end
    assert (verdicts(result)[inside] == verdicts(alone)[inside]).all()
    assert not (verdicts(result)[~inside] == "go").any()
    assert result.verdict == "undecided" or (verdicts(result) == "go").any()


def test_one_that_ends_before_any_start_or_begins_late(folder: Path, alone: Assessment) -> None:
    opine(folder, factor=0.8, change=hours(10))
    assert not (verdicts(run(folder)) == "go").any()
    assert ONE_SOURCE not in run(folder).remarks
    without_dew = made.at_times(made.forecast(made.SHELTERED_WEATHER), np.arange(32, 73))
    del without_dew.fields["dew_point_temperature"]
    made.write_forecast(folder / "second.nc", without_dew)
    late = run(folder)
    never_better(late, alone)
    early = late.window["start"].values < np.datetime64("2026-03-10T08:00")
    assert not (verdicts(late)[early] == "go").any()
    assert (verdicts(late) == "go").any()


def test_a_second_opinion_need_carry_the_wind_alone(folder: Path, alone: Assessment) -> None:
    def bare(whole: Any) -> Any:
        return replace(whole, fields={name: whole.fields[name] for name in ("eastward_wind", "northward_wind")})

    opine(folder, factor=0.7, change=bare)
    result = run(folder)
    never_better(result, alone)
    assert result.verdict == "go"
    assert any(remark.startswith("second.nc: bounds no gust by itself") for remark in result.remarks)
    assert "second.nc: no visibility_in_air" in result.remarks


@pytest.mark.parametrize("name", ["wind_speed_of_gust", "dew_point_temperature", "precipitation_flux"])
def test_what_it_carries_partly_leaves_undecided(folder: Path, alone: Assessment, name: str) -> None:
    """The hour from 13:00 to 14:00 UTC on the second day, in which every start that goes would be under way."""

    def holed(whole: Any) -> Any:
        values = whole.fields[name].copy()
        values[:, 38] = np.nan
        return replace(whole, fields=whole.fields | {name: values})

    opine(folder, factor=0.8, change=holed)
    result = run(folder)
    never_better(result, alone)
    lost = (verdicts(alone) == "go") & (verdicts(result) == "undecided")
    assert lost.sum() > 10
    assert set(result.window["governing_feed"].values[lost]) == {"second.nc"}


@pytest.mark.parametrize(
    "name", ["dew_point_temperature", "air_temperature", "precipitation_flux", "visibility_in_air"]
)
@pytest.mark.parametrize("elsewhere", [False, True])
def test_what_it_carries_but_not_here_is_unknown_and_not_left_out(folder: Path, name: str, elsewhere: bool) -> None:
    """A field full of missing values, or known only far from the road, is no field that was never there."""

    def emptied(whole: Any) -> Any:
        values = np.full_like(whole.fields[name], np.nan)
        if elsewhere:
            wide = np.append(whole.longitude_deg, whole.longitude_deg[-1] + 0.05 * np.arange(1, 11))
            fields = {key: np.pad(v, [(0, 0)] * 3 + [(0, 10)], mode="edge") for key, v in whole.fields.items()}
            here = np.pad(values, [(0, 0)] * 3 + [(0, 10)])
            here[..., :-3], here[..., -3:] = np.nan, fields[name][..., -3:]
            altitude_m = np.pad(whole.altitude_m, [(0, 0), (0, 10)], mode="edge")
            return replace(whole, longitude_deg=wide, altitude_m=altitude_m, fields=fields | {name: here})
        return replace(whole, fields=whole.fields | {name: values})

    opine(folder, seed=77, factor=0.8, change=emptied)
    result = run(folder)
    assert result.verdict == "undecided"
    assert any("second.nc" in reason and "does not say" in reason for reason in result.reasons)


REFUSED: dict[str, tuple[Change, str]] = {
    "stale": (lambda whole: replace(whole, reference="2026-03-08 00:00:00"), "second.nc: the forecast is 30.0 h old"),
    "copies": (
        lambda whole: replace(whole, fields={name: np.repeat(v[:1], 31, 0) for name, v in whole.fields.items()}),
        "second.nc: only 1 of 31 members differ",
    ),
    "elsewhere": (
        lambda whole: replace(whole, longitude_deg=whole.longitude_deg + 3.0),
        "second.nc: does not cover the road",
    ),
    "impossible": (
        lambda whole: replace(
            whole, fields=whole.fields | {"wind_speed_of_gust": 20.0 * whole.fields["wind_speed_of_gust"]}
        ),
        "second.nc: gust_mps holds ",
    ),
}


def test_one_far_below_the_road_only_closes_starts_and_that_is_said(folder: Path, alone: Assessment) -> None:
    opine(folder, factor=0.9, change=lambda whole: replace(whole, altitude_m=whole.altitude_m - 900.0))
    found = run(folder)
    never_better(found, than=alone)
    assert found.opinions[0].attrs["refusals"] == "[]"
    assert [one for one in found.remarks if one.startswith("second.nc: the road lies up to ")]


@pytest.mark.parametrize("name", REFUSED)
def test_one_that_is_not_believed_lets_none_go_and_hides_no_no_go(folder: Path, alone: Assessment, name: str) -> None:
    change, said = REFUSED[name]
    opine(folder, factor=0.9, change=change)
    result = run(folder)
    before, after = verdicts(alone), verdicts(result)
    assert (after[before == "go"] == "undecided").all()
    assert (after[before == "no-go"] == "no-go").all()
    assert (result.window["governing_feed"].values[before == "go"] == "second.nc").all()
    assert result.reasons[0].startswith(f"undecided: {said}")
    assert sum("second.nc" in reason for reason in result.reasons) <= 2
    assert ONE_SOURCE in result.remarks
    assert result.would_open == ()


@pytest.mark.parametrize("factor", [0.514444, 1.0 / 0.514444])
def test_a_wrong_unit_in_all_winds_of_one_source_decides_nothing(folder: Path, factor: float) -> None:
    """0.514444 m/s a knot, ISO 80000-3 (from memory); which of the two is wrong nobody knows, so no no-go either."""
    opine(folder, seed=77, factor=factor)
    result = run(folder)
    assert set(verdicts(result)) == {"undecided"}
    assert any("is a unit wrong?" in reason for reason in result.reasons)


def test_of_several_second_opinions_the_worst_counts(folder: Path, alone: Assessment) -> None:
    opine(folder, "weak.nc", factor=0.8)
    opine(folder, "short.nc", factor=0.8, change=hours(40))
    opine(folder, "strong.nc", seed=77, factor=1.1)
    result = run(folder)
    never_better(result, alone)
    assert {"", "forecast.nc", "strong.nc", "short.nc"} == set(result.window["governing_feed"].values)
    assert result.disagreement["opinion"].values.tolist() == ["weak.nc", "short.nc", "strong.nc"]
    drawing = gust_chart.draw(result)
    assert all(drawing.count(f'class="opinion opinion-{number}"') == 2 for number in range(3))


def test_under_the_factor_all_members_of_a_second_opinion_meet_the_factored_limit(folder: Path) -> None:
    rule = 'rule = "alpha"\nalpha_ratio = 0.85\ncontrol_realization = 0\n'
    rewrite(folder, r'^rule = "ensemble".*?^members_count = 31[^\n]*\n', rule)
    alone = run(folder)
    assert (verdicts(alone) == "go").any()
    opine(folder)
    result = run(folder)
    never_better(result, alone)
    lost = (verdicts(alone) == "go") & (verdicts(result) == "no-go")
    assert lost.any(), "the control member alone is milder than the worst of 31"
    assert "0.85 of the limit" in str(result.window["governing_words"].values[lost][0])


# ---------------------------------------------------------------- what the outputs say


@pytest.fixture(scope="module")
def governed(tmp_path_factory: pytest.TempPathFactory) -> Assessment:
    folder = tmp_path_factory.mktemp("governed") / "move"
    shutil.copytree(SAMPLE, folder)
    every_three_hours(folder, seed=77, factor=1.12)
    return run(folder)


def test_json_csv_and_netcdf_hold_the_disagreement(governed: Assessment, tmp_path: Path) -> None:
    found = json.loads(record.json_bytes(governed))
    assert found["opinions"][0]["file"] == "second.nc"
    assert found["opinions"][0]["members"] == 11
    steps = found["disagreement"]
    assert len(steps["time"]) == len(steps["road_gust_high_mps"]) == 72
    (opinion,) = steps["opinions"]
    assert len(opinion["opinion_gust_high_mps"]) == len(opinion["opinion_above_mps"]) == 72
    assert opinion["starts_governed_count"] == [one["governing_feed"] for one in found["starts"]].count("second.nc")
    rows = list(csv.DictReader(io.StringIO(spreadsheet.csv_bytes(governed).decode())))
    assert {row["governing_feed"] for row in rows} == {"second.nc", "forecast.nc", "none"}
    archive.write_netcdf(governed, tmp_path / "assessment.nc")
    for name, data in (("opinion_1", governed.opinions[0]), ("disagreement", governed.disagreement)):
        with xr.open_dataset(tmp_path / "assessment.nc", group=name, engine="netcdf4") as read:
            xr.testing.assert_equal(read.load().drop_encoding(), data)


def test_the_difference_is_that_of_the_highest_over_the_road_on_the_steps_of_the_forecast(
    governed: Assessment,
) -> None:
    """Hour by hour in plain Python: a step of three hours counts whole in each hour that it overlaps."""
    theirs, ours = governed.opinions[0], governed.forecast
    high = {
        hour: theirs["gust_apparent_mps"].values[:, step].max()
        for step in range(theirs.sizes["time"])
        for hour in range(3 * step, 3 * step + 3)
    }
    expected = [high[hour] for hour in range(72)]
    np.testing.assert_allclose(governed.disagreement["opinion_gust_high_mps"][0], expected)
    mine = ours["gust_apparent_mps"].values.max(axis=(0, 2))
    np.testing.assert_allclose(governed.disagreement["opinion_above_mps"][0], np.array(expected) - mine, rtol=1e-5)


def test_the_briefing_says_that_a_second_opinion_governs(governed: Assessment, alone: Assessment) -> None:
    def read(result: Assessment) -> tuple[int, str]:
        pages = PdfReader(io.BytesIO(briefing.briefing(result))).pages
        return len(pages), " ".join(pages[0].extract_text().split())

    said = "A second opinion on the weather, second.nc, is worse than the forecast and governs."
    count, text = read(governed)
    assert count <= 2 and said in text
    assert "second opinion" not in read(alone)[1]


@pytest.mark.parametrize("command", ["window", "weather"])
def test_the_terminal_says_it_in_short(folder: Path, command: str) -> None:
    every_three_hours(folder, seed=77, factor=1.12)
    shown = CliRunner().invoke(main, [command, str(folder / "move.toml"), "--as-of", "2026-03-09T06:00:00Z"])
    _, title, below = shown.stdout.partition("Second opinions: highest gust")
    assert title
    (row,) = (line for line in below.splitlines() if line.startswith("second.nc "))
    assert ("of 3" in row) == (command == "window")


def test_roles_that_cannot_be(folder: Path) -> None:
    opine(folder, "forecast.nc")
    with pytest.raises(InputError, match=r"two feeds read 'forecast.nc'; a source is not compared with itself"):
        run(folder)


# ---------------------------------------------------------------- instruments


def mast(mean_mps: Any, gust_mps: Any, until_h: float = 6.0) -> xr.Dataset:
    """Ten-minute means and gusts from midnight on, at a place inside the grid of the sample."""
    after_s = np.arange(600, int(until_h * 3600) + 1, 600)
    time = np.datetime64("2026-03-09T00:00", "s") + after_s.astype("timedelta64[s]")
    dims, shape = ("realization", "time", "latitude", "longitude"), (1, time.size, 1, 1)
    known = {"mean_wind_mps": mean_mps, "gust_mps": gust_mps}
    names = ("mean_wind_mps", "gust_mps", "eastward_wind_mps", "northward_wind_mps")
    values = {name: np.broadcast_to(np.float32(known.get(name, np.nan)), shape) for name in names}
    gust = {"gust_start": time - np.timedelta64(600, "s"), "gust_end": time}
    times = {name: ("time", value.astype("datetime64[ns]")) for name, value in ({"time": time} | gust).items()}
    attrs = {"file": "mast.csv", "role": "observation", "observed_until": f"{time[-1]}Z", "valid_within_m": 30_000.0}
    attrs |= {"remarks": "[]", "source_kind": "mast logger"}
    coords = {"realization": [0], "latitude": [-38.5], "longitude": [-21.3], **times}
    return xr.Dataset({name: (dims, value) for name, value in values.items()}, coords, attrs)


@pytest.fixture
def with_mast(folder: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., Assessment]:
    """Run the sample with an instrument beside it, given in the normal form."""
    place = {"longitude_deg": -21.3, "latitude_deg": -38.5, "elevation_m": 2050.0, "valid_within_km": 30.0}
    (folder / "mast.csv").write_text("read elsewhere\n", encoding="utf-8")
    move_of, feeds_of = window.move_of, window.feeds_of

    def result(observation: xr.Dataset, height_m: float = 10.0, may_be_silent: bool | None = None) -> Assessment:
        station = Station(name="Shelf mast", height_m=height_m, **place)
        feed = Feed.model_construct(path="mast.csv", role="observation", station=station, may_be_silent=may_be_silent)

        def move(path: Path) -> Any:
            given = move_of(path)
            weather = given.weather.model_copy(update={"feed": (*given.weather.feed, feed)})
            return given.model_copy(update={"weather": weather})

        def feeds(given: Any, folder: Path, road: Any, **options: Any) -> list[xr.Dataset]:
            files = given.weather.model_copy(update={"feed": given.weather.feed[:-1]})
            return [*feeds_of(given.model_copy(update={"weather": files}), folder, road, **options), observation]

        monkeypatch.setattr(window, "move_of", move)
        monkeypatch.setattr(window, "feeds_of", feeds)
        return run(folder)

    return result


def test_an_instrument_that_agrees_changes_no_start(with_mast: Callable[..., Assessment], alone: Assessment) -> None:
    result = with_mast(mast(6.4, 10.5))
    xr.testing.assert_identical(result.window, alone.window)
    assert ONE_SOURCE not in result.remarks
    found = json.loads(record.json_bytes(result))["observations"]
    assert (found[0]["station"], found[0]["compared"], len(found[0]["cases"])) == ("Shelf mast", 1, 36)


WORSE: dict[str, tuple[xr.Dataset, str]] = {
    "a gale that no member has": (mast(6.4, 19.0), "it misses what blows now"),
    "a mean that no member has": (mast(9.9, 12.0), "it misses what blows now"),
    "knots labelled m/s": (mast(6.4 / 0.514444, 10.5 / 0.514444), "is a unit wrong"),
    "m/s labelled knots": (mast(6.4 * 0.514444, 10.5 * 0.514444), "is a unit wrong"),
    "iced": (mast(0.0, 0.0), "is a unit wrong, or the instrument stuck?"),
    "silent": (mast(np.nan, np.nan), "told no mean wind in the 6 h before now"),
    "long ago": (mast(6.4, 10.5, until_h=3.0), "last told the wind 3.0 h before now, allowed are 2 h"),
    "from the future": (mast(6.4, 10.5, until_h=7.0), "was observed until 2026-03-09T07:00:00 UTC, after now"),
}


@pytest.mark.parametrize("name", WORSE)
def test_an_instrument_that_contradicts_or_is_silent_lets_none_go(
    with_mast: Callable[..., Assessment], name: str
) -> None:
    observation, said = WORSE[name]
    result = with_mast(observation)
    assert set(verdicts(result)) == {"undecided"}
    assert any(reason.startswith("undecided: mast.csv: ") and said in reason for reason in result.reasons)


def test_silence_that_the_move_allows_is_said_and_is_no_second_source(
    with_mast: Callable[..., Assessment], alone: Assessment
) -> None:
    result = with_mast(mast(np.nan, np.nan), may_be_silent=True)
    xr.testing.assert_identical(result.window, alone.window)
    said = "mast.csv: told no mean wind in the 6 h before now, so it was not compared"
    assert said in result.remarks and ONE_SOURCE in result.remarks


def test_little_wind_at_a_low_instrument_is_nothing_in_favour(
    with_mast: Callable[..., Assessment], alone: Assessment
) -> None:
    """At 2 m over open ground a mean wind is about 0.7 of that at 10 m: ln(2 / 0.05) / ln(10 / 0.05)."""
    result = with_mast(mast(6.4 * 0.7, 10.5 * 0.75), height_m=2.0)
    xr.testing.assert_identical(result.window, alone.window)
    assert any("lower than the 10 m of a forecast" in remark for remark in result.remarks)


LOGGER = """[[weather.feed]]
path = "mast.csv"
role = "observation"
format = "mast"
[weather.feed.station]
name = "Shelf mast"
longitude_deg = -21.3
latitude_deg = -38.5
elevation_m = 2050.0
height_m = 10.0
valid_within_km = 30.0
[weather.feed.logger]
time_column = "time"
time_format = "%Y-%m-%d %H:%M"
utc_offset = "UTC"
label = "end"
interval_min = 10
delimiter = ","
decimal = "."
header_row = 1
first_row = 2
missing = []
gust_average_s = 3.0
[[weather.feed.column]]
name = "mean"
quantity = "wind_speed"
unit = "m/s"
statistic = "mean"
[[weather.feed.column]]
name = "gust"
quantity = "wind_speed_of_gust"
unit = "m/s"
statistic = "maximum"

"""


@pytest.mark.parametrize(("gust_mps", "verdict"), [(10.4, "go"), (19.0, "undecided")])
def test_a_logger_file_beside_the_move(folder: Path, alone: Assessment, gust_mps: float, verdict: str) -> None:
    """From the text of the file to the decision: one gust of the last hour, with the wind as it was forecast or not."""
    rows = [
        f"2026-03-09 {minute // 60:02d}:{minute % 60:02d},{6.4 + 0.1 * (minute % 70 / 10):.2f},"
        f"{gust_mps if minute == 320 else 9.5 + 0.1 * (minute % 50 / 10):.2f}"
        for minute in range(10, 361, 10)
    ]
    (folder / "mast.csv").write_text("\n".join(["time,mean,gust", *rows, ""]), encoding="utf-8")
    rewrite(folder, r"^\[\[stage\]\]\nname = \"Lift", f'{LOGGER}[[stage]]\nname = "Lift')
    result = run(folder)
    assert result.verdict == verdict
    assert (result.observations[0].attrs["source_kind"], result.observations[0].sizes["time"]) == ("mast logger", 36)
    if verdict == "go":
        xr.testing.assert_identical(result.window, alone.window)
    else:
        assert any("gust 19.0 m/s observed at 2026-03-09T05:20:00 UTC" in reason for reason in result.reasons)


AERODROME = """[[weather.feed]]
path = "taf.txt"
role = "second_opinion"
format = "taf"
[weather.feed.station]
name = "Invented aerodrome"
identifier = "XXIA"
longitude_deg = -21.25
latitude_deg = -38.55
elevation_m = 2000.0
height_m = 10.0
valid_within_km = 30.0

"""


def test_an_aerodrome_forecast_as_second_opinion(folder: Path, alone: Assessment) -> None:
    """A TAF of 30 h in code form FM 51 ends before the window of the next day does: what lies beyond is undecided."""
    text = "2026-03-09T05:10Z\nTAF XXIA 090500Z 0906/1012 24014KT CAVOK BECMG 1000/1002 24005KT=\n"
    (folder / "taf.txt").write_text(text, encoding="utf-8")
    rewrite(folder, r"^\[\[stage\]\]\nname = \"Lift", f'{AERODROME}[[stage]]\nname = "Lift')
    result = run(folder)
    never_better(result, alone)
    assert result.opinions[0].attrs["source_kind"] == "TAF"
    assert result.opinions[0].attrs["refusals"] == "[]"
    assert not (verdicts(result) == "go").any()
    beyond = result.window["finished_by"].values > np.datetime64("2026-03-10T12:00")
    assert (verdicts(result)[beyond & (verdicts(alone) == "go")] == "undecided").all()
    assert sum("taf.txt: the forecast does not reach that far" in reason for reason in result.reasons) == 1
    assert ONE_SOURCE not in result.remarks


def test_the_chart_shows_what_was_observed_beside_its_key(with_mast: Callable[..., Assessment]) -> None:
    drawing = gust_chart.draw(with_mast(mast(6.4, 10.5)))
    assert drawing.count('class="observed"') == 37
    assert ">gust observed at Shelf mast, at the instrument</text>" in drawing
