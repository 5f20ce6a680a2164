"""A calibration at work: never milder outside what was learned, and the ground counts once."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import rankdata, truncnorm

from transport.weather.skill.alpha import ErrorOf, allowance_mps
from transport.weather.skill.applying import Applied, Ground, allowance_over_time_mps, applied, carried_ratio, near_mast
from transport.weather.skill.file import Calibration

STATIONS, MEMBERS, STEPS = 3, 7, 8
LEAD_H, STEP_H = 3.0 * np.arange(1, STEPS + 1), np.full(STEPS, 3.0)


def before_relief(level_mps: float = 7.0, seed: int = 1) -> np.ndarray:
    return np.maximum(level_mps + np.random.default_rng(seed).normal(0.0, 0.6, (STATIONS, MEMBERS, STEPS)), 0.0)


def used(
    calibration: Calibration,
    before_mps: np.ndarray,
    *,
    speed_up: float = 1.3,
    from_deg: float = 200.0,
    lead_h: np.ndarray = LEAD_H,
    step_h: np.ndarray = STEP_H,
    trusted: bool = True,
) -> Applied:
    ground = Ground(np.full(STATIONS, speed_up), np.full(STATIONS, trusted))
    direction = np.full((STATIONS, STEPS), from_deg)
    return applied(calibration, before_mps * speed_up, before_mps, direction, lead_h, step_h, ground)


def over(calibration: Calibration) -> Calibration:
    """The same with a fit that lowers every gust: the danger that the trained range is there for."""
    assert calibration.leads[0].together is not None
    fit = calibration.leads[0].together.model_copy(
        update={"a_mps": 0.0, "b_ratio": 0.5, "c_m2_per_s2": 0.01, "d_ratio": 0.0}
    )
    leads = tuple(lead.model_copy(update={"together": fit, "sectors": ()}) for lead in calibration.leads)
    return calibration.model_copy(update={"leads": leads})


def test_inside_the_trained_range_members_are_the_quantiles_times_what_the_ground_does(learned: Calibration) -> None:
    before = before_relief()
    found = used(learned, before)
    fit = learned.leads[0].together
    assert fit is not None
    assert found.may_lower.all()
    mean, variance = before.mean(axis=1), before.var(axis=1, ddof=1)
    location = fit.a_mps + fit.b_ratio * mean[0, 0]
    scale = np.sqrt(fit.c_m2_per_s2 + fit.d_ratio * variance[0, 0])
    quantiles = truncnorm.ppf(np.arange(1, 8) / 8.0, -location / scale, np.inf, loc=location, scale=scale)
    np.testing.assert_allclose(np.sort(found.gust_mps[0, :, 0]), 1.3 * quantiles, rtol=1e-6)
    np.testing.assert_array_equal(rankdata(found.gust_mps, axis=1), rankdata(before, axis=1))
    assert (found.gust_mps.max(axis=1) > 1.3 * before.max(axis=1)).all(), "the members knew too little"


def test_relief_counts_once(learned: Calibration) -> None:
    """Twice the speed-up at the station is twice the gust there, calibrated or not."""
    before = before_relief()
    np.testing.assert_allclose(
        used(learned, before, speed_up=2.0).gust_mps, 2.0 * used(learned, before, speed_up=1.0).gust_mps, rtol=1e-12
    )


def test_in_still_air_the_largest_relief_is_taken() -> None:
    found = carried_ratio(np.array([0.0, 6.0]), np.array([0.0, 5.0]), np.array([1.4, 1.4]))
    assert found.tolist() == [1.4, 1.2]


APART = np.tile(np.linspace(2.0, 12.0, MEMBERS)[:, None], (STATIONS, 1, STEPS))
OUTSIDE: dict[str, dict[str, Any]] = {
    "stronger than ever forecast": {"before_mps": before_relief(30.0)},
    "weaker than ever forecast": {"before_mps": before_relief(0.6)},
    "members further apart than ever": {
        "before_mps": np.tile(np.linspace(2.0, 12.0, MEMBERS)[:, None], (STATIONS, 1, STEPS))
    },
    "longer lead": {"lead_h": LEAD_H + 48.0},
    "longer step": {"step_h": np.full(STEPS, 6.0)},
    "shorter step": {"step_h": np.full(STEPS, 1.0)},
    "direction not known": {"from_deg": np.nan},
    "far from the mast, or mast sheltered, or below the load": {"trusted": False},
}


@pytest.mark.parametrize("name", list(OUTSIDE))
def test_outside_what_was_learned_nothing_is_lowered(name: str, learned: Calibration) -> None:
    change = {"before_mps": before_relief()} | OUTSIDE[name]
    found = used(over(learned), **change)
    assert not found.may_lower.any()
    assert (found.gust_mps >= 1.3 * change["before_mps"] - 1e-12).all()


def test_inside_it_the_same_fit_lowers(learned: Calibration) -> None:
    assert (used(over(learned), before_relief()).gust_mps < 1.3 * before_relief()).all()


def test_a_sector_that_was_not_seen_is_not_lowered(learned: Calibration) -> None:
    leads = tuple(lead.model_copy(update={"seen": (True, False, True, True)}) for lead in over(learned).leads)
    blind = over(learned).model_copy(update={"leads": leads})
    assert used(blind, before_relief(), from_deg=100.0).gust_mps.min() >= (1.3 * before_relief()).min()
    assert (used(blind, before_relief(), from_deg=80.0).gust_mps < 1.3 * before_relief()).all()


def test_a_class_that_may_not_be_used_takes_the_one_before_it_and_lowers_nothing(learned: Calibration) -> None:
    """Longer leads must not look surer than shorter ones only because nothing was learned of them."""
    first, second = learned.leads
    half = learned.model_copy(update={"leads": (first, second.model_copy(update={"usable": False}))})
    before = before_relief()
    found = used(half, before)
    assert found.may_lower[:, :4].all() and not found.may_lower[:, 4:].any()
    assert (found.gust_mps[:, :, 4:].max(axis=1) > 1.3 * before[:, :, 4:].max(axis=1)).all()
    assert (found.gust_mps[:, :, 4:] >= 1.3 * before[:, :, 4:]).all()
    neither = learned.model_copy(
        update={"leads": tuple(lead.model_copy(update={"usable": False}) for lead in (first, second))}
    )
    np.testing.assert_array_equal(used(neither, before).gust_mps, 1.3 * before)


def test_an_unknown_member_leaves_the_forecast_as_it_is(learned: Calibration) -> None:
    before = before_relief()
    before[1, 2, 3] = np.nan
    found = used(learned, before)
    np.testing.assert_array_equal(found.gust_mps[1, :, 3], 1.3 * before[1, :, 3])
    assert np.isnan(found.gust_mps).sum() == 1


@settings(deadline=None)
@given(level=st.floats(0.1, 40.0), seed=st.integers(0, 500), lead=st.floats(0.0, 100.0), trusted=st.booleans())
def test_calibrated_lies_below_raw_only_in_the_trained_range(
    learned: Calibration, level: float, seed: int, lead: float, trusted: bool
) -> None:
    before = before_relief(level, seed)
    found = used(over(learned), before, lead_h=LEAD_H + lead, trusted=trusted)
    lowered = (found.gust_mps < 1.3 * before - 1e-9).any(axis=1)
    assert not (lowered & ~found.may_lower).any()
    fit = learned.leads[0].together
    assert fit is not None
    assert not (found.may_lower & (before.mean(axis=1) > fit.mean_high_mps)).any()


def test_members_in_another_order_are_calibrated_in_that_order(learned: Calibration) -> None:
    before, order = before_relief(), np.random.default_rng(3).permutation(MEMBERS)
    np.testing.assert_allclose(
        used(learned, before[:, order]).gust_mps, used(learned, before).gust_mps[:, order], rtol=1e-12
    )


def test_only_stations_within_reach_are_near_the_mast(learned: Calibration) -> None:
    """0.1 degree of latitude is 11.1 km on the ellipsoid, 0.08 degree 8.9 km; the reach is 10 km (practice)."""
    near = near_mast(learned.mast, np.full(3, -21.3), np.array([-38.5, -38.42, -38.4]))
    assert near.tolist() == [True, True, False]


def test_the_allowance_never_shrinks_with_lead_and_ends_with_what_was_learned(learned: Calibration) -> None:
    first, second = learned.errors
    smaller = second.model_copy(update={"sigma_bound_mps": 0.1, "mean_mps": 0.0, "quantiles_mps": (0.0,) * 10})
    made = learned.model_copy(update={"errors": (first, smaller)})
    found = allowance_over_time_mps(made, np.full((1, 10), 6.0), 3.0 * np.arange(1, 11), 0.1)
    expected = allowance_mps(ErrorOf(*(getattr(first, name) for name in ErrorOf._fields)), 0.1)
    np.testing.assert_allclose(found[0, :8], expected)
    assert np.isnan(found[0, 8:]).all(), "beyond 24 h nothing was learned"


def test_the_allowance_of_a_gust_stronger_than_ever_is_not_known(learned: Calibration) -> None:
    strong = np.array([[6.0, learned.errors[0].forecast_high_mps + 0.1, np.nan]])
    assert np.isnan(allowance_over_time_mps(learned, strong, np.array([3.0, 6.0, 9.0]), 0.1)).tolist() == [
        [False, True, True]
    ]
