"""Every command: what it prints, what it writes, and the status it leaves with."""

import json
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from shared.errors import InputError
from transport.cli.main import COMMANDS, main

SAMPLES = Path(__file__).resolve().parents[3] / "samples"
SHELTERED = str(SAMPLES / "sheltered_morning" / "move.toml")
WINDY = str(SAMPLES / "windy_saddle" / "move.toml")
CLOCK = ("--as-of", "2026-03-09T06:00:00Z")


def call(*words: str) -> Result:
    return CliRunner().invoke(main, list(words), prog_name="glasshaul")


def answer(*words: str) -> dict[str, Any]:
    result = call(*words, "--json")
    text = result.stdout
    return json.loads(text, parse_constant=lambda name: pytest.fail(f"{name} is not JSON"))


def test_assess_is_go_and_writes_its_folder(tmp_path: Path) -> None:
    result = call("assess", SHELTERED, *CLOCK, "--out", str(tmp_path))
    assert result.exit_code == 0
    assert result.stdout.startswith("GO  Primary mirror to the coating hall")
    assert "Decision support only" in result.stdout
    names = {"assessment.json", "assessment.nc", "window.csv", "page.html", "calculation.pdf", "briefing.pdf"}
    assert {file.name for file in tmp_path.iterdir()} == names
    assert all(f"wrote {tmp_path / name}" in result.stderr for name in names)


def test_window_is_no_go_and_its_json_holds_the_contract(tmp_path: Path) -> None:
    result = call("window", WINDY, *CLOCK, "--json", "--out", str(tmp_path))
    assert result.exit_code == 10
    found = json.loads(result.stdout)
    assert found["schema"] == "window/1"
    assert {"verdict", "windows", "starts", "reasons", "inputs", "unread_numbers", "version", "as_of"} <= set(found)
    assert {"start", "verdict", "utilisation", "chance", "governed_by", "station_m", "time"} <= set(found["starts"][0])
    assert found["would_open"]
    assert list(found) == sorted(found)
    assert (tmp_path / "window.csv").read_text(encoding="utf-8").count("\n") == len(found["starts"]) + 1


def test_the_windows_of_the_json_are_the_windows_of_the_starts() -> None:
    found = answer("assess", SHELTERED, *CLOCK)
    going = [start["start"] for start in found["starts"] if start["verdict"] == "go"]
    assert found["windows"][0]["opens"] == going[0]
    assert found["windows"][-1]["latest_start"] == going[-1]
    assert 0 <= found["windows"][0]["margin_ratio"] <= 1


def test_a_stale_forecast_is_undecided() -> None:
    result = call("assess", SHELTERED, "--as-of", "2026-03-10T06:00:00Z")
    assert result.exit_code == 11
    assert result.stdout.startswith("UNDECIDED")


@pytest.mark.parametrize("name", ["route", "securing", "cover", "weather"])
def test_the_parts(name: str, tmp_path: Path) -> None:
    shown = call(name, SHELTERED, *CLOCK)
    assert shown.exit_code == 0
    assert "Decision support only" in shown.stdout
    found = answer(name, SHELTERED, *CLOCK, "--out", str(tmp_path))
    assert found["schema"] == f"{name}/1"
    assert json.loads((tmp_path / f"{name}.json").read_text(encoding="utf-8")) == found


def test_securing_names_every_load_case_with_its_clause() -> None:
    states = {state["name"]: state for state in answer("securing", SHELTERED, *CLOCK)["limit_states"]}
    for case in ("LC1", "LC2", "LC3", "LC4"):
        (state,) = (state for name, state in states.items() if case in name)
        assert state["clause"] and 0 < state["still_air_ratio"] < 1


