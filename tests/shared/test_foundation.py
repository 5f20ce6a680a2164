"""Units, ranges, text, datasets, calculation lines, output and provenance."""

import hashlib
import json
import math
from pathlib import Path

import numpy as np
import pint
import pytest
import xarray as xr
from hypothesis import given
from hypothesis import strategies as st

from shared import units
from shared.calculation import Line, attach, lines_of
from shared.datasets import dataset
from shared.errors import Fault, InputError, OutOfRangeError
from shared.output import replacing, write_atomic
from shared.provenance import hashed, tool_version
from shared.ranges import require
from shared.text import clean
from shared.vocabulary import VOCABULARY


@pytest.mark.parametrize(
    ("ours", "unit", "other"),
    [
        (units.mps_from_kmh, "km/hour", "m/s"),
        (units.mps_from_knots, "knot", "m/s"),
        (units.kmh_from_mps, "m/s", "km/hour"),
    ],
)
def test_factors_against_pint(ours: object, unit: str, other: str) -> None:
    """Reference library: pint."""
    quantity = pint.UnitRegistry().Quantity(7.3, unit)
    assert ours(7.3) == pytest.approx(quantity.to(other).magnitude, rel=1e-14)  # type: ignore[operator]


def test_temperature_and_percent() -> None:
    """0 degC is 273.15 K by definition of the Celsius scale (SI brochure, from memory)."""
    assert units.kelvin_from_celsius(0.0) == 273.15
    assert units.celsius_from_kelvin(300.0) == pytest.approx(26.85)
    assert units.percent_from_ratio(units.ratio_from_percent(12.0)) == pytest.approx(12.0)


@given(st.floats(-1e4, 1e4))
def test_angles_wrap_to_one_turn(angle_deg: float) -> None:
    assert 0.0 <= units.wrap_360_deg(angle_deg) <= 360.0
    assert -180.0 <= units.wrap_180_deg(angle_deg) <= 180.0
    assert math.cos(math.radians(units.wrap_180_deg(angle_deg))) == pytest.approx(
        math.cos(math.radians(angle_deg)), abs=1e-9
    )


def test_a_range_names_itself_and_nan_is_outside() -> None:
    assert require(0.3, 0.0, 1.0, name="friction_ratio", what="the range of friction") == 0.3
    with pytest.raises(OutOfRangeError, match="friction_ratio = nan lies outside 0 to 1, the range of friction"):
        require(np.array([0.2, np.nan]), 0.0, 1.0, name="friction_ratio", what="the range of friction")


def test_clean_takes_what_could_steer_a_terminal_or_turn_text() -> None:
    assert clean("a\x1b[31mb\x00\u202ec\x85d\u200be\tf\n") == "a[31mbcde\tf\n"
    assert clean("Größe µ Ωλ żółw 望遠") == "Größe µ Ωλ żółw 望遠"


def test_dataset_takes_only_words_of_the_vocabulary() -> None:
    data = dataset({"gust_limit_mps": ("station", [9.0])}, {"station": [0.0]})
    assert data["gust_limit_mps"].attrs["units"] == "m s-1"
    with pytest.raises(KeyError, match="not in the vocabulary: gust_limit"):
        dataset({"gust_limit": ("station", [9.0])}, {"station": [0.0]})


def test_every_word_has_a_unit_and_a_name() -> None:
    lacking = [name for name, entry in VOCABULARY.items() if not entry.long_name]
    assert lacking == []


def test_calculation_lines_survive_netcdf_attributes() -> None:
    line = Line(
        "c", "t", "x^2", "x squared", (("x", np.inf, "m", "unit.x_m"),), ("y", np.float64(4.0), "m2"), "s", "", "own"
    )
    data = attach(xr.Dataset(), [line])
    json.loads(data.attrs["calculation"], parse_constant=lambda name: pytest.fail(f"{name} is not JSON"))
    assert lines_of(data) == (line,)
    with pytest.raises(ValueError, match="t: status sure is not known"):
        Line("c", "t", "", "", (), ("y", 1.0, ""), "s", "", "sure")


def test_output_is_whole_or_absent(tmp_path: Path) -> None:
    target = tmp_path / "deep" / "window.csv"
    write_atomic(target, b"old")
    with pytest.raises(RuntimeError, match="stop"), replacing(target) as draft:
        draft.write_bytes(b"half")
        raise RuntimeError("stop")
    assert target.read_bytes() == b"old"
    assert [file.name for file in target.parent.iterdir()] == ["window.csv"]


def test_output_where_nothing_can_be_written(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x", encoding="utf-8")
    with pytest.raises(InputError, match=r"cannot be written \(.+\); choose another --out folder"):
        write_atomic(tmp_path / "file" / "x.csv", b"")


def test_provenance_hashes_what_was_read(tmp_path: Path) -> None:
    """Reference: SHA-256 of 'abc', FIPS 180-2 appendix B.1 (from memory)."""
    (tmp_path / "a").write_bytes(b"abc")
    (file,) = hashed([("a", tmp_path / "a")])
    assert file.sha256 == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert file.sha256 == hashlib.sha256(b"abc").hexdigest()
    assert tool_version().count(".") == 2


def test_faults_print_one_line_each() -> None:
    problem = InputError.of([Fault("a.toml:3", "x", "bad"), Fault("", "", "worse")])
    assert str(problem) == "a.toml:3: x: bad\nworse"
