"""Brier score and its parts: worked values, xskillscore, scoringrules, laws."""

import numpy as np
import pytest
import scoringrules
import xarray as xr
import xskillscore
from hypothesis import given, settings
from hypothesis import strategies as st

from transport.weather.skill.bins import EDGES_RATIO
from transport.weather.skill.brier import brier_ratio, decomposition, skill_ratio

CASES = st.lists(st.tuples(st.floats(0.0, 1.0), st.booleans()), min_size=1, max_size=60)


def test_five_cases_by_hand() -> None:
    """(0.1^2 + 0.2^2 + 0.1^2 + 0.4^2 + 0.4^2) / 5 = 0.076; climate 0.4 x 0.6 = 0.24; skill 1 - 0.076 / 0.24."""
    chance, event = np.array([0.9, 0.2, 0.1, 0.6, 0.4]), np.array([True, False, False, True, False])
    assert brier_ratio(chance, event) == pytest.approx(0.076)
    assert float(skill_ratio(np.asarray(0.076), np.asarray(0.24))) == pytest.approx(1.0 - 0.076 / 0.24)


@pytest.mark.parametrize(("chance", "event", "score"), [(1.0, True, 0.0), (0.7, True, 0.09), (0.3, True, 0.49)])
def test_one_forecast_of_rain(chance: float, event: bool, score: float) -> None:
    """Examples of the encyclopaedia's article on the Brier score (memory)."""
    assert brier_ratio(np.array([chance]), np.array([event])) == pytest.approx(score)


def test_equals_scoringrules_and_xskillscore() -> None:
    rng = np.random.default_rng(7)
    chance, event = rng.random(300), rng.random(300) < 0.2
    ours = brier_ratio(chance, event)
    assert ours == pytest.approx(float(np.mean(scoringrules.brier_score(event.astype(float), chance))), rel=1e-12)
    seen, told = xr.DataArray(event, dims="case"), xr.DataArray(chance, dims="case")
    assert ours == pytest.approx(float(xskillscore.brier_score(seen, told, dim="case")), rel=1e-12)


def test_the_share_of_members_equals_the_threshold_score_of_xskillscore() -> None:
    rng = np.random.default_rng(8)
    members, observed = rng.gamma(6.0, 1.5, (60, 20)), rng.gamma(6.0, 1.5, 60)
    ours = brier_ratio((members > 11.0).mean(axis=1), observed > 11.0)
    told = xr.DataArray(members, dims=("case", "member"))
    theirs = xskillscore.threshold_brier_score(xr.DataArray(observed, dims="case"), told, 11.0, dim="case")
    assert ours == pytest.approx(float(theirs.squeeze()), rel=1e-12)


def test_three_values_by_hand() -> None:
    """5 %, 20 %, 80 % forecast 20, 10, 5 times; 1, 2, 4 events: perfectly reliable, 0 - 0.064286 + 0.16."""
    chance = np.repeat([0.05, 0.2, 0.8], [20, 10, 5])
    event = np.concatenate([np.arange(n) < k for n, k in ((20, 1), (10, 2), (5, 4))])
    parts = decomposition(chance, event, EDGES_RATIO)
    assert parts.reliability == pytest.approx(0.0, abs=1e-15)
    assert parts.resolution == pytest.approx((20 * 0.15**2 + 10 * 0.0 + 5 * 0.6**2) / 35)
    assert parts.uncertainty == pytest.approx(0.16)
    assert brier_ratio(chance, event) == pytest.approx(0.095714, abs=1e-6)
    assert (parts.within_variance, parts.within_covariance) == pytest.approx((0.0, 0.0), abs=1e-15)


@given(CASES)
@settings(max_examples=80, deadline=None)
def test_the_parts_close_whatever_the_bins(cases: list[tuple[float, bool]]) -> None:
    chance, event = np.array([one for one, _ in cases]), np.array([one for _, one in cases])
    for edges in (EDGES_RATIO, np.array([0.0, 0.5, 1.0]), np.array([0.0, 1.0])):
        parts = decomposition(chance, event, edges)
        closed = parts.reliability - parts.resolution + parts.uncertainty
        closed += parts.within_variance - parts.within_covariance
        assert closed == pytest.approx(brier_ratio(chance, event), abs=1e-12)
        assert min(parts.reliability, parts.resolution, parts.uncertainty, parts.within_variance) >= 0.0


def test_a_perfect_forecast_scores_nothing_and_no_case_is_unknown() -> None:
    event = np.array([True, False, False])
    assert brier_ratio(event.astype(float), event) == 0.0
    assert np.isnan(brier_ratio(np.empty(0), np.empty(0, dtype=bool)))
    assert np.isnan(decomposition(np.empty(0), np.empty(0, dtype=bool), EDGES_RATIO)).all()
    assert np.isnan(brier_ratio(np.array([np.nan, 0.0]), np.array([True, False])))


def test_without_an_event_there_is_no_skill_to_tell() -> None:
    assert np.isnan(skill_ratio(np.asarray(0.0), np.asarray(0.0)))