def test_a_securing_that_does_not_hold_is_no_go_and_told_first(tmp_path: Path) -> None:
    """Without its side chains nothing holds the unit to the side by EN 12195-1; what would close it is told too."""
    text = Path(SHELTERED).read_text(encoding="utf-8")
    first, last = (text.index(word) for word in ('[[chain]]\ntag = "C5"', "[[contact]]"))
    (tmp_path / "move.toml").write_text(text[:first] + text[last:], encoding="utf-8")
    shutil.copy(SAMPLES / "sheltered_morning" / "road.csv", tmp_path)
    shutil.copy(SAMPLES / "sheltered_morning" / "forecast.nc", tmp_path)
    result = call("securing", str(tmp_path / "move.toml"), *CLOCK, "--out", str(tmp_path), "--json")
    assert result.exit_code == 10
    found = json.loads(result.stdout)
    assert found["verdict"] == "no-go"
    failing = {state["name"] for state in found["limit_states"] if not (state["still_air_ratio"] or 0.0) <= 1.0}
    assert "securing statutory (LC1)" in failing
    assert {proposal["kind"] for proposal in found["proposals"]} >= {"larger chains", "stop of the capacity needed"}
    confirmed = [proposal for proposal in found["proposals"] if proposal["confirmed"]]
    assert all(max(proposal["after_ratio"]) <= 1.0 for proposal in confirmed if proposal["kind"] != "held wind")


def test_securing_prints_in_short_what_the_sheet_holds() -> None:
    shown = call("securing", SHELTERED, *CLOCK).stdout
    for title in ("Verdict by load case and limit state", "Usable resistance on a level deck", "Worst loss"):
        assert title in shown
    assert "holds  gust limit" in shown and "yes    no wind limit" in shown


def test_securing_json_holds_every_number_and_explains_each_null() -> None:
    found = answer("securing", SHELTERED, *CLOCK)
    check = found["checks"]["securing"]
    assert {"resistance_kN", "usable_ratio", "chain_tension_kN", "chain_capacity_kN"} <= set(check["variables"])
    directions = check["coordinates"]["direction"]
    assert len(check["variables"]["usable_ratio"]["values"]) == len(directions) == 24
    assert check["calculation"][0]["values"]
    assert {"trailer", "stopping", "seismic"} <= set(found["checks"])
    assert found["inputs"][0]["path"] == "move.toml"
    assert found["unread_numbers"]
    assert len(found["nulls"]) == sum(1 for _ in nulls({k: v for k, v in found.items() if k != "nulls"}))


def nulls(value: Any) -> Iterator[None]:
    """Every null in an object."""
    if value is None:
        yield None
    for item in value.values() if isinstance(value, dict) else value if isinstance(value, list) else ():
        yield from nulls(item)


def test_the_earthquake_case_says_level_and_chance() -> None:
    level, chance = answer("securing", SHELTERED, *CLOCK)["earthquake"]
    assert "C. Example" in level and "95" in level
    assert "Poisson" in chance


def test_weather_refused_is_undecided() -> None:
    result = call("weather", SHELTERED, "--as-of", "2026-03-11T06:00:00Z", "--json")
    assert result.exit_code == 11
    assert json.loads(result.stdout)["refusals"]


def test_briefing_writes_a_pdf(tmp_path: Path) -> None:
    result = call("briefing", SHELTERED, *CLOCK, "--out", str(tmp_path))
    assert result.exit_code == 0
    assert (tmp_path / "briefing.pdf").read_bytes().startswith(b"%PDF-")


def test_check_finds_nothing_in_the_samples() -> None:
    for move in (SHELTERED, WINDY):
        result = call("check", move)
        assert result.exit_code == 0
        assert result.stdout.startswith("no fault found in move.toml")
    assert answer("check", SHELTERED)["faults"] == []


def test_check_lists_the_faults_of_all_files_in_one_run(tmp_path: Path) -> None:
    move = (SAMPLES / "sheltered_morning" / "move.toml").read_text(encoding="utf-8")
    (tmp_path / "move.toml").write_text(move, encoding="utf-8")
    result = call("check", str(tmp_path / "move.toml"))
    assert result.exit_code == 3
    assert "road.csv" in result.stderr and "forecast.nc" in result.stderr


def test_a_refused_input_is_json_too(tmp_path: Path) -> None:
    result = call("assess", str(tmp_path / "none.toml"), "--json")
    assert result.exit_code == 3
    found = json.loads(result.stdout)
    assert found["schema"] == "refused/1"
    assert "there is no such file" in found["faults"][0]["message"]


