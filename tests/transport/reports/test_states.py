"""What is picked: the worst, and the unknown before the worst."""

from dataclasses import replace

import numpy as np

from shared.assessment import Assessment
from transport.reports.states import any_direction, least_limit, states, worst


def test_unknown_comes_before_the_least() -> None:
    assert worst(np.array([3.0, 0.0, np.nan, 1.0])) == 2


def test_states_show_the_least_limit_of_the_rose(result: Assessment) -> None:
    least = result.rose["gust_limit_by_state_mps"].min(("station", "wind_from")).values
    assert [state.limit_mps for state in states(result)] == least.tolist()
    assert min(state.limit_mps for state in states(result)) == float(result.rose["gust_limit_mps"].min())


def test_unknown_limit_of_one_place_makes_the_state_unknown(result: Assessment) -> None:
    values = result.rose["gust_limit_by_state_mps"].copy()
    values[10, 700, 3] = np.nan
    state = states(replace(result, rose=result.rose.assign(gust_limit_by_state_mps=values)))[10]
    assert np.isnan(state.limit_mps)
    assert state.station_m == 3500.0


def test_least_limit_of_a_station_is_unknown_where_one_direction_is(result: Assessment) -> None:
    values = result.rose["gust_limit_mps"].copy()
    values[3, 7] = np.nan
    assert np.flatnonzero(np.isnan(least_limit(result.rose.assign(gust_limit_mps=values)))).tolist() == [3]


def test_direction_is_named_only_where_it_matters(result: Assessment) -> None:
    assert not any_direction(result.rose, 0.0, 700.0)
    even = result.rose.assign(gust_limit_mps=result.rose["gust_limit_mps"] * 0 + 9.0)
    assert any_direction(even, 0.0, 700.0)


def test_worst_utilisation_in_still_air_is_that_of_the_checks(result: Assessment) -> None:
    shown = {state.name: state.utilisation_ratio for state in states(result)}
    assert shown["road grade"] == float(result.checks["route"]["utilisation_ratio"].sel(limit_state="road grade").max())
