"""Several sources of weather: the worse counts, and no second opinion ever opens a start."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from transport.window.answer import Answer
from transport.window.clocks import Clock
from transport.window.decision import decide, opine, worst_of
from transport.window.demand import Demand, Told
from transport.window.inputs import Decision
from transport.window.joint import Joint, joined
from transport.window.overlap import Stay, Steps

HOUR = 3600.0
STARTS = np.arange(0.0, 4 * HOUR, 1200.0)
ENSEMBLE = Decision(rule="ensemble", acceptable_chance_ratio=0.5, confidence_ratio=0.95, members_count=8)
STRICT = Decision(rule="ensemble", acceptable_chance_ratio=0.02, confidence_ratio=0.95, members_count=8)
ALPHA = Decision(rule="alpha", alpha_ratio=0.8, control_realization=0)
RULES = st.sampled_from([ENSEMBLE, STRICT, ALPHA])
RANK = {"no-go": 0, "undecided": 1, "go": 2}
LAW = settings(derandomize=True, max_examples=120, deadline=None)


def answer(
    values: np.ndarray, rule: Decision, *, second: bool = False, step_h: float = 1.0, clocks: tuple[Clock, ...] = ()
) -> Answer:
    """One check over the steps of a feed, (step, member); each start stays for an hour and a half."""
    edges = np.arange(len(values) + 1) * step_h * HOUR
    steps, stay = Steps(edges[:-1], edges[1:]), Stay(np.array([0.0]), np.array([1.5 * HOUR]))
    value = np.asarray(values, dtype=np.float32)[None]
    demand = Demand("Drive", np.array([100.0]), stay, value, lambda *at: Told("wind", f"at {at[1]}"))
    worst = worst_of([demand], clocks, steps, STARTS, values.shape[1])
    outcome = opine(worst, rule) if second else decide(worst, rule, expected_members=rule.members_count or 1)
    name = "second.nc" if second else "forecast.nc"
    return Answer([demand], clocks, steps, STARTS, worst, outcome, name, second)


def told(joint: Joint) -> list[tuple[object, ...]]:
    """Everything that is told of each start; NaN made equal to itself."""
    table = joint.table(0.0)
    columns = [np.nan_to_num(table[name].values, nan=-1.0) if table[name].dtype.kind == "f" else table[name].values
               for name in table if name != "governing_feed"]  # fmt: skip
    return list(zip(*(column.tolist() for column in columns), strict=True))


def array(steps: int, members: int) -> st.SearchStrategy[np.ndarray]:
    """Utilisations around the limit with a few that are not known, (step, member)."""

    def drawn(seed: int) -> np.ndarray:
        random = np.random.default_rng(seed)
        level, spread = random.uniform(0.5, 1.05), random.choice([0.05, 0.3])
        values = random.normal(level, spread, (steps, members)).clip(0.0)
        values[random.random(values.shape) < random.choice([0.0, 0.02, 0.2])] = np.nan
        return values

    return st.integers(0, 2**32 - 1).map(drawn)


FORECAST = array(6, 8)
OPINION = st.tuples(st.integers(1, 8), st.integers(1, 12)).flatmap(lambda shape: array(*shape))


@LAW
@given(FORECAST, st.lists(OPINION, min_size=1, max_size=3), RULES, st.sampled_from([0.5, 1.0, 3.0]))
def test_a_second_opinion_never_opens_a_start(
    values: np.ndarray, opinions: list[np.ndarray], rule: Decision, step_h: float
) -> None:
    """Law: neither no-go nor undecided becomes go, no-go stays no-go, and the utilisation shown never falls."""
    alone = joined(answer(values, rule), ())
    seconds = [answer(one, rule, second=True, step_h=step_h) for one in opinions]
    both = joined(alone.answers[0], seconds)
    for before, after in zip(alone.outcome.verdict, both.outcome.verdict, strict=True):
        assert RANK[after] <= RANK[before]
    shown = both.outcome.utilisation
    assert not (shown < np.nan_to_num(alone.outcome.utilisation, nan=1.0)).any()
    assert ((both.outcome.chance >= alone.outcome.chance) | np.isnan(alone.outcome.chance)).all()


@LAW
@given(FORECAST, OPINION, RULES)
def test_the_worse_counts(values: np.ndarray, opinion: np.ndarray, rule: Decision) -> None:
    """Law: over by the second opinion is no-go, not known by it is never go."""
    second = answer(opinion, rule, second=True)
    verdict = joined(answer(values, rule), [second]).outcome.verdict
    assert (verdict[second.outcome.utilisation > 1.0] == "no-go").all()
    assert (verdict[np.isnan(second.outcome.utilisation)] != "go").all()


@LAW
@given(FORECAST, RULES)
def test_the_forecast_itself_as_second_opinion_changes_nothing(values: np.ndarray, rule: Decision) -> None:
    """Law: with the same members no verdict changes under the ensemble rule, and the forecast is what governs."""
    if rule is ALPHA:
        values = values[:, :1]
    alone = joined(answer(values, rule), ())
    both = joined(alone.answers[0], [answer(values, rule, second=True)])
    assert told(both) == told(alone)
    assert (both.by == 0).all()
    np.testing.assert_array_equal(both.outcome.chance, alone.answers[0].outcome.chance)


@LAW
@given(FORECAST, RULES, st.floats(0.0, 1.0))
def test_a_weaker_second_opinion_changes_nothing(values: np.ndarray, rule: Decision, weaker: float) -> None:
    if rule is ALPHA:
        values = values[:, :1]
    alone = joined(answer(values, rule), ())
    assert told(joined(alone.answers[0], [answer(weaker * values, rule, second=True)])) == told(alone)


@LAW
@given(FORECAST, OPINION, OPINION, RULES)
def test_the_order_of_second_opinions_is_no_matter(
    values: np.ndarray, one: np.ndarray, other: np.ndarray, rule: Decision
) -> None:
    """Law: swapped, and given twice, they lead to the same verdicts and utilisations."""
    first = answer(values, rule)
    seconds = [answer(opinion, rule, second=True) for opinion in (one, other)]
    forth, back = joined(first, seconds), joined(first, seconds[::-1])
    twice = joined(first, [*seconds, seconds[0]])
    for found in (back, twice):
        assert (found.outcome.verdict == forth.outcome.verdict).all()
        np.testing.assert_array_equal(found.outcome.utilisation, forth.outcome.utilisation)
    assert told(twice) == told(forth)


@LAW
@given(FORECAST, OPINION, RULES, st.floats(1.0, 3.0), st.data())
def test_more_wind_or_less_knowledge_in_a_second_opinion_never_opens(
    values: np.ndarray, opinion: np.ndarray, rule: Decision, factor: float, data: st.DataObject
) -> None:
    """Law: monotone in its wind; a value unknown, a shorter reach, a member less never help."""
    first = answer(values, rule)
    before = joined(first, [answer(opinion, rule, second=True)]).outcome.verdict
    step, member = (data.draw(st.integers(0, size - 1)) for size in opinion.shape)
    stronger, unknown = opinion.copy(), opinion.copy()
    stronger[step] *= factor
    unknown[step, member] = np.nan
    for worse in (stronger, unknown, opinion[:step] if step else stronger):
        after = joined(first, [answer(worse, rule, second=True)]).outcome.verdict
        assert not ((after == "go") & (before != "go")).any()


def test_a_small_second_opinion_counts_with_its_worst_member() -> None:
    """Eight members may have one over at this chance; three prove no chance, so their worst one counts."""
    fine = answer(np.full((6, 8), 0.5), ENSEMBLE)
    for members, expected in ((3, "no-go"), (8, "go")):
        opinion = np.full((6, members), 0.6)
        opinion[:, 0] = 1.2
        found = joined(fine, [answer(opinion, ENSEMBLE, second=True)])
        assert set(found.outcome.verdict) == {expected}
    assert found.outcome.utilisation[0] == pytest.approx(0.6)


def test_under_the_factor_every_member_of_a_second_opinion_counts() -> None:
    opinion = np.full((6, 30), 0.6)
    opinion[:, 7] = 1.1
    found = joined(answer(np.full((6, 1), 0.5), ALPHA), [answer(opinion, ALPHA, second=True)])
    assert set(found.outcome.verdict) == {"no-go"}
    assert np.isnan(found.outcome.chance).all()


def test_what_governs_is_named_with_its_feed() -> None:
    first = answer(np.full((6, 8), 0.5), ENSEMBLE)
    short = np.full((3, 1), 0.7)
    short[2] = 1.3
    table = joined(first, [answer(short, ENSEMBLE, second=True)]).table(1.5 * HOUR)
    rows = [tuple(str(table[name].values[number]) for name in ("verdict", "governed_by", "governing_feed"))
            for number in (0, 3, 6)]  # fmt: skip
    assert rows == [
        ("go", "wind", "second.nc"),
        ("no-go", "wind", "second.nc"),
        ("undecided", "forecast", "second.nc"),
    ]
    words = table["governing_words"].values
    assert words[0] == "second.nc: at 0"
    assert words[6] == "second.nc: the forecast does not reach that far"
    assert np.isnan(table["utilisation_ratio"].values[6])
    assert table["chance_ratio"].values[[3, 6]].tolist() == [1.0, 1.0]
    assert (table["chance_ratio"].values[0] == first.outcome.chance[0]) and first.outcome.chance[0] < 0.5


def test_a_clock_governs_by_no_feed() -> None:
    night = Clock("daylight", "Drive", "dark", np.full(STARTS.size, np.inf), STARTS)
    first, second = (answer(np.full((6, 8), 0.5), ENSEMBLE, second=second, clocks=(night,)) for second in (False, True))
    table = joined(first, [second]).table(0.0)
    assert set(table["governing_feed"].values) == {""}
    assert set(table["governed_by"].values) == {"daylight"}


def test_all_that_bites_is_told_of_every_source() -> None:
    first, second = (answer(np.full((6, 8), level), ENSEMBLE, second=level > 1.5) for level in (1.2, 1.6))
    assert [(one.feed, round(one.utilisation, 1)) for one in joined(first, [second]).over(0)] == [
        ("forecast.nc", 1.2),
        ("second.nc", 1.6),
    ]
