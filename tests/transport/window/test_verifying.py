"""Archived forecasts against the mast, as they are and as the calibration of the move makes them; invented data."""

import json
import shutil
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest

from transport.window.verifying import verify

SAMPLE = Path(__file__).parents[3] / "samples" / "measured_winter"
AS_OF = datetime(2026, 8, 11, 6, tzinfo=UTC)
RUNS = 8


@pytest.fixture
def move(tmp_path: Path) -> Callable[..., Path]:
    """The winter's move with its last runs alone, and changes of its file and of its calibration."""

    def make(*changes: tuple[str, str], calibration: tuple[str, object] | None = None) -> Path:
        for name in ("road.csv", "forecast.nc", "mast.csv", "calibration.json"):
            shutil.copy(SAMPLE / name, tmp_path)
        (tmp_path / "archive").mkdir(exist_ok=True)
        for run in sorted((SAMPLE / "archive").glob("*.nc"))[-RUNS:]:
            shutil.copy(run, tmp_path / "archive")
        text = (SAMPLE / "move.toml").read_text(encoding="utf-8")
        for old, new in changes:
            assert old in text
            text = text.replace(old, new, 1)
        path = tmp_path / "move.toml"
        path.write_text(text, encoding="utf-8")
        if calibration is not None:
            plain = json.loads((tmp_path / "calibration.json").read_text(encoding="utf-8"))
            plain["basis"][calibration[0]] = calibration[1]
            (tmp_path / "calibration.json").write_text(json.dumps(plain), encoding="utf-8")
        return path

    return make


def test_raw_and_calibrated_stand_side_by_side_and_flattery_is_said(move: Callable[..., Path]) -> None:
    found = verify(move(), as_of=AS_OF)
    assert found.scores["forecast_kind"].values.tolist() == ["raw", "calibrated"]
    assert any("its scores here flatter" in line for line in found.remarks)
    assert "calibration.json" in {file.path for file in found.provenance.inputs}


def test_a_sheltered_mast_never_makes_a_forecast_milder(move: Callable[..., Path]) -> None:
    found = verify(move(("mast_in_the_open = true", "mast_in_the_open = false")), as_of=AS_OF)
    missed = found.scores["miss_count"]
    raw, calibrated = (missed.sel(forecast_kind=kind).values for kind in ("raw", "calibrated"))
    assert (calibrated <= raw).all()
    assert any("may raise a gust and never lower it" in line for line in found.remarks)


def test_a_calibration_of_something_else_is_not_scored_and_that_is_said(move: Callable[..., Path]) -> None:
    found = verify(move(calibration=("terrain_category", "0")), as_of=AS_OF)
    assert found.scores["forecast_kind"].values.tolist() == ["raw"]
    assert any(line.startswith("The calibration is not scored: ") for line in found.remarks)
    assert np.isfinite(found.limit_mps)
