"""One question to every source of weather: which starts may go, by what this source says?"""

from typing import NamedTuple

import xarray as xr

from shared.arrays import Array
from transport.window.answer import Answer
from transport.window.clocks import Clock
from transport.window.decision import decide, opine, worst_of
from transport.window.demand import Wind, wind_field
from transport.window.inputs import Decision, Limits
from transport.window.operation import demands_of, steps_of
from transport.window.schedule import Passage

__all__ = ["Question", "answered"]


class Question(NamedTuple):
    """What is asked of every source alike: the stays, the limits at each place, the clock, the starts and the rule.

    factor: the operational factor on every wind limit.
    """

    stays: tuple[Passage, ...]
    places: xr.Dataset
    clocks: tuple[Clock, ...]
    start_s: Array
    limits: Limits
    decision: Decision
    wet_is_closed: bool
    factor: float


def answered(question: Question, weather: xr.Dataset) -> tuple[Answer, Wind]:
    """What the forecast, or a second opinion, says of every start, with its own time steps and its own members.

    weather: the weather at the load by one source; its attribute `role` tells whether it is a second opinion.
    """
    wind = wind_field(
        question.places,
        weather["gust_apparent_mps"].values,
        weather["wind_from_deg"].values,
        spread_deg=float(weather.attrs["direction_spread_deg"]),
        factor=question.factor,
        error_mps=weather["forecast_error_mps"].values if "forecast_error_mps" in weather else None,
    )
    steps, second = steps_of(weather), weather.attrs["role"] == "second_opinion"
    demands = list(demands_of(question.stays, wind, weather, question.limits, wet_is_closed=question.wet_is_closed))
    worst = worst_of(demands, question.clocks, steps, question.start_s, weather.sizes["realization"])
    if second:
        outcome = opine(worst, question.decision)
    else:
        outcome = decide(worst, question.decision, expected_members=question.decision.members_count or 1)
    file = str(weather.attrs["file"])
    return Answer(demands, question.clocks, steps, question.start_s, worst, outcome, file, second), wind
