"""Several sources of weather in one decision: the worse counts.

What settles a start for a second opinion is a floor under every member of the forecast. So a second opinion never turns
no-go into go, nor undecided into go, and one that is no worse than the forecast changes nothing.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from shared.arrays import Array
from shared.datasets import dataset
from transport.window.answer import Answer, Found
from transport.window.decision import Outcome

__all__ = ["Joint", "joined"]

JUST_OVER = float(np.nextafter(np.float32(1), np.float32(2)))


@dataclass(frozen=True)
class Joint:
    """The answers of all sources, the forecast first, the decision they lead to, and which of them settles each start.

    Shapes: by (start), the number of the answer. Member and check of the decision are those of that answer.
    """

    answers: tuple[Answer, ...]
    outcome: Outcome
    by: NDArray[np.intp]

    @property
    def start_s(self) -> Array:
        """The starts, seconds since the epoch."""
        return self.answers[0].start_s

    def settling(self, number: int) -> Found:
        """The check that settles one start."""
        return self.answers[int(self.by[number])].settling(number)

    def over(self, number: int) -> Iterator[Found]:
        """Every check over its limit, or not known, at one start, in the member that settles it by each source."""
        for answer in self.answers:
            yield from answer.over(number)

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
                "governing_feed": ("start", np.array([one.feed for one in found])),
                "governing_stage": ("start", np.array([one.stage for one in found])),
                "governing_station_m": ("start", np.array([one.station_m for one in found])),
                "governing_time": ("start", _moments(np.array([one.when_s for one in found]))),
                "governing_words": ("start", np.array([one.words for one in found])),
                "finished_by": ("start", _moments(self.start_s + finish_s)),
            },
            {"start": _moments(self.start_s)},
        )


def joined(forecast: Answer, opinions: Sequence[Answer]) -> Joint:
    """Let the worse count at each start: no-go before undecided before go, and the largest utilisation.

    What is not known counts as just over the limit; of equals the forecast is named. The chance is what the forecast
    proves, and certainty where a second opinion is worse and passes a limit or does not know.
    Source: house rule, a second opinion counts only against go (practice).
    """
    answers = (forecast, *opinions)
    outcomes = [one.outcome for one in answers]
    used = np.stack([one.utilisation for one in outcomes])
    by = np.where(np.isnan(used), JUST_OVER, used).argmax(axis=0)
    verdicts = np.stack([one.verdict for one in outcomes])
    undecided = np.where((verdicts == "undecided").any(axis=0), "undecided", "go")
    verdict = np.where((verdicts == "no-go").any(axis=0), "no-go", undecided)
    use, member, check = (
        _picked([getattr(one, name) for one in outcomes], by) for name in ("utilisation", "member", "check")
    )
    chance = outcomes[0].chance
    worse = (by > 0) & ~(use <= 1.0) & ~np.isnan(chance)
    return Joint(answers, Outcome(verdict, use, np.where(worse, 1.0, chance), member, check), by)


def _picked(parts: Sequence[NDArray[Any]], by: NDArray[np.intp]) -> NDArray[Any]:
    return np.asarray(np.take_along_axis(np.stack(parts), by[None], axis=0)[0])


def _moments(time_s: Array) -> np.ndarray[tuple[int], np.dtype[np.datetime64]]:
    """Seconds since the epoch as times; NaN is no time."""
    known = np.isfinite(time_s)
    times = np.where(known, time_s, 0.0).astype("datetime64[s]").astype("datetime64[ns]")
    times[~known] = np.datetime64("NaT")
    return times
