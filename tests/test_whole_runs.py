"""Whole runs of the main job: the two samples, and laws that no change for the worse may break."""

import json
import re
import shutil
import subprocess
import sys
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import netCDF4
import numpy as np
import pytest

from shared.assessment import Assessment
from shared.errors import InputError
from transport.window.assess import assess

ROOT = Path(__file__).resolve().parents[1]
SAMPLES = ROOT / "samples"
AS_OF = datetime(2026, 3, 9, 6, tzinfo=UTC)
IN_WINTER = datetime(2026, 8, 11, 6, tzinfo=UTC)
RANK = {"no-go": 0, "undecided": 1, "go": 2}
Change = Callable[[Path], None]


def run(folder: Path, as_of: datetime = AS_OF) -> Assessment:
    return assess(folder / "move.toml", as_of=as_of)


def verdicts(result: Assessment) -> dict[np.datetime64, str]:
    return dict(zip(result.window["start"].values, result.window["verdict"].values.tolist(), strict=True))


def text(*pairs: tuple[str, str]) -> Change:
    """A change of the move file, each pattern found at least once."""

    def change(folder: Path) -> None:
        file = folder / "move.toml"
        content = file.read_text(encoding="utf-8")
        for pattern, new in pairs:
            content, count = re.subn(pattern, new, content, flags=re.M)
            assert count, pattern
        file.write_text(content, encoding="utf-8")

    return change


def field(name: str, worse: Callable[[np.ndarray], np.ndarray]) -> Change:
    """A change of one field of the forecast."""

    def change(folder: Path) -> None:
        with netCDF4.Dataset(folder / "forecast.nc", "a") as data:
            data[name][...] = worse(np.ma.filled(data[name][...].astype(float), np.nan))

    return change


def gust_name(folder: Path) -> str:
    with netCDF4.Dataset(folder / "forecast.nc") as data:
        return next(n for n, v in data.variables.items() if getattr(v, "standard_name", "") == "wind_speed_of_gust")


def kept(dimension: str, wanted: slice) -> Change:
    """Cut the forecast along one dimension."""

    def change(folder: Path) -> None:
        import xarray as xr

        file = folder / "forecast.nc"
        with xr.open_dataset(file, engine="netcdf4", decode_cf=False) as data:
            cut = data.isel({dimension: wanted}).load()
        file.unlink()
        cut.to_netcdf(file, engine="netcdf4")

    return change


@pytest.fixture
def changed(tmp_path: Path) -> Callable[..., Path]:
    """Copy a sample and change it."""

    def make(*changes: Change, name: str = "sheltered_morning") -> Path:
        folder = tmp_path / f"{name}{len(list(tmp_path.iterdir()))}"
        shutil.copytree(SAMPLES / name, folder)
        for change in changes:
            change(folder)
        return folder

    return make


@pytest.fixture(scope="module")
def sheltered() -> Assessment:
    return run(SAMPLES / "sheltered_morning")


@pytest.fixture(scope="module")
def windy() -> Assessment:
    return run(SAMPLES / "windy_saddle")


@pytest.fixture(scope="module")
def measured() -> Assessment:
    return run(SAMPLES / "measured_winter", IN_WINTER)


def summary(result: Assessment) -> dict[str, object]:
    """What a sample's expected.json holds: enough to see a change, not so much that nobody reads it."""
    least = result.rose["gust_limit_by_state_mps"].min(("station", "wind_from"), skipna=False)
    limits = {
        str(name): round(float(value), 1) for name, value in zip(least["limit_state"].values, least.values, strict=True)
    }
    counts = {name: int((result.window["verdict"].values == name).sum()) for name in RANK}
    return {
        "verdict": result.verdict,
        "windows": [
            {
                "opens": one.opens.isoformat(),
                "latest_start": one.latest_start.isoformat(),
                "governed_by": one.governed_by,
            }
            for one in result.openings
        ],
        "starts": counts,
        "reasons": list(result.reasons),
        "would_open": list(result.would_open),
        "least_gust_limit_mps": {name: (value if np.isfinite(value) else str(value)) for name, value in limits.items()},
    }


