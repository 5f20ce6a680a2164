"""Is the calibrated forecast better than the raw one on days it has not seen? Blocks of whole days are left out."""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from shared.arrays import Array
from shared.tables import figure
from transport.weather.skill.crps import crps_energy_mps, crps_truncated_mps
from transport.weather.skill.emos import Law
from transport.weather.skill.training import Cases, chosen
from transport.weather.skill.truncated import exceedance_ratio, quantile_mps

__all__ = ["COVERAGE", "EVENT_LEVELS", "Judged", "Missed", "fold_of", "judged", "left_out_laws"]

COVERAGE = (0.5, 0.8, 0.95)
EVENT_LEVELS = (0.5, 0.75, 0.9, 0.95)
PIT_BINS = 10


class Missed(NamedTuple):
    """An event "the gust lies above the threshold": how often it came, and how often no member had foreseen it."""

    threshold_mps: float
    exceeded: int
    missed_raw: int
    missed_calibrated: int


class Judged(NamedTuple):
    """Scores of the forecasts of days that were left out; PIT counts in equal bins, coverage of central intervals.

    above_*: share of the cases in which the mast was above the highest member; promised: 1 / (members + 1).
    """

    cases: int
    folds: int
    crps_raw_mps: float
    crps_calibrated_mps: float
    pit_counts: tuple[int, ...]
    coverage_ratio: tuple[float, ...]
    above_raw_ratio: float
    above_calibrated_ratio: float
    promised_ratio: float
    events: tuple[Missed, ...]

    @property
    def worse(self) -> tuple[str, ...]:
        """Why the calibrated forecast is not to be used; nothing if it is better.

        It must have the lower CRPS, and it must not miss more events than the raw one unless the mast is above its
        highest member no more often than it promises.
        """
        found = []
        if not self.crps_calibrated_mps < self.crps_raw_mps:
            scores = f"{self.crps_calibrated_mps:.3f} m/s, of the raw one {self.crps_raw_mps:.3f} m/s"
            found.append(f"on days left out its CRPS is {scores}")
        raw, calibrated = (
            sum(getattr(one, name) for one in self.events) for name in ("missed_raw", "missed_calibrated")
        )
        if not (calibrated <= raw or self.above_calibrated_ratio <= self.promised_ratio):
            found.append(
                f"on days left out it misses {calibrated} events, the raw one {raw}, and the mast is above its highest "
                f"member in {self.above_calibrated_ratio:.1%} of the cases, promised are {self.promised_ratio:.1%}"
            )
        return tuple(found)


def fold_of(day: np.ndarray) -> np.ndarray:
    """Fold of each case: blocks of days in a row, dealt out in turn; all cases of a day fall into one fold.

    So a gust of the mast that several runs were forecast for is never both learned from and judged by.
    Source: blocked cross-validation; calibration_block_days_count, calibration_fold_count (practice).
    """
    _, position = np.unique(day, return_inverse=True)
    block = position // round(figure("calibration_block_days_count"))
    return np.asarray(block % min(round(figure("calibration_fold_count")), int(block.max(initial=0)) + 1))


def left_out_laws(cases: Cases, learn: Callable[[Cases], Callable[[Cases], Law]]) -> Law:
    """Location and scale of every case, from a fit to the other folds."""
    fold = fold_of(cases.day)
    location, scale = np.full(len(fold), np.nan), np.full(len(fold), np.nan)
    for number in np.unique(fold):
        here = fold == number
        law = learn(chosen(cases, ~here))(chosen(cases, here))
        location[here], scale[here] = law.location_mps, law.scale_mps
    return Law(location, scale)


def judged(cases: Cases, law: Law) -> Judged:
    """Compare calibrated and raw forecasts with the mast.

    Events: gusts above several quantiles of what was observed; an event is missed if no member lay above it, of the
    calibrated forecast the quantile that its highest member would get, m / (m + 1).
    Source: CRPS and PIT by their definitions; the lost event is the dangerous one (practice).
    """
    observed, members = cases.observed_mps, cases.gust_mps.shape[1]
    pit = 1.0 - exceedance_ratio(law.location_mps, law.scale_mps, observed)
    counts = np.histogram(pit, bins=PIT_BINS, range=(0.0, 1.0))[0]
    highest = quantile_mps(law.location_mps, law.scale_mps, np.full(len(observed), members / (members + 1.0)))
    raw = cases.gust_mps.max(axis=1)
    return Judged(
        cases=len(observed),
        folds=len(np.unique(fold_of(cases.day))),
        crps_raw_mps=float(np.mean(crps_energy_mps(cases.gust_mps, observed))),
        crps_calibrated_mps=float(np.mean(crps_truncated_mps(law.location_mps, law.scale_mps, observed))),
        pit_counts=tuple(int(count) for count in counts),
        coverage_ratio=tuple(float(np.mean(np.abs(pit - 0.5) <= part / 2.0)) for part in COVERAGE),
        above_raw_ratio=float(np.mean(observed > raw)),
        above_calibrated_ratio=float(np.mean(observed > highest)),
        promised_ratio=1.0 / (members + 1.0),
        events=tuple(_missed(level, observed, raw, highest) for level in EVENT_LEVELS),
    )


def _missed(level: float, observed: Array, raw: Array, calibrated: Array) -> Missed:
    threshold = float(np.quantile(observed, level))
    over = observed > threshold
    lost_raw, lost_calibrated = (int(np.sum(over & (highest <= threshold))) for highest in (raw, calibrated))
    return Missed(threshold, int(over.sum()), lost_raw, lost_calibrated)
