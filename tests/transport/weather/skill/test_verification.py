"""The whole of the scores: what is counted, what is told where too little is known, and what would flatter."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import pytest
import xarray as xr

from transport.weather.skill.cases import Cases, cases_of, left_out
from transport.weather.skill.issued import Issued
from transport.weather.skill.setting import Setting
from transport.weather.skill.verification import verification

Issue = Callable[..., tuple[Cases, dict[str, Issued]]]
CELLS = ("hit_count", "false_alarm_count", "miss_count", "correct_negative_count")


@dataclass
class Run:
    """Pairs to scores in one call."""

    issue: Issue
    setting: Setting

    def __call__(self, pairs: xr.Dataset, above: float = 0.0) -> xr.Dataset:
        return verification(pairs, *self.issue(pairs, above), self.setting)


@pytest.fixture
def run(issue: Issue, setting: Setting) -> Run:
    return Run(issue, setting)


def test_every_case_is_in_one_cell_and_one_class(run: Run, pairs: xr.Dataset) -> None:
    found = run(pairs)
    total = sum(found[name] for name in CELLS)
    assert (total.isel(lead_class=0) == pairs.sizes["case"]).all()
    assert (total.isel(lead_class=slice(1, None)).sum("lead_class") == pairs.sizes["case"]).all()
    assert (sum(found[f"sector_{name}"] for name in CELLS).sum("wind_sector") == pairs.sizes["case"]).all()
    assert found["lead_class"].values.tolist() == ["all leads", "0-12 h", "12-24 h", "other leads"]
    assert (found["bin_case_count"].sum("probability_bin") == pairs.sizes["case"]).all()
    np.testing.assert_allclose(found["rank_count"].sum("place_rank"), pairs.sizes["case"])


def test_every_miss_is_listed(run: Run, pairs: xr.Dataset) -> None:
    found = run(pairs)
    for kind in ("raw", "calibrated"):
        for threshold in (9.0, 12.0):
            listed = (found["missed_kind"] == kind) & (found["missed_threshold_mps"] == threshold)
            counted = found["miss_count"].sel(forecast_kind=kind, threshold=threshold).isel(lead_class=0)
            assert int(listed.sum()) == int(counted) > 0
            assert (found["missed_observed_mps"][listed.values] > threshold).all()
    raw = found.isel(missed=found["missed_kind"].values == "raw")
    assert (raw["missed_high_mps"] <= raw["missed_threshold_mps"]).all()
    assert (raw["missed_chance_ratio"] == 0.0).all()


def test_a_storm_that_nobody_foresaw_is_one_more_spell_and_many_more_misses(run: Run, pairs: xr.Dataset) -> None:
    before = run(pairs).sel(forecast_kind="raw", threshold=12.0).isel(lead_class=0)
    calm = np.datetime64("2026-01-05T00:00", "ns") + np.timedelta64(283, "h")
    storm = abs(pairs["time"] - calm) < np.timedelta64(9, "h")
    assert float(pairs["forecast_gust_mps"].max("member").where(storm).max()) < 9.0
    pairs["observed_gust_mps"] = xr.where(storm, 20.0, pairs["observed_gust_mps"])
    after = run(pairs).sel(forecast_kind="raw", threshold=12.0).isel(lead_class=0)
    assert int(storm.sum()) > 3
    assert after["miss_count"] == before["miss_count"] + storm.sum()
    assert after["missed_spell_count"] == before["missed_spell_count"] + 1
    assert after["missed_spell_bound_ratio"] >= before["missed_spell_bound_ratio"]
    assert after["detected_ratio"] < before["detected_ratio"]


def test_no_miss_in_few_spells_proves_little(run: Run, pairs: xr.Dataset) -> None:
    """Hundreds of pairs above the limit in a few storms: the bound of the pairs flatters, that of the spells counts."""
    pairs["forecast_gust_mps"] = pairs["forecast_gust_mps"] + 8.0
    found = run(pairs).sel(forecast_kind="raw", threshold=12.0).isel(lead_class=0)
    assert found["miss_count"] == found["missed_spell_count"] == 0
    spells = int(found["event_spell_count"])
    assert 1 < spells < 8
    assert float(found["missed_spell_bound_ratio"]) == pytest.approx(1.0 - 0.05 ** (1.0 / spells))
    assert float(found["miss_bound_ratio"]) < 0.05 < float(found["missed_spell_bound_ratio"])


def test_nothing_observed_above_the_limit_proves_nothing(run: Run, pairs: xr.Dataset) -> None:
    pairs["observed_gust_mps"] = pairs["observed_gust_mps"] * 0.0 + 5.0
    found = run(pairs).isel(lead_class=0)
    assert (found["missed_spell_bound_ratio"] == 1.0).all()
    assert np.isnan(found["detected_ratio"]).all()
    assert np.isnan(found["brier_skill_ratio"]).all()


def test_too_few_pairs_have_counts_and_no_scores(run: Run, pairs: xr.Dataset) -> None:
    few = pairs.isel(case=slice(0, 29))
    found = run(few)
    assert found.attrs["scored_count"] == 29 < found.attrs["least_pairs_count"] == 30
    for name in ("crps_mps", "detected_ratio", "accuracy_ratio", "brier_score_ratio", "rank_count", "value_ratio"):
        assert np.isnan(found[name]).all(), name
    assert (sum(found[name] for name in CELLS).isel(lead_class=0) == 29).all()


def test_no_pair_at_all_is_no_score(run: Run, pairs: xr.Dataset) -> None:
    pairs["observed_gust_mps"] = pairs["observed_gust_mps"] * np.nan
    found = run(pairs)
    assert found.attrs["scored_count"] == 0
    assert found["left_out_count"].sum() == pairs.sizes["case"]
    assert (found["missed_spell_bound_ratio"] == 1.0).all()


def test_what_is_left_out_is_counted_and_named(run: Run, pairs: xr.Dataset) -> None:
    case = np.arange(pairs.sizes["case"])
    pairs["observed_gust_mps"][case < 5] = np.nan
    pairs["forecast_gust_mps"][10, 3] = np.nan
    pairs["observed_gust_mps"][10] = 31.0
    pairs["lead_h"][20] = np.nan
    found = run(pairs)
    by_reason = found["left_out_count"].groupby(found["left_out_reason"]).sum()
    assert by_reason.to_series().to_dict() == {
        "the observed gust is not known": 5.0,
        "not every member is known": 1.0,
        "the lead time is not known": 1.0,
    }
    assert found.attrs["scored_count"] == found.attrs["pairs_count"] - 7
    highest = found["left_out_highest_mps"].values[found["left_out_reason"].values == "not every member is known"]
    assert highest.tolist() == [31.0]


def test_an_unknown_time_is_left_out_too(pairs: xr.Dataset) -> None:
    pairs["time"][0] = np.datetime64("NaT", "ns")
    _, known = cases_of(pairs)
    assert known.sum() == pairs.sizes["case"] - 1
    (one,) = left_out(pairs, 24.0)
    assert (one.reason, one.pairs_count) == ("no time is known", 1)


def test_a_reason_that_the_pairs_name_is_kept(run: Run, pairs: xr.Dataset) -> None:
    """An anemometer that stood still has a value, and is no observation for all that."""
    pairs["left_out"] = ("case", np.where(np.arange(pairs.sizes["case"]) < 4, "the anemometer stood still", ""))
    found = run(pairs)
    assert found.attrs["scored_count"] == pairs.sizes["case"] - 4
    assert set(found["left_out_reason"].values) == {"the anemometer stood still"}
    assert found["left_out_count"].sum() == 4


def test_a_wider_rule_misses_more(run: Run, pairs: xr.Dataset) -> None:
    strict, wide = (run(pairs, share).sel(forecast_kind="raw").isel(lead_class=0) for share in (0.0, 0.3))
    assert (wide["miss_count"] >= strict["miss_count"]).all()
    assert wide["miss_count"].sum() > strict["miss_count"].sum()


def test_where_nobody_would_go_nothing_is_missed(run: Run, pairs: xr.Dataset) -> None:
    found = run(pairs, -1.0).sel(forecast_kind="raw").isel(lead_class=0)
    assert (found["miss_count"] == 0).all()
    assert (found["correct_negative_count"] == 0).all()


def test_order_of_cases_and_members_does_not_matter(run: Run, pairs: xr.Dataset) -> None:
    rng = np.random.default_rng(1)
    turned = pairs.isel(case=rng.permutation(pairs.sizes["case"]), member=rng.permutation(pairs.sizes["member"]))
    one, other = run(pairs), run(turned)
    for name in one.data_vars:
        if one[name].dtype.kind == "f" and "missed" not in one[name].dims:
            np.testing.assert_allclose(one[name], other[name], rtol=1e-9, atol=1e-12, err_msg=str(name))


def test_the_stake_is_paid_in_its_currency(issue: Issue, setting: Setting, pairs: xr.Dataset) -> None:
    """By hand from the counts: postponements at 20, losses at 1000, a mean per case."""
    cases, issued = issue(pairs)
    found = verification(pairs, cases, issued, setting._replace(stake=(20.0, 1000.0)))
    raw = found.sel(forecast_kind="raw", threshold=12.0)
    counts = {name: float(raw[name][0]) for name in CELLS}
    paid = (20.0 * (counts["hit_count"] + counts["false_alarm_count"]) + 1000.0 * counts["miss_count"]) / len(
        cases.lead_h
    )
    assert float(raw["stake_rule_expense"]) == pytest.approx(paid)
    base = (counts["hit_count"] + counts["miss_count"]) / len(cases.lead_h)
    assert float(raw["stake_climate_expense"]) == pytest.approx(min(20.0, 1000.0 * base))
    assert float(raw["stake_perfect_expense"]) == pytest.approx(20.0 * base)
    assert float(raw["stake_perfect_expense"]) <= float(raw["stake_expense"])