@pytest.mark.parametrize("name", ["sheltered_morning", "windy_saddle", "measured_winter"])
def test_a_sample_gives_its_expected_result(name: str, request: pytest.FixtureRequest) -> None:
    result = request.getfixturevalue(name.split("_")[0])
    assert summary(result) == json.loads((SAMPLES / name / "expected.json").read_text(encoding="utf-8"))


def test_the_sheltered_morning_opens_a_window(sheltered: Assessment) -> None:
    assert sheltered.verdict == "go"
    assert len(sheltered.openings) == 1


def test_only_the_saddle_closes_the_windy_move(windy: Assessment) -> None:
    assert windy.verdict == "no-go"
    by_day = windy.window["governed_by"].values != "daylight"
    assert by_day.any()
    stations = windy.window["governing_station_m"].values[by_day]
    saddle = windy.road["section_name"].values.tolist().index("Open saddle")
    begin, end = (float(windy.road[f"section_{edge}_station_m"][saddle]) for edge in ("from", "to"))
    assert ((stations >= begin) & (stations <= end)).all()


WORSE: dict[str, list[Change]] = {
    "more gust": [lambda folder: field(gust_name(folder), lambda gust: gust * 1.5)(folder)],
    "unknown gust in one member and hour": [lambda folder: field(gust_name(folder), _hole)(folder)],
    "weaker chains": [text((r"^lc_kN = 160.0", "lc_kN = 4.0"), (r"^stf_kN = .*", "stf_kN = 1.0"))],
    "less friction": [text((r"^friction_ratio = 0.30", "friction_ratio = 0.05"))],
    "steeper than the limit": [text((r"^grade_limit_ratio = .*", "grade_limit_ratio = 0.08"))],
    "weaker retarder": [text((r"^retarding_force_kN = .*", "retarding_force_kN = 2.0"))],
    "less tension in the cover": [text((r"^tension_min_kN_per_m = .*", "tension_min_kN_per_m = 0.35"))],
    "tension believed for an hour only": [text((r"^tension_valid_h = .*", "tension_valid_h = 1.0"))],
    "tension not measured after the cover was off": [text((r"^measures_tension = .*\n", ""))],
    "member due but not there": [text((r"^members_count = 31", "members_count = 40"))],
    "gust stuck at zero tomorrow": [lambda folder: field(gust_name(folder), _tomorrow(0.0))(folder)],
    "gust below the mean tomorrow": [lambda folder: field(gust_name(folder), _tomorrow(0.3))(folder)],
    "a gust limit for the drive": [text((r'^kind = "drive"', 'kind = "drive"\ngust_limit_mps = 5.0'))],
    "air denser than stated": [text((r"^air_density_kg_per_m3 = .*", "air_density_kg_per_m3 = 0.9"))],
    "shorter forecast": [kept("time", slice(0, 40))],
    "member dropped": [kept("realization", slice(0, 30))],
    "narrower acceptance": [text((r"^acceptable_chance_ratio = .*", "acceptable_chance_ratio = 0.05"))],
    "mirror temperature not measured": [text((r"^temperature_c = .*\n", ""), (r"^temperature_measured_at = .*\n", ""))],
    "survey too poor": [text((r"^sigma_xy_m = .*", "sigma_xy_m = 2.0"), (r"^sigma_z_m = .*", "sigma_z_m = 2.0"))],
    "roughness not known": [text((r'^roughness_class = "B".*\n', ""))],
    "longer operation": [text((r"^duration_h = 1.5", "duration_h = 6.0"))],
}


def _tomorrow(factor: float) -> Callable[[np.ndarray], np.ndarray]:
    """The gust of the second day on, times a factor: a gate that looks at today alone would not see it."""

    def change(gust: np.ndarray) -> np.ndarray:
        gust = gust.copy()
        gust[:, 24:] *= factor
        return gust

    return change


