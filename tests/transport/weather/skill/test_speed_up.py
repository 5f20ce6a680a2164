"""The measured speed-up against reference libraries, and the laws it has to keep."""

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import bootstrap

from shared.errors import OutOfRangeError
from shared.tables import figure
from transport.weather.skill.speed_up import SpeedUp, believed_ratio, in_sector, proved, speed_up

CONFIDENCE = 0.95


def campaign(days: int, seed: int = 3, ratio: float = 1.3) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Invented hours: each day has its own error, so that its hours are not independent."""
    rng = np.random.default_rng(seed)
    day = np.repeat(np.arange(days), 12)
    forecast = rng.uniform(4.5, 12.0, day.size)
    observed = forecast * (ratio + rng.normal(0.0, 0.12, days)[day] + rng.normal(0.0, 0.05, day.size))
    return observed, forecast, day


def test_against_cluster_robust_least_squares() -> None:
    """statsmodels: weighted regression of y / x on a constant with weights x is the ratio of sums."""
    observed, forecast, day = campaign(30)
    found = speed_up(observed, forecast, day, CONFIDENCE)
    fit = sm.WLS(observed / forecast, np.ones_like(forecast), weights=forecast).fit(
        cov_type="cluster", cov_kwds={"groups": day, "use_correction": False}
    )
    assert found.ratio == pytest.approx(fit.params[0], rel=1e-12)
    assert found.standard_error == pytest.approx(fit.bse[0] * np.sqrt(30 / 29), rel=1e-9)
    assert (found.days, found.cases) == (30, 360)


def test_against_the_bootstrap_of_days() -> None:
    """scipy.stats.bootstrap over whole days; agreement within its own noise and the small-sample t."""
    observed, forecast, day = campaign(60)
    found = speed_up(observed, forecast, day, CONFIDENCE)
    sums = [np.bincount(day, weights=values) for values in (observed, forecast)]
    drawn = bootstrap(
        sums,
        lambda y, x, axis: y.sum(axis=axis) / x.sum(axis=axis),
        paired=True,
        vectorized=True,
        n_resamples=4000,
        method="percentile",
        confidence_level=0.90,
        rng=np.random.default_rng(1),
    )
    assert found.standard_error == pytest.approx(drawn.standard_error, rel=0.08)
    assert found.upper_ratio == pytest.approx(drawn.confidence_interval.high, abs=0.25 * found.standard_error)


def test_the_bound_holds_as_often_as_it_says() -> None:
    """2,000 invented campaigns of 12 days with a known ratio of 1.3; binomial noise of 2,000 is 0.5 %."""
    held = [speed_up(*campaign(12, seed), CONFIDENCE).upper_ratio >= 1.3 for seed in range(2000)]
    assert 0.92 <= np.mean(held) <= 0.97


def test_hours_of_one_day_count_as_one() -> None:
    observed, forecast, day = campaign(10)
    once = speed_up(observed, forecast, day, CONFIDENCE)
    twelvefold = speed_up(*(np.tile(part, 12) for part in (observed, forecast, day)), CONFIDENCE)
    assert twelvefold.upper_ratio == pytest.approx(once.upper_ratio, rel=1e-12)
    assert twelvefold.cases == 12 * once.cases


def test_what_does_not_count() -> None:
    observed, forecast, day = campaign(10)
    whole = speed_up(observed, forecast, day, CONFIDENCE)
    more = [
        np.append(observed, [np.nan, 50.0, 50.0]),
        np.append(forecast, [9.0, 3.9, np.nan]),
        np.append(day, [3, 3, 3]),
    ]
    assert speed_up(*more, CONFIDENCE) == whole
    with pytest.raises(OutOfRangeError, match=r"a measured wind of -1 m/s is below zero"):
        speed_up(np.array([-1.0, 5.0]), np.array([5.0, 5.0]), np.array([0, 1]), CONFIDENCE)


@pytest.mark.parametrize("days", [0, 1])
def test_one_day_proves_nothing(days: int) -> None:
    found = speed_up(*campaign(days), CONFIDENCE)
    assert np.isnan(found.upper_ratio)
    assert not proved(found)
    assert believed_ratio(1.4, found, may_lower=True) == 1.4


def test_the_larger_counts_until_the_campaign_is_long_enough() -> None:
    least = int(figure("weather_speed_up_least_days"))
    short, long = (speed_up(*campaign(days, ratio=1.1), CONFIDENCE) for days in (least - 1, least))
    assert not proved(short)
    assert believed_ratio(1.5, short, may_lower=True) == 1.5
    assert believed_ratio(1.01, short, may_lower=True) == short.upper_ratio > 1.1
    assert proved(long)
    assert believed_ratio(1.5, long, may_lower=True) == long.upper_ratio < 1.2


@pytest.mark.parametrize(
    "lacking", [{"days": 19}, {"cases": 119}, {"strongest_mps": 7.9}, {"strongest_mps": float("nan")}]
)
def test_each_thing_that_a_campaign_must_have(lacking: dict[str, float]) -> None:
    enough = SpeedUp(1.2, 0.02, 1.25, 20, 120, 8.0)
    assert proved(enough)
    assert not proved(enough._replace(**lacking))


def test_shelter_is_never_counted() -> None:
    assert believed_ratio(1.4, SpeedUp(0.6, 0.01, 0.62, 200, 2000, 20.0), may_lower=True) == 1.0


@given(st.floats(-720, 720), st.floats(0, 360), st.floats(1, 359))
def test_sectors_go_clockwise_over_north(turn: float, first: float, width: float) -> None:
    second = (first + width) % 360.0
    inside = np.array([first + 0.01 * width, first + 0.99 * width]) + 360.0 * round(turn / 360.0)
    assert in_sector(inside, (first, second)).all()
    assert not in_sector(np.array([first + width + 0.01 * (360 - width), np.nan]), (first, second)).any()
    assert in_sector(np.array([turn]), (0.0, 360.0)).all()


@given(st.integers(2, 40), st.floats(1.0, 2.0))
def test_stronger_measured_wind_never_lowers_the_ratio(days: int, factor: float) -> None:
    observed, forecast, day = campaign(days)
    weak, strong = speed_up(observed, forecast, day, CONFIDENCE), speed_up(factor * observed, forecast, day, CONFIDENCE)
    assert strong.ratio >= weak.ratio
    assert strong.upper_ratio == pytest.approx(factor * weak.upper_ratio)
