"""Speed-up of the wind at one place against the forecast, from a short mast campaign, with its uncertainty.

The hours of one day are not independent of each other, so that whole days are the sample, not the hours.
"""

from typing import NamedTuple

import numpy as np
from scipy.stats import t as student

from shared.arrays import Array
from shared.errors import OutOfRangeError
from shared.tables import figure

__all__ = ["SpeedUp", "believed_ratio", "in_sector", "proved", "speed_up"]


class SpeedUp(NamedTuple):
    """Ratio of the measured to the forecast wind, its standard error and upper bound, and what it rests on.

    NaN where fewer than two days say anything.
    """

    ratio: float
    standard_error: float
    upper_ratio: float
    days: int
    cases: int
    strongest_mps: float


def in_sector(from_deg: Array, sector_deg: tuple[float, float]) -> np.ndarray:
    """True where a wind comes from the sector, clockwise from the first direction to the second; NaN is in no sector.

    (D - first) mod 360 <= (second - first) mod 360, a whole turn where the two are equal modulo 360.
    Source: definition.
    """
    width_deg = (sector_deg[1] - sector_deg[0]) % 360.0 or 360.0
    return np.asarray((from_deg - sector_deg[0]) % 360.0 <= width_deg)


def speed_up(observed_mps: Array, forecast_mps: Array, day: np.ndarray, confidence_ratio: float) -> SpeedUp:
    """Ratio of sums with whole days as the sample, and its one-sided upper bound.

    r = sum y / sum x;  s = sqrt(D / (D - 1) sum_d (Y_d - r X_d)^2) / sum x;  upper = r + t(confidence, D - 1) s,
    with y measured and x forecast, Y_d and X_d their sums in each of D days.
    Shapes: all (case). Counted are pairs that are whole, with a forecast from `weather_speed_up_from_mps` on.
    Valid: many days; days are taken as independent.      Errors: OutOfRangeError for a negative wind.
    Source: ratio estimator with clusters by linearisation, W. G. Cochran, Sampling Techniques (1977), 6.4 (memory).
    """
    whole = np.isfinite(observed_mps) & (forecast_mps >= figure("weather_speed_up_from_mps"))
    y, x = observed_mps[whole], forecast_mps[whole]
    if (y < 0.0).any():
        raise OutOfRangeError(f"a measured wind of {y.min():g} m/s is below zero; correct the measurement")
    _, number = np.unique(day[whole], return_inverse=True)
    by_day = np.bincount(number, weights=y), np.bincount(number, weights=x)
    days = len(by_day[0])
    if days < 2:
        return SpeedUp(np.nan, np.nan, np.nan, days, len(y), float(np.max(x, initial=0.0)))
    ratio = float(y.sum() / x.sum())
    spread = np.sum((by_day[0] - ratio * by_day[1]) ** 2) * days / (days - 1)
    error = float(np.sqrt(spread) / x.sum())
    upper = ratio + float(student.ppf(confidence_ratio, days - 1)) * error
    return SpeedUp(ratio, error, upper, days, len(y), float(x.max()))


def proved(found: SpeedUp) -> bool:
    """Whether a campaign is long and windy enough to stand alone.

    Source: least days, cases and wind (practice).
    """
    return bool(
        found.days >= figure("weather_speed_up_least_days")
        and found.cases >= figure("weather_speed_up_least_cases")
        and found.strongest_mps >= figure("weather_speed_up_least_wind_mps")
    )


def believed_ratio(stated_ratio: float, found: SpeedUp, *, may_lower: bool) -> float:
    """Relief factor that counts: the upper bound of a campaign that is long enough, until then the larger of the two.

    Where it may not lower, always the larger. Never below 1: no shelter is counted. A campaign that says nothing leaves
    the stated factor.
    Source: house rule (practice).
    """
    if may_lower and proved(found):
        return float(np.maximum(1.0, found.upper_ratio))
    return float(np.fmax(stated_ratio, found.upper_ratio))
