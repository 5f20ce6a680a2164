"""What is picked: the worst, and the unknown before the worst."""

from dataclasses import replace

import numpy as np

from shared.assessment import Assessment
from transport.reports import view


def test_unknown_comes_before_the_least() -> None:
    assert view.worst(np.array([3.0, 0.0, np.nan, 1.0])) == 2


def test_states_show_the_least_limit_of_the_rose(result: Assessment) -> None:
    least = result.rose["gust_limit_by_state_mps"].min(("station", "wind_from")).values
    assert [state.limit_mps for state in view.states(result)] == least.tolist()
    assert min(state.limit_mps for state in view.states(result)) == float(result.rose["gust_limit_mps"].min())


def test_unknown_limit_of_one_place_makes_the_state_unknown(result: Assessment) -> None:
    values = result.rose["gust_limit_by_state_mps"].copy()
    values[10, 700, 3] = np.nan
    state = view.states(replace(result, rose=result.rose.assign(gust_limit_by_state_mps=values)))[10]
    assert np.isnan(state.limit_mps)
    assert state.station_m == 3500.0


def test_first_shown_is_go_where_there_is_one(result: Assessment, closed: Assessment) -> None:
    assert view.starts(result)[view.first_shown(result)].verdict == "go"
    assert view.starts(closed)[view.first_shown(closed)].verdict == "no-go"


def test_the_rule_for_forecast_error_is_named(result: Assessment) -> None:
    assert view.rule(result) == "Forecast error: ensemble, acceptable chance 10%, confidence 95%."
