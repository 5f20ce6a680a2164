"""What one source of weather answers for every start, in words: what settles it, where, when, and by how much."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from shared.arrays import Array
from transport.window.clocks import Clock
from transport.window.decision import Outcome, Worst
from transport.window.demand import Demand
from transport.window.overlap import Steps, largest_at

__all__ = ["Answer", "Found"]


class Found(NamedTuple):
    """A check that bites: its name, stage, station, end of the step in seconds (NaN if none), words, utilisation.

    `feed` is the source of weather that it was met in, nothing for a check of the clock.
    """

    name: str
    stage: str
    station_m: float
    when_s: float
    words: str
    utilisation: float
    feed: str = ""


@dataclass(frozen=True)
class Answer:
    """All checks of all starts with the decision they lead to by one feed; words of a second opinion name it."""

    demands: Sequence[Demand]
    clocks: Sequence[Clock]
    steps: Steps
    start_s: Array
    worst: Worst
    outcome: Outcome
    feed: str = ""
    second: bool = False

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

    def _found(self, number: int, check: int, member: int) -> Found:
        if check >= len(self.demands):
            clock = self.clocks[check - len(self.demands)]
            value = float(clock.utilisation[number])
            return Found(clock.name, clock.stage, np.nan, float(clock.when_s[number]), clock.words, value)
        demand = self.demands[check]
        series = demand.utilisation[:, :, member]
        where = largest_at(series, demand.stay, self.steps, float(self.start_s[number]))
        if where is None:
            words = self._by("the forecast does not reach that far")
            return Found("forecast", demand.stage, float(demand.station_m[0]), np.nan, words, np.nan, self.feed)
        place, step = where
        name, words = demand.told(place, step, member)
        when_s, value = float(self.steps.end_s[step]), float(series[place, step])
        return Found(name, demand.stage, float(demand.station_m[place]), when_s, self._by(words), value, self.feed)

    def _by(self, words: str) -> str:
        return f"{self.feed}: {words}" if self.second else words
