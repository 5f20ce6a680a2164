"""The band of the gust."""

from dataclasses import replace

import numpy as np

from shared.assessment import Assessment
from transport.reports.band import band

BEGIN_S = np.datetime64("2026-03-10T06:00", "s").astype(float)
HOUR_S = 3600.0


def test_a_value_holds_for_the_step_before_its_time(result: Assessment) -> None:
    made = band(result, BEGIN_S, BEGIN_S + 2 * HOUR_S)
    np.testing.assert_array_equal(made.edges_s - BEGIN_S, [0.0, HOUR_S, 2 * HOUR_S])
    expected = result.window["gust_high_mps"].sel(time=["2026-03-10T07:00", "2026-03-10T08:00"]).values
    np.testing.assert_array_equal(made.high_mps, expected)


def test_picked_from_the_forecast_where_the_window_has_none(result: Assessment) -> None:
    bare = result.window.drop_vars([name for name in result.window if str(name).startswith("gust_")])
    gust = result.forecast["gust_apparent_mps"].expand_dims(station=[3000.0, 3300.0])
    rose = result.rose["gust_limit_mps"].sel(station=3300.0)
    made = band(replace(result, window=bare, forecast=result.forecast.assign(gust_apparent_mps=gust)), 0.0, 1e12)
    np.testing.assert_array_equal(made.high_mps, result.window["gust_high_mps"].values)
    assert set(made.limit_mps) == {float(rose.min())}


def test_the_factor_on_the_limit_is_shown_too(result: Assessment) -> None:
    bare = result.window.drop_vars([name for name in result.window if str(name).startswith("gust_")])
    gust = result.forecast["gust_apparent_mps"].expand_dims(station=[3300.0])
    move = {**result.move, "decision": {"rule": "alpha", "alpha_ratio": 0.8}}
    other = replace(result, move=move, window=bare, forecast=result.forecast.assign(gust_apparent_mps=gust))
    least = float(result.rose["gust_limit_mps"].sel(station=3300.0).min())
    assert set(band(other, 0.0, 1e12).limit_mps) == {0.8 * least}


def test_an_unknown_member_makes_the_step_unknown(result: Assessment) -> None:
    bare = result.window.drop_vars([name for name in result.window if str(name).startswith("gust_")])
    gust = result.forecast["gust_apparent_mps"].expand_dims(station=[3300.0]).copy()
    gust[0, 4, 10] = np.nan
    made = band(replace(result, window=bare, forecast=result.forecast.assign(gust_apparent_mps=gust)), 0.0, 1e12)
    assert np.isnan(made.high_mps[10])
    assert np.isnan(made.low_mps[10])


def test_nothing_to_show(undecided: Assessment) -> None:
    assert band(undecided, 0.0, 1e12).edges_s.size == 0
