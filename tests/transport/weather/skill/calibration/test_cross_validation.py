"""Days left out: no day on both sides, and scores against reference libraries."""

from collections.abc import Callable

import numpy as np
import pytest
import scoringrules
import xarray as xr
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import truncnorm

from transport.weather.skill.cross_validation import Judged, Missed, fold_of, judged, left_out_laws
from transport.weather.skill.emos import Coefficients, Law, law_of
from transport.weather.skill.training import Cases, cases_of


@settings(deadline=None)
@given(days=st.lists(st.integers(0, 60), min_size=1, max_size=200))
def test_all_cases_of_a_day_fall_into_one_fold(days: list[int]) -> None:
    """However many runs verify on a day, a gust of it is never learned from and judged by."""
    day = np.array(days)
    fold = fold_of(day)
    assert all(len(np.unique(fold[day == one])) == 1 for one in np.unique(day))
    assert set(np.unique(fold)) == set(range(int(fold.max()) + 1))


def test_days_in_a_row_are_left_out_together() -> None:
    fold = fold_of(np.arange(80))
    assert len(np.unique(fold)) == 8
    assert fold[:12].tolist() == [0] * 5 + [1] * 5 + [2] * 2
    assert fold[40] == 0


def test_no_case_is_judged_by_a_fit_that_has_seen_its_day(make_pairs: Callable[..., xr.Dataset]) -> None:
    cases = cases_of(make_pairs(45, leads=16))
    asked: list[tuple[set[int], set[int]]] = []

    def learn(known: Cases) -> Callable[[Cases], Law]:
        def predict(new: Cases) -> Law:
            asked.append((set(known.day.tolist()), set(new.day.tolist())))
            return law_of(Coefficients(0.0, 1.0, 1.0, 0.0), new.mean_mps, new.variance_m2_per_s2)

        return predict

    law = left_out_laws(cases, learn)
    assert not np.isnan(law.location_mps).any()
    assert len(asked) == 8
    assert not any(known & new for known, new in asked)
    assert set.union(*(new for _, new in asked)) == set(cases.day.tolist())


def test_scores_against_the_libraries(make_pairs: Callable[..., xr.Dataset]) -> None:
    cases = cases_of(make_pairs(40))
    location, scale = law = law_of(Coefficients(0.5, 1.1, 0.3, 4.0), cases.mean_mps, cases.variance_m2_per_s2)
    found, seen = judged(cases, law), cases.observed_mps
    assert found.crps_raw_mps == pytest.approx(
        float(np.mean(scoringrules.crps_ensemble(seen, cases.gust_mps, estimator="nrg")))
    )
    reference = scoringrules.crps_tnormal(seen, location, scale, lower=0.0)
    assert found.crps_calibrated_mps == pytest.approx(float(np.mean(reference)), rel=1e-9)
    other = truncnorm(-location / scale, np.inf, loc=location, scale=scale)
    assert list(found.pit_counts) == np.histogram(other.cdf(seen), bins=10, range=(0.0, 1.0))[0].tolist()
    for part, share in zip((0.5, 0.8, 0.95), found.coverage_ratio, strict=True):
        inside = (seen >= other.ppf(0.5 - part / 2)) & (seen <= other.ppf(0.5 + part / 2))
        assert share == pytest.approx(np.mean(inside), abs=1e-12)
    assert found.above_calibrated_ratio == pytest.approx(np.mean(seen > other.ppf(7 / 8)))
    assert found.promised_ratio == 0.125


def test_an_event_is_missed_if_it_came_and_no_member_lay_above_it() -> None:
    """Counted by hand: thresholds are the middle and three quarters of what was seen."""
    seen, raw = np.array([2.0, 4.0, 6.0, 8.0, 10.0]), np.array([3.0, 3.0, 5.0, 9.0, 7.0])
    gust = np.stack([raw - 1.0, raw], axis=1)
    cases = Cases(gust.mean(axis=1), gust.var(axis=1, ddof=1), seen, *(np.zeros(5, dtype=int),) * 2, np.arange(5), gust)
    found = judged(cases, Law(np.full(5, 9.5), np.full(5, 0.1)))
    assert found.events[0] == Missed(6.0, 2, 0, 0)
    assert found.events[1] == Missed(8.0, 1, 1, 0)


def _judged(**changes: object) -> Judged:
    events = (Missed(8.0, 20, 6, 6),)
    base = Judged(300, 8, 1.0, 0.8, (30,) * 10, (0.5, 0.8, 0.95), 0.3, 0.12, 0.125, events)
    return base._replace(**changes)


def test_better_may_be_used_and_worse_says_why() -> None:
    assert _judged().worse == ()
    assert _judged(crps_calibrated_mps=1.0).worse == (
        "on days left out its CRPS is 1.000 m/s, of the raw one 1.000 m/s",
    )
    more = (Missed(8.0, 20, 6, 7),)
    assert _judged(events=more).worse == (), "it keeps what it promises"
    (why,) = _judged(events=more, above_calibrated_ratio=0.2).worse
    assert why == (
        "on days left out it misses 7 events, the raw one 6, and the mast is above its highest member in 20.0% of the "
        "cases, promised are 12.5%"
    )
    assert _judged(crps_calibrated_mps=float("nan")).worse, "unknown is not better"
