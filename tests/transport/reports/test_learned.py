"""What was learned, as tables: every fit, every proof, every reason."""

import json
from pathlib import Path
from typing import Any

import pytest

from transport.reports.learned import learned_extract

FILE = Path(__file__).resolve().parents[3] / "samples" / "measured_winter" / "calibration.json"


@pytest.fixture
def found() -> dict[str, Any]:
    plain: dict[str, Any] = json.loads(FILE.read_text(encoding="utf-8"))
    return plain


def test_every_fit_and_every_proof_has_its_row(found: dict[str, Any]) -> None:
    fits, scores = learned_extract(found).listings
    assert len(fits.rows) == sum(1 + len(lead["sectors"]) for lead in found["leads"])
    assert [row[:2] for row in scores.rows] == [("0-12", "yes"), ("12-24", "yes"), ("24-36", "yes"), ("36-48", "yes")]
    first = found["leads"][0]
    assert fits.rows[0][2:6] == tuple(
        f"{first['together'][name]:.3f}" for name in ("a_mps", "b_ratio", "c_m2_per_s2", "d_ratio")
    )
    missed = [sum(event[name] for event in first["scores"]["events"]) for name in ("missed_raw", "missed_calibrated")]
    assert scores.rows[0][4:6] == tuple(map(str, missed))


def test_what_was_left_out_is_said(found: dict[str, Any]) -> None:
    sentences = learned_extract(found).sentences
    assert sentences[0] == "70 runs of 7 members against the mast 'Shoulder mast', 2026-06-02 to 2026-08-11: 1094 pairs"
    assert "left out: 16 pairs, the mast has a gap in the step" in sentences
    assert "left out: 4 pairs, the anemometer stood still" in sentences
    assert (
        "if the 7 members were right, the mast would lie above the highest of them in 12.5 % of all cases" in sentences
    )
    assert any(one.endswith("the fit of all directions serves, never below the forecast") for one in sentences)


def test_a_class_that_may_not_be_used_and_an_unknown_model_are_said(found: dict[str, Any]) -> None:
    found["leads"][1] |= {"usable": False, "said": ["not to be used: it is worse"]}
    found["leads"][2] |= {
        "usable": False,
        "together": None,
        "sectors": [],
        "scores": None,
        "said": ["not fitted: 3 days"],
    }
    found["basis"]["model_altitude_m"] = None
    extract = learned_extract(found)
    assert [row[1] for row in extract.listings[1].rows] == ["yes", "no", "yes"]
    assert "lead 12-24 h: not to be used: it is worse" in extract.sentences
    assert "lead 24-36 h: not fitted: 3 days" in extract.sentences
    assert any("a change of the forecast model would not show" in one for one in extract.sentences)


def test_errors_of_the_control_have_a_table(found: dict[str, Any]) -> None:
    error = {"lead_from_h": 0.0, "lead_until_h": 12.0, "cases": 280, "days": 70, "mean_mps": 0.5, "sigma_mps": 1.25}
    error |= {"sigma_bound_mps": 1.5, "forecast_high_mps": 16.0, "quantiles_mps": [0.0] * 9 + [4.25]}
    found["errors"] = [error]
    assert learned_extract(found).listings[2].rows == (("0-12", "70", "280", "0.50", "1.25", "1.50", "4.25"),)
