"""calibration.json: written, read, and refused when it is not what it says."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from shared.errors import InputError
from shared.learned import text_of
from transport.weather.skill.file import Calibration, load


def test_what_is_written_is_read_again(learned: Calibration, tmp_path: Path) -> None:
    path = tmp_path / "calibration.json"
    path.write_text(text_of(learned), encoding="utf-8")
    assert load(path) == learned
    plain = json.loads(path.read_text(encoding="utf-8"))
    assert plain["schema"] == "calibration/1"
    assert list(plain) == sorted(plain)
    assert text_of(load(path)) == text_of(learned)


def _without(name: str) -> Callable[[dict[str, Any]], None]:
    return lambda plain: plain.pop(name)


def _lead(**changes: Any) -> Callable[[dict[str, Any]], None]:
    return lambda plain: plain["leads"][0].update(changes)


BROKEN: dict[str, tuple[Callable[[dict[str, Any]], None], str]] = {
    "another schema": (lambda plain: plain.update(schema="calibration/2"), "calibration.json: schema: "),
    "no mast": (_without("mast"), "calibration.json: mast: "),
    "a field nobody knows": (lambda plain: plain.update(extra=1), "calibration.json: extra: "),
    "a coefficient as text": (_lead(together="none"), "calibration.json: leads.0.together: "),
    "usable without a fit": (_lead(together=None), "calibration.json: is no calibration"),
    "usable without its sectors": (_lead(seen=[]), "calibration.json: is no calibration"),
    "a negative slope": (
        lambda plain: plain["leads"][0]["together"].update(b_ratio=-1.0),
        "calibration.json: leads.0.together.b_ratio: ",
    ),
}


@pytest.mark.parametrize("name", list(BROKEN))
def test_a_changed_file_is_refused(name: str, learned: Calibration, tmp_path: Path) -> None:
    change, expected = BROKEN[name]
    plain = json.loads(text_of(learned))
    change(plain)
    path = tmp_path / "calibration.json"
    path.write_text(json.dumps(plain), encoding="utf-8")
    with pytest.raises(InputError) as caught:
        load(path)
    assert str(caught.value).startswith(expected)
    assert str(caught.value).endswith("; make it again with glasshaul calibrate")


def test_a_missing_file_says_how_to_make_it(tmp_path: Path) -> None:
    with pytest.raises(InputError) as caught:
        load(tmp_path / "calibration.json")
    assert str(caught.value) == (
        f"calibration.json: there is no such file in {tmp_path.name}; make it again with glasshaul calibrate"
    )


@pytest.mark.parametrize("text", ["", "{", "[]", "NaN", "\x00" * 10])
def test_what_is_no_json_is_refused(text: str, tmp_path: Path) -> None:
    path = tmp_path / "calibration.json"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match="is no calibration that this version reads"):
        load(path)


def test_a_huge_file_is_not_read(tmp_path: Path) -> None:
    path = tmp_path / "calibration.json"
    path.write_bytes(b" " * 2_000_001)
    with pytest.raises(InputError, match="larger than 2000000 bytes"):
        load(path)
