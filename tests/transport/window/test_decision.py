"""Members counted fail-safe; nothing unknown ever becomes go."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from transport.window.chance import chance_bound_ratio, members_allowed
from transport.window.clocks import Clock
from transport.window.decision import decide, worst_of
from transport.window.demand import Demand, Told
from transport.window.inputs import Decision
from transport.window.overlap import Stay, Steps

HOUR = 3600.0
STEPS = Steps(np.arange(6) * HOUR, (np.arange(6) + 1) * HOUR)
STARTS = np.arange(0.0, 4 * HOUR, 600.0)
ENSEMBLE = Decision(rule="ensemble", acceptable_chance_ratio=0.30, confidence_ratio=0.95, members_count=10)
ALPHA = Decision(rule="alpha", alpha_ratio=0.8, control_realization=0)
RANK = {"go": 2, "undecided": 1, "no-go": 0}


def demand(utilisation: np.ndarray, early_h: float = 0.0, late_h: float = 1.5) -> Demand:
    stay = Stay(np.array([early_h * HOUR]), np.array([late_h * HOUR]))
    value = np.asarray(utilisation, dtype=np.float32)[None]
    return Demand("Drive", np.array([100.0]), stay, value, lambda place, step, member: Told("wind", ""))


def verdicts(
    values: np.ndarray, rule: Decision = ENSEMBLE, expected: int = 10, clocks: tuple[Clock, ...] = ()
) -> np.ndarray:
    worst = worst_of([demand(values)], clocks, STEPS, STARTS, values.shape[1])
    return decide(worst, rule, expected_members=expected).verdict


@pytest.mark.parametrize(
    ("over", "members", "expected"),
    [(0, 51, 0.0570), (0, 21, 0.1329)],
)
def test_clopper_pearson(over: int, members: int, expected: float) -> None:
    """Exact one-sided 95 % bound of 0 of m is 1 - 0.05^(1/m), Clopper and Pearson 1934 (from memory)."""
    bound = float(chance_bound_ratio(np.array([over]), members, 0.95)[0])
    assert bound == pytest.approx(expected, abs=5e-5)
    assert bound == pytest.approx(1 - 0.05 ** (1 / members), rel=1e-9)


def test_clopper_pearson_against_scipy() -> None:
    """Reference library: scipy.stats.binomtest, method exact."""
    from scipy.stats import binomtest

    for over in (1, 3, 10):
        high = binomtest(over, 31, alternative="less").proportion_ci(0.95, method="exact").high
        assert float(chance_bound_ratio(np.array([over]), 31, 0.95)[0]) == pytest.approx(high, rel=1e-9)
    assert float(chance_bound_ratio(np.array([31]), 31, 0.95)[0]) == 1.0


def test_too_few_members_prove_nothing() -> None:
    assert members_allowed(31, 0.10, 0.95) == 0
    assert members_allowed(31, 0.05, 0.95) == -1
    assert set(
        verdicts(
            np.full((6, 10), 0.5),
            Decision(rule="ensemble", acceptable_chance_ratio=0.2, confidence_ratio=0.95, members_count=10),
        )
    ) == {"undecided"}


def test_the_limit_itself_is_still_go() -> None:
    assert set(verdicts(np.ones((6, 10)))) == {"go"}
    assert set(verdicts(np.full((6, 10), np.nextafter(np.float32(1), np.float32(2))))) == {"no-go"}


def test_one_member_over_is_no_go_when_none_may_be() -> None:
    values = np.full((6, 10), 0.5)
    values[2, 3] = 1.2
    assert members_allowed(10, 0.30, 0.95) == 0
    got = verdicts(values)
    assert got[0] == "go" and "no-go" in got
    assert verdicts(values, ALPHA, expected=1)[0] == "go"


def test_missing_members_count_as_over() -> None:
    assert set(verdicts(np.full((6, 9), 0.5), expected=10)) == {"undecided"}


def test_a_closed_clock_closes_and_an_unknown_one_leaves_undecided() -> None:
    fine = np.full((6, 10), 0.5)
    for value, expected in ((np.inf, "no-go"), (np.nan, "undecided"), (0.0, "go")):
        clock = Clock("daylight", "Drive", "", np.full(STARTS.size, value), STARTS)
        assert set(verdicts(fine, clocks=(clock,))) == {expected}


def test_beyond_the_forecast_is_undecided() -> None:
    late = demand(np.full((6, 10), 0.5), early_h=0.0, late_h=4.0)
    worst = worst_of([late], (), STEPS, STARTS, 10)
    outcome = decide(worst, ENSEMBLE, expected_members=10)
    assert list(outcome.verdict[STARTS <= 2 * HOUR]) == ["go"] * 13
    assert set(outcome.verdict[STARTS > 2 * HOUR]) == {"undecided"}
    assert np.isnan(outcome.utilisation[STARTS > 2 * HOUR]).all()


def test_the_utilisation_is_that_of_the_member_next_after_those_allowed() -> None:
    values = np.tile(np.arange(1, 32) / 32.0, (6, 1))
    values[:, -1] = 1.5
    rule = Decision(rule="ensemble", acceptable_chance_ratio=0.15, confidence_ratio=0.95, members_count=10)
    assert members_allowed(31, 0.15, 0.95) == 1
    worst = worst_of([demand(values)], (), STEPS, STARTS, 31)
    outcome = decide(worst, rule, expected_members=31)
    assert set(outcome.verdict) == {"go"}
    assert outcome.utilisation[0] == pytest.approx(30 / 32)
    assert outcome.chance[0] == pytest.approx(float(chance_bound_ratio(np.array([1]), 31, 0.95)[0]))


UTILISATIONS = st.lists(st.lists(st.floats(0, 2, width=32), min_size=10, max_size=10), min_size=6, max_size=6).map(
    lambda rows: np.array(rows)
)


def never_better(before: np.ndarray, after: np.ndarray) -> bool:
    return all(not (RANK[b] < 2 and RANK[a] == 2) for b, a in zip(before, after, strict=True))


@settings(derandomize=True, max_examples=60)
@given(UTILISATIONS, st.integers(0, 5), st.integers(0, 9), st.floats(1, 5))
def test_more_wind_nan_or_a_dropped_member_never_turns_to_go(
    values: np.ndarray, step: int, member: int, factor: float
) -> None:
    """Law: stronger wind, an unknown value, a dropped member, a shorter forecast never open a start."""
    before = verdicts(values)
    stronger, unknown = values.copy(), values.copy()
    stronger[step] *= factor
    unknown[step, member] = np.nan
    dropped = np.delete(values, member, axis=1)
    for after in (verdicts(stronger), verdicts(unknown), verdicts(dropped)):
        assert never_better(before, after)


@settings(derandomize=True, max_examples=40)
@given(UTILISATIONS, st.integers(1, 5))
def test_a_shorter_forecast_never_opens(values: np.ndarray, kept: int) -> None:
    before = verdicts(values)
    steps = Steps(STEPS.begin_s[:kept], STEPS.end_s[:kept])
    worst = worst_of([demand(values[:kept])], (), steps, STARTS, 10)
    assert never_better(before, decide(worst, ENSEMBLE, expected_members=10).verdict)


def test_unknown_is_not_hidden_by_a_smaller_known_value() -> None:
    worst = worst_of([demand(np.full((6, 10), 0.2)), demand(np.full((6, 10), np.nan))], (), STEPS, STARTS, 10)
    outcome = decide(worst, ENSEMBLE, expected_members=10)
    assert set(outcome.verdict) == {"undecided"}
    assert set(outcome.check) == {1}
    assert decide(replace(worst, known=worst.known + 1), ENSEMBLE, expected_members=10).verdict[0] == "no-go"
