"""A mast campaign on a stretch of road, from its archive to the factor that counts in a whole move."""

import json
import re
import shutil
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest
from click.testing import CliRunner

from shared.errors import InputError
from shared.learned import text_of
from transport.cli.main import main
from transport.window.assess import assess
from transport.window.campaigns import speed_ups_of

SAMPLE = Path(__file__).parents[1] / "samples" / "measured_winter"
AS_OF = datetime(2026, 8, 11, 6, tzinfo=UTC)
LATER = datetime(2026, 9, 1, tzinfo=UTC)
CAMPAIGN = "site.relief.campaign"


@pytest.fixture(scope="module")
def learned(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The winter's mast, which stands on the shoulder, as the campaign of its relief; six runs of its archive."""
    folder = tmp_path_factory.mktemp("campaign")
    shutil.copytree(
        SAMPLE / "archive",
        folder / "archive",
        ignore=shutil.ignore_patterns("*0[7-9]T00.nc", "*[123]?T00.nc", "2026-0[78]*"),
    )
    for name in ("road.csv", "forecast.nc", "mast.csv"):
        shutil.copy(SAMPLE / name, folder)
    text = (SAMPLE / "move.toml").read_text(encoding="utf-8")
    campaign = text[text.index("[weather.archive]") : text.index("[[stage]]")].replace("weather.archive", CAMPAIGN)
    text = re.sub(r"(?s)\[weather\.calibration\].*?(?=\[\[stage\]\])", "", text)
    (folder / "move.toml").write_text(text.replace("\n[seismic]", f"\n{campaign}\n[seismic]", 1), encoding="utf-8")
    found = speed_ups_of(folder / "move.toml", LATER)
    (folder / "speed_up.json").write_text(text_of(found), encoding="utf-8")
    return folder


@pytest.fixture
def move(learned: Path, tmp_path: Path) -> Callable[..., Path]:
    """A copy that uses the file, with changes."""

    def make(*changes: tuple[str, str]) -> Path:
        folder = shutil.copytree(learned, tmp_path / "move", dirs_exist_ok=True)
        path = folder / "move.toml"
        text = path.read_text(encoding="utf-8").replace(
            "factor_ratio = 1.25 ", 'measured = "speed_up.json"\nfactor_ratio = 1.25 ', 1
        )
        for old, new in changes:
            assert old in text
            text = text.replace(old, new, 1)
        path.write_text(text, encoding="utf-8")
        return path

    return make


def test_six_days_are_measured_but_do_not_stand_alone(learned: Path) -> None:
    found = json.loads((learned / "speed_up.json").read_text(encoding="utf-8"))
    (one,) = found["measured"]
    assert one["relief"] == "open shoulder"
    assert 2 <= one["mean"]["days"] < 20
    assert one["mean"]["ratio"] <= one["mean"]["upper_ratio"]
    assert {file["path"] for file in found["inputs"]} >= {"move.toml", "mast.csv", "archive/2026-06-02T00.nc"}


def test_the_larger_factor_counts_and_is_said(move: Callable[..., Path], learned: Path) -> None:
    (one,) = json.loads((learned / "speed_up.json").read_text(encoding="utf-8"))["measured"]
    result = assess(move(), as_of=AS_OF)
    counts = max(1.25, one["mean"]["upper_ratio"], one["gust"]["upper_ratio"])
    assert float(result.forecast["relief_ratio"].max()) == pytest.approx(counts)
    assert any(f"relief 'open shoulder': factor {counts:.2f} (stated 1.25" in line for line in result.remarks)
    assert "speed_up.json" in {file.path for file in result.provenance.inputs}


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (("resolves_relief = false", "resolves_relief = true"), "no factor counts on its gust; set it to false"),
        (
            ('measured = "speed_up.json"', 'measured = "none.json"'),
            "none.json: there is no such file in move; make it again",
        ),
        (('measured = "speed_up.json"', 'measured = "../speed_up.json"'), "lies outside the folder of the move"),
        (("wind_from_deg = [200.0", "wind_from_deg = [201.0"), "was measured for wind from 200 to 320 degrees"),
    ],
)
def test_a_file_that_cannot_count_is_refused(move: Callable[..., Path], change: tuple[str, str], said: str) -> None:
    with pytest.raises(InputError) as caught:
        assess(move(change), as_of=AS_OF)
    assert said in str(caught.value)


def test_a_mast_in_another_valley_is_refused(move: Callable[..., Path]) -> None:
    with pytest.raises(InputError, match=r"the mast stands \d+ m from the stretch 'open shoulder', allowed are 500 m"):
        speed_ups_of(move(("latitude_deg = -38.524", "latitude_deg = -38.624")), LATER)


def test_a_move_without_a_campaign_is_told_how() -> None:
    with pytest.raises(InputError, match=r"no \[\[site.relief\]\] has a campaign; name the archived forecasts and the"):
        speed_ups_of(SAMPLE / "move.toml", LATER)


def test_the_command_writes_the_file_and_shows_the_table(learned: Path, tmp_path: Path) -> None:
    arguments = ["speedup", str(learned / "move.toml"), "--as-of", LATER.isoformat(), "--out", str(tmp_path)]
    shown = CliRunner().invoke(main, arguments)
    assert shown.exit_code == 0, shown.output
    assert "open shoulder" in shown.output
    assert (tmp_path / "speed_up.json").read_text(encoding="utf-8") == (learned / "speed_up.json").read_text(
        encoding="utf-8"
    )
    answer = json.loads(CliRunner().invoke(main, [*arguments, "--json"]).stdout)
    assert answer["schema"] == "speed-up/1"
    assert answer["measured"][0]["mean"]["proved"] is False
