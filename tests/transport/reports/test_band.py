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


def test_an_unknown_step_stays_unknown(result: Assessment) -> None:
    high = result.window["gust_high_mps"].copy()
    high[10] = np.nan
    made = band(replace(result, window=result.window.assign(gust_high_mps=high)), 0.0, 1e12)
    assert np.isnan(made.high_mps[10])


def test_nothing_to_show(undecided: Assessment) -> None:
    assert band(undecided, 0.0, 1e12).edges_s.size == 0
