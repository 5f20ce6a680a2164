"""The JSON object."""

import json
from collections.abc import Callable

import pytest

from shared.assessment import Assessment
from transport.reports.record import json_bytes, record

KEYS = {"schema", "verdict", "windows", "starts", "reasons", "inputs", "unread_numbers", "version", "as_of"}


def test_promised_keys(result: Assessment) -> None:
    made = json.loads(json_bytes(result))
    assert made["schema"] == "assess/1"
    assert set(made) >= KEYS
    governs = {"governed_by", "governing_feed"}
    assert set(made["windows"][0]) == {"opens", "closes", "latest_start", "margin_ratio"} | governs
    assert set(made["starts"][0]) == {"start", "verdict", "utilisation", "chance", "station_m", "time"} | governs
    assert set(made["inputs"][0]) == {"path", "sha256"}
    assert set(made["unread_numbers"][0]) == {"name", "value", "unit", "source", "status"}


def test_keys_are_sorted(result: Assessment) -> None:
    made = json.loads(json_bytes(result), object_pairs_hook=lambda pairs: [key for key, _ in pairs])
    assert made == sorted(made)


def test_schema_of_another_command(result: Assessment) -> None:
    assert record(result, "window/1")["schema"] == "window/1"


def test_no_nan_and_a_reason_for_each_null(undecided: Assessment) -> None:
    def refuse(name: str) -> None:
        pytest.fail(f"{name} in the JSON")

    made = json.loads(json_bytes(undecided), parse_constant=refuse)
    nulls = {gap["field"]: gap["reason"] for gap in made["nulls"]}
    assert nulls["starts[0].utilisation"] == "unknown"
    empty = [(n, key) for n, start in enumerate(made["starts"]) for key, value in start.items() if value is None]
    assert {f"starts[{n}].{key}" for n, key in empty} == set(nulls)


def test_same_bytes_twice(result: Assessment, rebuilt: Callable[[], Assessment]) -> None:
    assert json_bytes(result) == json_bytes(rebuilt())


def test_undecided_is_never_go(undecided: Assessment) -> None:
    made = record(undecided)
    assert made["verdict"] == "undecided"
    assert {start["verdict"] for start in made["starts"]} == {"undecided"}
