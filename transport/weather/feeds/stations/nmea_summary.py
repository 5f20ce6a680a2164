"""Samples of a fast anemometer summed up: scalar mean, vector direction and highest running mean of each interval."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from shared.arrays import Array
from shared.errors import Fault, InputError
from shared.tables import figure
from transport.weather.feeds.stations.nmea_sentence import Sample
from transport.weather.fields import Instants
from transport.weather.vectors import components_mps, from_direction_deg

__all__ = ["Summary", "running_mps", "summary"]

SLOWEST_S = 1.05


class Summary(NamedTuple):
    """One value an interval, stamped with its end; NaN where too few samples are left."""

    end: Instants
    mean_mps: Array
    gust_mps: Array
    from_deg: Array
    gust_words: str
    remarks: list[str]


def summary(samples: Sequence[Sample], zero_deg: float | None, file: str) -> Summary:
    """Sum up dated samples over intervals (t - 10 min, t]; a sample without speed is one that was lost.

    mean = sum(v) / n; direction of sum(v e); gust = highest 3 s running mean, or highest sample if slower than 1 Hz.
    Errors: InputError for times that go back or span too many intervals.
    Source: ICAO Annex 3, 4.1.3 (read), WMO-No. 8 (memory).
    """
    dated = [sample for sample in samples if sample.at_s == sample.at_s]
    at_s, speed, angle = (np.array([sample[place] for sample in dated], dtype=float) for place in (0, 2, 3))
    if (np.diff(at_s) < 0.0).any():
        at = np.datetime64(int(at_s[int(np.argmax(np.diff(at_s) < 0.0)) + 1]), "s")
        raise InputError(
            Fault(file, "", f"the time {at} UTC lies before that of the sample above it; was the clock set?")
        )
    length_s = 60.0 * figure("weather_summary_min")
    number = np.ceil(at_s / length_s).astype(np.int64)
    first, count = int(number[0]), int(number[-1] - number[0]) + 1
    if count > (limit := round(figure("weather_station_rows"))):
        raise InputError(Fault(file, "", f"spans {count} intervals, allowed are {limit}; is a year wrong?"))
    place = number - first
    end = (np.arange(first, first + count) * round(length_s)).astype("datetime64[s]")
    known = ~np.isnan(speed)
    whole = _whole(at_s, place, known, count, length_s)
    peaks, words = running_mps(at_s[known], speed[known])
    gust = np.full(count, -np.inf)
    np.maximum.at(gust, place[known], peaks)
    total = np.bincount(place[known], speed[known], count)
    with np.errstate(invalid="ignore", divide="ignore"):
        mean = total / np.bincount(place[known], minlength=count)
    from_deg = _direction(place, speed, angle, zero_deg, count)
    lost = int((~whole).sum())
    share = 100.0 * figure("weather_samples_share_ratio")
    remarks = (
        [f"{lost} of {count} intervals have less than {share:g} % of their samples and are unknown"] if lost else []
    )
    mean, gust, from_deg = (np.where(whole, values, np.nan) for values in (mean, gust, from_deg))
    return Summary(end, mean, gust, from_deg, words, remarks)


def _whole(at_s: Array, place: np.ndarray, known: np.ndarray, count: int, length_s: float) -> np.ndarray:
    """Intervals with enough samples: of those that came, of those that came in the fullest one, and without a hole."""
    share = figure("weather_samples_share_ratio")
    came, good = np.bincount(place, minlength=count), np.bincount(place[known], minlength=count)
    ends_s = length_s * (np.ceil(at_s[0] / length_s) + np.arange(count))
    marks_s = np.concatenate([at_s[known], ends_s, [ends_s[0] - length_s]])
    marks_s.sort()
    holes = np.zeros(count)
    behind = np.clip(np.ceil((marks_s[1:] - ends_s[0]) / length_s).astype(np.int64), 0, count - 1)
    np.maximum.at(holes, behind, np.diff(marks_s))
    enough = (good >= share * came) & (good >= share * good.max()) & (good > 0)
    return np.asarray(enough & (holes <= (1.0 - share) * length_s))


def _direction(place: np.ndarray, speed: Array, angle: Array, zero_deg: float | None, count: int) -> Array:
    if zero_deg is None:
        return np.full(count, np.nan)
    told = ~np.isnan(speed) & ~np.isnan(angle)
    east, north = components_mps(speed[told], (angle[told] + zero_deg) % 360.0)
    east_sum, north_sum = (np.bincount(place[told], part, count).astype(np.float64) for part in (east, north))
    return np.where(np.hypot(east_sum, north_sum) > 0.0, from_direction_deg(east_sum, north_sum), np.nan)


def running_mps(at_s: Array, speed_mps: Array) -> tuple[Array, str]:
    """Running 3 s mean that ends with each sample, and words for it.

    (t - 3 s, t]; where samples are lost in those 3 s the highest of them stands; slower than 1 Hz: the sample itself.
    Source: WMO-No. 8 part I chapter 5 (memory); lost samples (practice).
    """
    import pandas as pd

    gust_s = figure("weather_gust_duration_s")
    steps_s = np.diff(at_s)
    close = steps_s[steps_s <= 60.0]
    usual_s = float(close.mean()) if len(close) else np.inf
    if not usual_s <= SLOWEST_S:
        return speed_mps, "gust: the highest sample of each interval; samples come too slowly for a 3 s mean"
    frame = pd.Series(speed_mps, index=pd.to_datetime(np.round(at_s * 1e3), unit="ms"))
    window = frame.rolling(f"{round(1000 * gust_s)}ms")
    full = window.count().to_numpy() >= np.round(gust_s / usual_s)
    return np.where(full, window.mean().to_numpy(), window.max().to_numpy()), f"gust: highest {gust_s:g} s running mean"
