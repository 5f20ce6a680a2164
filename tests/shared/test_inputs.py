"""All faults in one run, each with file, line, field, what, allowed and remedy."""

from pathlib import Path
from typing import Literal, Self

import pytest
from pydantic import Field, model_validator

from shared.errors import InputError
from shared.inputs import Model, defaults_of, key_lines, load_toml, practice, quantity


class Rope(Model):
    name: str
    lc_kN: float = quantity(gt=0, le=2000, help="read it from the tag")
    kind: Literal["direct", "over"] = "direct"
    divisor_ratio: float = practice(1.5, "uneven sharing", ge=1, le=4)


class Load(Model):
    mass_t: float = quantity(gt=0, le=500, help="weigh it")
    centre_m: tuple[float, float, float]
    rope: tuple[Rope, ...] = Field(min_length=1)

    @model_validator(mode="after")
    def _low(self) -> Self:
        if self.centre_m[2] > 5:
            raise ValueError("the centre of mass is above 5 m; measure from the deck")
        return self


GOOD = """
mass_t = 31
centre_m = [0.0, 0.0, 1.2]
[[rope]]
name = "C1"
lc_kN = 160.0
"""


def written(folder: Path, text: str) -> Path:
    file = folder / "load.toml"
    file.write_text(text, encoding="utf-8")
    return file


def faults(folder: Path, text: str) -> str:
    with pytest.raises(InputError) as caught:
        load_toml(written(folder, text), Load)
    return str(caught.value)


def test_a_good_file_loads_and_is_frozen(tmp_path: Path) -> None:
    load = load_toml(written(tmp_path, GOOD), Load)
    assert (load.mass_t, load.rope[0].lc_kN, load.centre_m) == (31.0, 160.0, (0.0, 0.0, 1.2))
    with pytest.raises(ValueError, match="frozen"):
        load.mass_t = 1.0  # type: ignore[misc]


def test_practice_defaults_are_listed(tmp_path: Path) -> None:
    load = load_toml(written(tmp_path, GOOD), Load)
    assert [tuple(default) for default in defaults_of(load)] == [("rope[0].divisor_ratio", 1.5, "uneven sharing")]


def test_all_faults_in_one_run(tmp_path: Path) -> None:
    text = """
mass_t = -2.0
centre_m = [0.0, 0.0, 1.2]
[[rope]]
name = "C1"
lc_kn = 160.0
kind = "ovr"
[[rope]]
name = "C2"
lc_kN = "160"
"""
    assert faults(tmp_path, text).splitlines() == [
        "load.toml:2: mass_t: input should be greater than 0 (got -2.0); weigh it",
        "load.toml:4: rope[0].lc_kN: field required; read it from the tag",
        "load.toml:6: rope[0].lc_kn: unknown field - did you mean 'lc_kN'?",
        "load.toml:7: rope[0].kind: input should be 'direct' or 'over' (got 'ovr') - did you mean 'over'?",
        "load.toml:10: rope[1].lc_kN: input should be a valid number (got '160'); read it from the tag",
    ]


def test_a_check_across_fields_says_what_to_do(tmp_path: Path) -> None:
    text = GOOD.replace("1.2]", "7.0]")
    assert faults(tmp_path, text) == "load.toml: the centre of mass is above 5 m; measure from the deck"


@pytest.mark.parametrize("bad", ["nan", "inf", "-inf", "true", "'31'"])
def test_no_number_is_guessed(tmp_path: Path, bad: str) -> None:
    assert "load.toml:2: mass_t: " in faults(tmp_path, GOOD.replace("mass_t = 31", f"mass_t = {bad}"))


def test_a_repeated_key_and_broken_text_are_refused(tmp_path: Path) -> None:
    assert faults(tmp_path, "a = 1\na = 2\n").startswith("load.toml")
    assert faults(tmp_path, "a = [1\n").startswith("load.toml")


def test_a_missing_file_a_binary_file_and_a_huge_file(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"none.toml: there is no such file in "):
        load_toml(tmp_path / "none.toml", Load)
    (tmp_path / "load.toml").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(InputError, match=r"load.toml: the file is not UTF-8 text; save it as UTF-8"):
        load_toml(tmp_path / "load.toml", Load)
    (tmp_path / "load.toml").write_bytes(b"#" * 2_000_001)
    with pytest.raises(InputError, match=r"load.toml: the file has 2000001 bytes, allowed up to 2000000"):
        load_toml(tmp_path / "load.toml", Load)


def test_control_characters_are_gone(tmp_path: Path) -> None:
    load = load_toml(written(tmp_path, GOOD.replace('"C1"', r'"C\u001b[2J1\u202e"')), Load)
    assert load.rope[0].name == "C[2J1"


def test_lines_of_nested_arrays() -> None:
    lines = key_lines("[a]\nb = 1\n[[a.c]]\nd = 2\n[[a.c]]\nd = 3\n'quoted' = 4\n")
    assert lines[("a", "b")] == 2
    assert (lines[("a", "c", 0, "d")], lines[("a", "c", 1, "d")], lines[("a", "c", 1, "quoted")]) == (4, 6, 7)
