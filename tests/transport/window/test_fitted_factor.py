"""The fitted factor on a limit."""

import numpy as np
import pytest
import xarray as xr
from hypothesis import given, settings
from hypothesis import strategies as st

from transport.window.fitted_factor import lessened_mps, shown_factor, with_error_of

LIMITS = st.one_of(st.floats(0.0, 60.0), st.just(np.inf))


def test_it_is_the_limit_times_alpha() -> None:
    """z = 1.645 and sigma = 2 m/s at a limit of 15 m/s: 11.71 m/s (marine operations practice, memory)."""
    assert float(lessened_mps(np.asarray(15.0), np.asarray(1.645 * 2.0))) == pytest.approx(11.71)


def test_it_is_never_more_than_the_greatest_share_and_never_below_zero() -> None:
    """0.95 is the greatest factor (practice)."""
    found = lessened_mps(np.array([15.0, 15.0, 3.0, 0.0, np.inf]), np.array([0.1, 0.75, 4.0, 1.0, 2.0]))
    assert found.tolist() == [14.25, 14.25, 0.0, 0.0, np.inf]


def test_unknown_stays_unknown() -> None:
    assert np.isnan(lessened_mps(np.array([15.0, np.nan, np.inf]), np.array([np.nan, 1.0, np.nan]))).all()


@settings(deadline=None)
@given(limit=LIMITS, error=st.floats(0.0, 50.0), more=st.floats(0.0, 20.0), higher=st.floats(0.0, 20.0))
def test_more_error_never_gives_more_and_a_higher_limit_never_less(
    limit: float, error: float, more: float, higher: float
) -> None:
    found, worse, better = (
        float(lessened_mps(np.asarray(value), np.asarray(off)))
        for value, off in ((limit, error), (limit, error + more), (limit + higher, error))
    )
    assert worse <= found <= better
    assert found <= limit


def test_the_factor_in_words_is_rounded_down() -> None:
    assert shown_factor(11.71, 15.0) == 0.780
    assert shown_factor(np.inf, np.inf) == 1.0


def _weather(begin_h: int, hours: list[int], **fields: list[float]) -> xr.Dataset:
    """Steps of some hours, one after the other, at one station."""
    ends = np.datetime64("2026-08-11T00:00", "ns") + (begin_h + np.cumsum(hours)) * np.timedelta64(1, "h")
    starts = ends - np.array(hours) * np.timedelta64(1, "h")
    data = {name: (("time", "station"), np.array(values)[:, None]) for name, values in fields.items()}
    return xr.Dataset(data, {"time": ends, "time_start": ("time", starts), "station": [0.0]})


def test_a_second_opinion_is_held_against_the_same_error() -> None:
    """Steps of 3 h beside steps of 1 and 6 h: the largest error that a step overlaps; unknown beyond the forecast."""
    forecast = _weather(0, [3, 3, 3], forecast_error_mps=[1.0, 2.0, np.nan])
    hourly = with_error_of(forecast, _weather(2, [1, 1, 1, 1, 1], mean_wind_mps=[5.0] * 5))
    assert hourly["forecast_error_mps"].values[:, 0].tolist() == pytest.approx(
        [1.0, 2.0, 2.0, 2.0, np.nan], nan_ok=True
    )
    coarse = with_error_of(forecast, _weather(0, [6, 6], mean_wind_mps=[5.0] * 2))
    assert coarse["forecast_error_mps"].values[:, 0].tolist() == pytest.approx([2.0, np.nan], nan_ok=True)
    early = with_error_of(forecast, _weather(-3, [3, 3], mean_wind_mps=[5.0] * 2))
    assert early["forecast_error_mps"].values[:, 0].tolist() == pytest.approx([np.nan, 1.0], nan_ok=True)


def test_without_a_fitted_factor_a_second_opinion_stays_as_it_is() -> None:
    plain = _weather(0, [3], mean_wind_mps=[5.0])
    assert with_error_of(plain, plain) is plain
