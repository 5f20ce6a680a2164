"""The tables of a move that judge its forecasts: [weather.verification]."""

from itertools import pairwise
from typing import Self

from pydantic import Field, model_validator

from shared.inputs import Model, practice, quantity

__all__ = ["Stake", "VerificationInputs"]

THRESHOLDS_MPS = (1.0, 60.0)


class Stake(Model):
    """[weather.verification.stake]: what it costs to stay at home, and what is lost where the gust was not foreseen.

    `cap_ratio` holds whatever cost and loss say: what is lost here cannot be bought again.
    """

    cost: float = quantity(gt=0, le=1e12, help="of one postponement, in the currency that the move names")
    loss: float = quantity(gt=0, le=1e15, help="if the limit is passed under way, in the same currency")
    currency: str = quantity(min_length=1, max_length=20, help="unit of cost and loss, for example 'EUR'")
    cap_ratio: float = quantity(gt=0, le=0.5, help="chance above which nobody goes, whatever cost and loss say")

    @model_validator(mode="after")
    def _ordered(self) -> Self:
        if not self.cost < self.loss:
            raise ValueError(
                f"the cost of a postponement ({self.cost:g}) is not below the loss ({self.loss:g}); "
                "then nobody would ever postpone"
            )
        return self


class VerificationInputs(Model):
    """[weather.verification]: which gusts count as events, how leads are classed, and what is at stake.

    Without thresholds the least gust limit of the move is the event.
    """

    thresholds_mps: tuple[float, ...] = Field((), max_length=6)
    lead_edges_h: tuple[float, ...] = practice(
        (0.0, 6.0, 12.0, 24.0, 48.0, 72.0), "hours ahead as a crew plans: today, tonight, tomorrow, the days after"
    )
    stake: Stake | None = None

    @model_validator(mode="after")
    def _sensible(self) -> Self:
        low, high = THRESHOLDS_MPS
        if bad := [value for value in self.thresholds_mps if not low <= value <= high]:
            raise ValueError(f"thresholds_mps holds {bad[0]:g}, allowed {low:g} to {high:g} m/s")
        if not _rising(self.thresholds_mps):
            raise ValueError("thresholds_mps must rise from each to the next")
        if len(self.lead_edges_h) < 2 or self.lead_edges_h[0] < 0.0 or not _rising(self.lead_edges_h):
            raise ValueError("lead_edges_h needs at least two hours, from 0 on, rising from each to the next")
        return self


def _rising(values: tuple[float, ...]) -> bool:
    return all(left < right for left, right in pairwise(values))
