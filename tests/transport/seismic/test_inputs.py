"""What the table [seismic] accepts, and every refusal word for word."""

import tomllib
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from shared.errors import InputError
from shared.inputs import Model, load_toml
from transport.seismic.inputs import Seismic

SAMPLE = Path(__file__).parents[3] / "samples" / "sheltered_morning" / "move.toml"


class One(Model):
    """The table alone."""

    seismic: Seismic


def refusal(folder: Path, fields: dict[str, Any]) -> str:
    path = folder / "move.toml"
    lines = [
        f"{name} = {value!r}" if not isinstance(value, date) else f"{name} = {value}" for name, value in fields.items()
    ]
    path.write_text("\n".join(["[seismic]", *lines]), encoding="utf-8")
    with pytest.raises(InputError) as caught:
        load_toml(path, One)
    (fault,) = caught.value.faults
    return f"{fault.field}: {fault.message}"


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (
            {"return_period_years": 2.0},
            (
                "seismic.return_period_years: is 2, allowed from 20, which EN 1998-2 annex A gives for a phase of one "
                "year; a level is not computed from the hours of one move: let the safety officer choose it"
            ),
        ),
        (
            {"ground_type": "S1"},
            (
                "seismic.ground_type: input should be 'A', 'B', 'C', 'D' or 'E' (got 'S1'); S1 and S2 need a study of "
                "their own"
            ),
        ),
        (
            {"spectrum_type": 3},
            "seismic.spectrum_type: input should be 1 or 2 (got 3); 1 if large, 2 if only moderate earthquakes govern",
        ),
        (
            {"importance_factor_ratio": 0.5},
            (
                "seismic.importance_factor_ratio: input should be greater than or equal to 0.8 (got 0.5); "
                "EN 1998-1 4.2.5; 1.0 is ordinary"
            ),
        ),
        (
            {"topography_factor_ratio": 0.9},
            (
                "seismic.topography_factor_ratio: input should be greater than or equal to 1 (got 0.9); "
                "EN 1998-5 annex A; 1.2 to 1.4 on ridges and cliffs"
            ),
        ),
        (
            {"reference_acceleration_mps2": 0.0},
            (
                "seismic.reference_acceleration_mps2: input should be greater than 0 (got 0.0); "
                "a_gR on rock, from the hazard study of the site"
            ),
        ),
    ],
    ids=lambda case: str(case)[:40],
)
def test_refused(tmp_path: Path, seismic_fields: dict[str, Any], change: dict[str, Any], message: str) -> None:
    assert refusal(tmp_path, seismic_fields | change) == message


@pytest.mark.parametrize("name", sorted(Seismic.model_fields))
def test_nothing_about_the_level_is_assumed(tmp_path: Path, seismic_fields: dict[str, Any], name: str) -> None:
    """Somebody chooses the level; there is no default."""
    del seismic_fields[name]
    assert refusal(tmp_path, seismic_fields).startswith(f"seismic.{name}: field required")


def test_the_sample_is_accepted() -> None:
    Seismic.model_validate(tomllib.loads(SAMPLE.read_text(encoding="utf-8"))["seismic"])
