"""Files and numbers that are not to be trusted."""

from pathlib import Path

import pytest

from routes import points
from shared.errors import Fault, InputError


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    with pytest.raises(InputError) as refusal:
        points.content(tmp_path / "road.csv")
    assert str(refusal.value) == f"road.csv: there is no such file in {tmp_path.name}"


def test_a_folder_cannot_be_read(tmp_path: Path) -> None:
    with pytest.raises(InputError) as refusal:
        points.content(tmp_path)
    assert str(refusal.value) == f"{tmp_path.name}: cannot be read (Is a directory)"


def test_a_huge_file_is_refused_before_it_is_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(points, "SIZE_LIMIT_BYTES", 10)
    path = tmp_path / "road.csv"
    path.write_bytes(b"x" * 11)
    with pytest.raises(InputError) as refusal:
        points.content(path)
    assert str(refusal.value) == "road.csv: the file has 11 bytes, allowed up to 10"


@pytest.mark.parametrize("text", ["1", "-1.5", "+.5", "2.", "1e-1", "1E+0"])
def test_plain_numbers_are_read(text: str) -> None:
    assert points.number(text, -10.0, 10.0) == float(text)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("1,5", "is '1,5', a decimal comma; write a decimal point"),
        ("nan", "is 'nan', not a finite number; survey the point again or delete the line"),
        ("-Infinity", "is '-Infinity', not a finite number; survey the point again or delete the line"),
        ("", "is '', not a number; write digits and a decimal point"),
        ("1_000", "is '1_000', not a number; write digits and a decimal point"),
        ("\u0661", "is '\u0661', not a number; write digits and a decimal point"),
        ("0x10", "is '0x10', not a number; write digits and a decimal point"),
        ("1" * 50, f"is {'1' * 40}, allowed -10 to 10"),
        ("1e999", "is 1e999, allowed -10 to 10"),
        ("11", "is 11, allowed -10 to 10"),
        ("x" * 50, f"is '{'x' * 37}...', not a number; write digits and a decimal point"),
    ],
)
def test_anything_else_is_not_a_number(text: str, message: str) -> None:
    with pytest.raises(ValueError) as refusal:
        points.number(text, -10.0, 10.0)
    assert str(refusal.value) == message


def test_of_very_many_faults_the_first_are_shown() -> None:
    with pytest.raises(InputError) as refusal:
        points.refuse([Fault(f"road.csv:{line}", "", "is wrong") for line in range(1, 31)])
    text = str(refusal.value).splitlines()
    assert len(text) == 21
    assert text[0] == "road.csv:1: is wrong"
    assert text[-1] == "and 10 more faults of this kind"


def test_no_fault_is_no_refusal() -> None:
    points.refuse([])