@pytest.mark.parametrize("clock", ["2026-03-09T06:00:00", "yesterday"])
def test_a_clock_without_its_offset_is_a_usage_error(clock: str) -> None:
    result = call("assess", SHELTERED, "--as-of", clock)
    assert result.exit_code == 2
    assert "write for example 2026-03-09T06:00:00Z" in result.stderr


def test_a_word_that_is_no_command() -> None:
    assert call("asses", SHELTERED).exit_code == 2


def test_new_writes_a_move_that_runs(tmp_path: Path) -> None:
    made = call("new", str(tmp_path / "mine"))
    assert made.exit_code == 0
    assert call("check", str(tmp_path / "mine" / "move.toml")).exit_code == 0
    again = call("new", str(tmp_path / "mine"))
    assert again.exit_code == 3
    assert "the folder is not empty; name a new one" in again.stderr


def test_help_lists_every_command() -> None:
    shown = call("--help").stdout
    assert all(name in shown for name in COMMANDS)
    assert "10 no-go, 11 undecided" in " ".join(shown.split())


def test_where_results_cannot_be_written(tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("", encoding="utf-8")
    result = call("window", SHELTERED, *CLOCK, "--out", str(tmp_path / "taken"))
    assert result.exit_code == 3
    assert "choose another --out folder" in result.stderr


@pytest.mark.parametrize("name", ["weather", "check"])
def test_offline_nothing_is_fetched(name: str, tmp_path: Path) -> None:
    """A port where nobody listens: whoever asks there would say so."""
    result = call(name, fetched_move(tmp_path, "http://127.0.0.1:1/forecast.nc?key=secret"), *CLOCK, "--offline")
    assert result.exit_code == 3
    assert "copy.nc: offline, and there is no copy from before; run without --offline" in result.stderr
    assert "secret" not in result.output
    assert ("would be fetched from http://127.0.0.1:1/forecast.nc?..." in result.stderr) is (name == "check")


@pytest.mark.parametrize("name", ["assess", "window", "briefing"])
@pytest.mark.parametrize("words", [(), ("--offline",)])
def test_what_decides_can_stay_offline(name: str, words: tuple[str, ...], monkeypatch: pytest.MonkeyPatch) -> None:
    def told(path: Path, *, offline: bool, **_: Any) -> None:
        raise InputError(f"offline is {offline}")

    monkeypatch.setattr("transport.window.assess.assess", told)
    assert f"offline is {words == ('--offline',)}" in call(name, SHELTERED, *CLOCK, *words).stderr


@pytest.mark.parametrize("name", ["route", "securing", "cover"])
def test_what_reads_no_weather_fetches_none(name: str, tmp_path: Path) -> None:
    move = fetched_move(tmp_path, "http://127.0.0.1:1/forecast.nc")
    assert call(name, move, *CLOCK).exit_code == 0
    assert call(name, move, "--offline").exit_code == 2


def test_check_fetches_and_offline_says_what_it_would_fetch(tmp_path: Path, serve: Any, answers: Any) -> None:
    server = serve(answers.whole((SAMPLES / "sheltered_morning" / "forecast.nc").read_bytes()))
    move = fetched_move(tmp_path, server.url)
    shown = call("check", move)
    assert shown.exit_code == 0
    first, second = shown.stdout.splitlines()
    assert first == "no fault found in move.toml, road.csv, copy.nc"
    assert second.startswith("copy.nc: fetched 20") and second.endswith(f"UTC from {server.url} (0.36 MB)")
    found = answer("check", move, "--offline")
    assert found["feeds"][0] == f"copy.nc: would be fetched from {server.url}"
    assert found["feeds"][1].startswith("copy.nc: offline: the copy fetched 20")
    assert len(server.seen) == 1


def fetched_move(folder: Path, url: str) -> str:
    """The sample with its forecast at an address."""
    text = Path(SHELTERED).read_text(encoding="utf-8")
    changed = text.replace('path = "forecast.nc"', f'path = "copy.nc"\nurl = "{url}"')
    (folder / "move.toml").write_text(changed, encoding="utf-8")
    shutil.copy(SAMPLES / "sheltered_morning" / "road.csv", folder)
    return str(folder / "move.toml")