def _hole(gust: np.ndarray) -> np.ndarray:
    gust = gust.copy()
    gust[3, 34] = np.nan
    return gust


@pytest.mark.parametrize("name", list(WORSE))
def test_a_change_for_the_worse_never_opens_a_start(
    name: str, changed: Callable[..., Path], sheltered: Assessment
) -> None:
    """Law: more wind, weaker, steeper, shorter, fewer, unknown: never to go; here each also closes some start."""
    before, after = verdicts(sheltered), verdicts(run(changed(*WORSE[name])))
    assert not [start for start, verdict in after.items() if verdict == "go" and before.get(start) != "go"]
    assert [start for start, verdict in before.items() if verdict == "go" and after.get(start) != "go"]


@pytest.mark.parametrize("name", ["survey too poor", "roughness not known", "mirror temperature not measured"])
def test_what_is_not_known_is_undecided_and_says_so(name: str, changed: Callable[..., Path]) -> None:
    result = run(changed(*WORSE[name]))
    assert result.verdict == "undecided"
    assert any(reason.startswith("undecided: ") for reason in result.reasons)


def test_a_stale_forecast_decides_nothing() -> None:
    result = run(SAMPLES / "sheltered_morning", as_of=datetime(2026, 3, 10, 6, tzinfo=UTC))
    assert result.verdict == "undecided"
    assert set(result.window["verdict"].values) == {"undecided"}
    assert "old" in result.reasons[0]


def test_a_swapped_leg_swaps_the_road_not_the_answer_of_its_bends(changed: Callable[..., Path]) -> None:
    """Mirror law: driven the other way, the road has opposite grades, and hold points from the other end."""
    out, back = run(changed()).road, run(changed(text((r'^leg = "out"', 'leg = "return"')))).road
    assert float(out["grade_ratio"].max()) == pytest.approx(-float(back["grade_ratio"].min()), abs=2e-3)
    length = float(out["station"][-1])
    assert back["hold_station_m"].values == pytest.approx(length - out["hold_station_m"].values, abs=0.5)


def test_twice_the_same_bytes(tmp_path: Path) -> None:
    """Byte-identical when run twice with the same clock, in two processes."""
    for name in ("one", "two"):
        subprocess.run(
            [
                *(sys.executable, "-m", "transport.cli", "assess", str(SAMPLES / "sheltered_morning" / "move.toml")),
                *("--as-of", "2026-03-09T06:00:00Z", "--out", str(tmp_path / name)),
            ],
            check=False,
            capture_output=True,
            env={"PYTHONHASHSEED": "0" if name == "one" else "7", "PATH": "/usr/bin:/bin"},
        )
    files = sorted(file.name for file in (tmp_path / "one").iterdir())
    assert files == ["assessment.json", "assessment.nc", "briefing.pdf", "calculation.pdf", "page.html", "window.csv"]
    assert [
        name for name in files if (tmp_path / "one" / name).read_bytes() != (tmp_path / "two" / name).read_bytes()
    ] == []


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        (r"^members_count = 31", "members_count = 61", None),
        (r'^path = "forecast.nc"', 'path = "none.nc"', "none.nc"),
        (r'^survey = "road.csv"', 'survey = "../road.csv"', ".."),
    ],
)
def test_members_that_are_missing_and_files_that_are_not_there(
    old: str, new: str, message: str | None, changed: Callable[..., Path]
) -> None:
    folder = changed(text((old, new)))
    if message is None:
        assert run(folder).verdict == "undecided"
        return
    with pytest.raises(InputError, match=re.escape(message)):
        run(folder)


if __name__ == "__main__":
    for sample in ("sheltered_morning", "windy_saddle"):
        found = json.dumps(summary(run(SAMPLES / sample)), indent=1, ensure_ascii=False)
        (SAMPLES / sample / "expected.json").write_text(f"{found}\n", encoding="utf-8")
