"""The table of a yes/no forecast: published tables, xskillscore, laws."""

import csv
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import xarray as xr
import xskillscore
from hypothesis import given, settings
from hypothesis import strategies as st

from transport.weather.skill import contingency
from transport.weather.skill.contingency import Table, table
from transport.weather.skill.cost_loss import value_ratio

FILE = Path(__file__).parents[3] / "published" / "weather_skill.csv"
SCORES: dict[str, Callable[[Table], Any]] = {
    "accuracy": contingency.accuracy_ratio,
    "POD": contingency.detected_ratio,
    "FAR": contingency.false_alarm_ratio,
    "POFD": contingency.false_detection_ratio,
    "CSI": contingency.critical_success_ratio,
    "bias": contingency.frequency_bias_ratio,
    "HSS": contingency.heidke_ratio,
    "POD minus POFD": lambda one: contingency.detected_ratio(one) - contingency.false_detection_ratio(one),
    "value at 0.02": lambda one: value_ratio(one, np.asarray(0.02)),
    "value at 0.01819479": lambda one: value_ratio(one, np.asarray(0.01819479)),
}
COUNTS = st.integers(0, 400)


def counts(a: float, b: float, c: float, d: float) -> Table:
    return Table(*map(np.asarray, (a, b, c, d)))


def rows() -> list[Any]:
    _, *body = FILE.read_text(encoding="utf-8").splitlines()
    return [pytest.param(row, id=f"{row['quantity']} {row['hits']}") for row in csv.DictReader(body)]


@pytest.mark.parametrize("row", rows())
def test_published_tables(row: dict[str, str]) -> None:
    one = counts(*(float(row[name]) for name in ("hits", "false_alarms", "misses", "correct_negatives")))
    assert float(SCORES[row["quantity"]](one)) == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


def test_equals_xskillscore() -> None:
    rng = np.random.default_rng(4)
    event, warned = rng.random(500) < 0.15, rng.random(500) < 0.2
    ours = table(warned, event)
    edges = np.array([0.0, 0.5, 1.0])
    seen, told = (xr.DataArray(flags.astype(float), dims="case") for flags in (event, warned))
    theirs = xskillscore.Contingency(seen, told, edges, edges, dim="case")
    cells = (theirs.hits(), theirs.false_alarms(), theirs.misses(), theirs.correct_negatives())
    assert [float(cell) for cell in cells] == [float(cell) for cell in ours]
    pairs = {
        "POD": theirs.hit_rate(),
        "FAR": theirs.false_alarm_ratio(),
        "POFD": theirs.false_alarm_rate(),
        "CSI": theirs.threat_score(),
        "bias": theirs.bias_score(),
        "HSS": theirs.heidke_score(),
        "accuracy": theirs.accuracy(),
    }
    for name, score in pairs.items():
        assert float(SCORES[name](ours)) == pytest.approx(float(score), rel=1e-9), name


@given(COUNTS, COUNTS, COUNTS, COUNTS)
@settings(max_examples=60, deadline=None)
def test_one_more_miss_never_looks_better(a: int, b: int, c: int, d: int) -> None:
    before, after = counts(a, b, c, d), counts(a, b, c + 1, d)
    assert after.misses == before.misses + 1
    for name in ("POD", "CSI", "accuracy"):
        old, new = float(SCORES[name](before)), float(SCORES[name](after))
        assert np.isnan(old) or new <= old


def test_nothing_happened_is_unknown_not_perfect() -> None:
    quiet = counts(0, 3, 0, 97)
    assert np.isnan(contingency.detected_ratio(quiet))
    assert np.isnan(contingency.frequency_bias_ratio(quiet))
    assert np.isnan(contingency.false_alarm_ratio(counts(0, 0, 4, 96)))
    assert np.isnan(contingency.heidke_ratio(counts(0, 0, 0, 100)))
    assert all(np.isnan(float(score(counts(0, 0, 0, 0)))) for name, score in SCORES.items() if "value" not in name)


def test_a_perfect_forecast_and_the_worst_one() -> None:
    perfect, worst = counts(7, 0, 0, 93), counts(0, 93, 7, 0)
    assert contingency.detected_ratio(perfect) == contingency.heidke_ratio(perfect) == 1.0
    assert contingency.false_alarm_ratio(perfect) == 0.0
    assert contingency.detected_ratio(worst) == contingency.critical_success_ratio(worst) == 0.0


def test_the_order_of_the_cases_does_not_matter() -> None:
    rng = np.random.default_rng(5)
    event, warned = rng.random(80) < 0.3, rng.random(80) < 0.3
    order = rng.permutation(80)
    assert table(warned[order], event[order]) == table(warned, event)
