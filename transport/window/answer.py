"""The answer for every start, in numbers and in words: what settles it, where, when, and by how much."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import xarray as xr

from shared.arrays import Array
from shared.datasets import dataset
from transport.window.clocks import Clock
from transport.window.decision import Outcome, Worst
from transport.window.demand import Demand
from transport.window.overlap import Steps, largest_at

__all__ = ["Answer", "Found"]


class Found(NamedTuple):
    """A check that bites: its name, stage, station, end of the step in seconds (NaN if none), words, utilisation."""

    name: str
    stage: str
    station_m: float
    when_s: float
    words: str
    utilisation: float


@dataclass(frozen=True)
class Answer:
    """All checks of all starts with the decision they lead to."""

    demands: Sequence[Demand]
    clocks: Sequence[Clock]
    steps: Steps
    start_s: Array
    worst: Worst
    outcome: Outcome

    def settling(self, number: int) -> Found:
        """The check that settles one start."""
        return self._found(number, int(self.outcome.check[number]), int(self.outcome.member[number]))

    def over(self, number: int) -> Iterator[Found]:
        """Every check that is over its limit, or not known, at one start in the member that settles it."""
        member = int(self.outcome.member[number])
        for check in range(len(self.demands) + len(self.clocks)):
            found = self._found(number, check, member)
            if not found.utilisation <= 1.0:
                yield found

    def table(self, finish_s: float) -> xr.Dataset:
        """The starts as a Dataset. Shapes: all (start)."""
        found = [self.settling(number) for number in range(self.start_s.size)]
        outcome = self.outcome
        return dataset(
            {
                "verdict": ("start", outcome.verdict),
                "utilisation_ratio": ("start", outcome.utilisation),
                "chance_ratio": ("start", outcome.chance),
                "margin_ratio": ("start", 1.0 - outcome.utilisation),
                "governed_by": ("start", np.array([one.name for one in found])),
                "governing_stage": ("start", np.array([one.stage for one in found])),
                "governing_station_m": ("start", np.array([one.station_m for one in found])),
                "governing_time": ("start", _moments(np.array([one.when_s for one in found]))),
                "governing_words": ("start", np.array([one.words for one in found])),
                "finished_by": ("start", _moments(self.start_s + finish_s)),
            },
            {"start": _moments(self.start_s)},
        )

    def _found(self, number: int, check: int, member: int) -> Found:
        if check >= len(self.demands):
            clock = self.clocks[check - len(self.demands)]
            value = float(clock.utilisation[number])
            return Found(clock.name, clock.stage, np.nan, float(clock.when_s[number]), clock.words, value)
        demand = self.demands[check]
        series = demand.utilisation[:, :, member]
        where = largest_at(series, demand.stay, self.steps, float(self.start_s[number]))
        if where is None:
            words = "the forecast does not reach that far"
            return Found("forecast", demand.stage, float(demand.station_m[0]), np.nan, words, np.nan)
        place, step = where
        name, words = demand.told(place, step, member)
        when_s, value = float(self.steps.end_s[step]), float(series[place, step])
        return Found(name, demand.stage, float(demand.station_m[place]), when_s, words, value)


def _moments(time_s: Array) -> np.ndarray[tuple[int], np.dtype[np.datetime64]]:
    """Seconds since the epoch as times; NaN is no time."""
    known = np.isfinite(time_s)
    times = np.where(known, time_s, 0.0).astype("datetime64[s]").astype("datetime64[ns]")
    times[~known] = np.datetime64("NaT")
    return times
