"""Reliability curve: xskillscore for the shares, scipy for the bars, and what the days do to them."""

import numpy as np
import pytest
import xarray as xr
import xskillscore
from scipy.stats import binomtest

from transport.weather.skill.bins import EDGES_RATIO
from transport.weather.skill.reliability import curve

RNG = np.random.default_rng(12)
CHANCE = RNG.random(600) ** 3
EVENT = RNG.random(600) < CHANCE
EACH_ITS_OWN = np.arange(600)


def test_shares_and_counts_equal_xskillscore() -> None:
    ours = curve(CHANCE, EVENT, EACH_ITS_OWN, EDGES_RATIO, 0.95)
    seen, told = xr.DataArray(EVENT, dims="case"), xr.DataArray(CHANCE, dims="case")
    theirs = xskillscore.reliability(seen, told, dim="case", probability_bin_edges=EDGES_RATIO)
    np.testing.assert_array_equal(ours.cases_count, theirs["samples"].values)
    np.testing.assert_allclose(ours.observed_ratio, theirs.values, rtol=1e-12)


def test_bars_are_exact_binomial_intervals() -> None:
    ours = curve(CHANCE, EVENT, EACH_ITS_OWN, EDGES_RATIO, 0.95)
    for number in np.flatnonzero(ours.cases_count):
        hits = round(ours.observed_ratio[number] * ours.cases_count[number])
        told = binomtest(hits, int(ours.cases_count[number])).proportion_ci(0.95, method="exact")
        assert ours.low_ratio[number] == pytest.approx(told.low, abs=1e-12)
        assert ours.high_ratio[number] == pytest.approx(told.high, abs=1e-12)


def test_the_hours_of_one_day_prove_no_more_than_one_case() -> None:
    chance, event = np.full(240, 0.02), np.zeros(240, dtype=bool)
    hourly = curve(chance, event, np.arange(240) // 24, EDGES_RATIO, 0.95)
    daily = curve(chance[:10], event[:10], np.arange(10), EDGES_RATIO, 0.95)
    (number,) = np.flatnonzero(hourly.cases_count)
    assert hourly.days_count[number] == 10
    assert hourly.high_ratio[number] == daily.high_ratio[number] > 0.25
    assert hourly.low_ratio[number] == 0.0


def test_an_empty_bin_is_unknown() -> None:
    found = curve(np.array([0.5]), np.array([True]), np.array([0]), EDGES_RATIO, 0.95)
    empty = found.cases_count == 0
    for values in (found.observed_ratio, found.forecast_ratio, found.low_ratio, found.high_ratio):
        assert np.isnan(values[empty]).all()
        assert np.isfinite(values[~empty]).all()
