"""The table [weather.verification]: what it takes, what it refuses, word for word."""

from pathlib import Path

import pytest

from shared.errors import InputError
from shared.inputs import defaults_of, load_toml
from transport.weather.skill.inputs import VerificationInputs

STAKE = '[stake]\ncost = 20e3\nloss = 1e6\ncurrency = "EUR"\ncap_ratio = 0.02\n'


def loaded(text: str, folder: Path) -> VerificationInputs:
    path = folder / "table.toml"
    path.write_text(text, encoding="utf-8")
    return load_toml(path, VerificationInputs)


def refusal(text: str, folder: Path) -> str:
    with pytest.raises(InputError) as problem:
        loaded(text, folder)
    return str(problem.value)


def test_a_full_table(tmp_path: Path) -> None:
    found = loaded(f"thresholds_mps = [8, 12.5]\nlead_edges_h = [0, 12, 36]\n{STAKE}", tmp_path)
    assert found.thresholds_mps == (8.0, 12.5)
    assert found.stake is not None
    assert found.stake.cost / found.stake.loss == pytest.approx(0.02)


def test_leads_by_practice_are_told() -> None:
    (default,) = defaults_of(VerificationInputs(), "weather.verification.")
    assert default.field == "weather.verification.lead_edges_h"
    assert default.why


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("thresholds_mps = [12, 8]", "thresholds_mps must rise from each to the next"),
        ("thresholds_mps = [0.5]", "thresholds_mps holds 0.5, allowed 1 to 60 m/s"),
        ("thresholds_mps = [nan]", "table.toml:1: thresholds_mps[0]: input should be a finite number (got nan)"),
        ("lead_edges_h = [6, 6]", "lead_edges_h needs at least two hours, from 0 on, rising from each to the next"),
        ("lead_edges_h = [-1, 6]", "lead_edges_h needs at least two hours, from 0 on, rising from each to the next"),
        (
            STAKE.replace("20e3", "2e6"),
            "stake: the cost of a postponement (2e+06) is not below the loss (1e+06); then nobody would ever postpone",
        ),
        (STAKE.replace("cap_ratio = 0.02", ""), "field required; chance above which nobody goes, whatever cost and"),
        (
            STAKE.replace("0.02", "0.7"),
            "input should be less than or equal to 0.5 (got 0.7); chance above which nobody",
        ),
    ],
)
def test_refusals(text: str, said: str, tmp_path: Path) -> None:
    assert said in refusal(text, tmp_path)
