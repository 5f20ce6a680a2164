"""What a forecast is worth to somebody who can stay at home at a cost C, or go and risk a loss L > C.

Expenses are a mean per case, in units of the loss; the cost ratio is C / L. The user states C and L; the tool knows
neither. What is lost here cannot be bought again, so a cap on the chance holds whatever the ratio says.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from shared.arrays import Array
from transport.weather.skill.contingency import Table

__all__ = [
    "Best",
    "best",
    "climate_expense_ratio",
    "expense_ratio",
    "least_chance_ratio",
    "perfect_expense_ratio",
    "value_ratio",
]


class Best(NamedTuple):
    """For each cost ratio the chance to act upon that would have paid best on these cases, and the value it gave."""

    act_above_ratio: Array
    value_ratio: Array


def least_chance_ratio(cost_ratio: Array, cap_ratio: float) -> Array:
    """Chance above which to stay at home.

    p* = min(C / L, cap).      Source: cost-loss model as at everything.explained.today (read); the cap is practice.
    """
    return np.minimum(cost_ratio, cap_ratio)


def expense_ratio(counts: Table, cost_ratio: Array) -> Array:
    """Mean expense of who acts upon the warnings.

    E = [(a + b) C/L + c] / n.      Source: relative value at cawcr.gov.au (read).
    """
    return np.asarray(((counts.hits + counts.false_alarms) * cost_ratio + counts.misses) / _cases(counts))


def climate_expense_ratio(counts: Table, cost_ratio: Array) -> Array:
    """Mean expense of who knows only how often it happens: always or never at home, whichever is cheaper.

    E = min(C/L, s), s = (a + c) / n.      Source: relative value at cawcr.gov.au (read).
    """
    return np.minimum(cost_ratio, (counts.hits + counts.misses) / _cases(counts))


def perfect_expense_ratio(counts: Table, cost_ratio: Array) -> Array:
    """Mean expense of who knows what comes.

    E = s C/L.      Source: relative value at cawcr.gov.au (read).
    """
    return np.asarray((counts.hits + counts.misses) / _cases(counts) * cost_ratio)


def value_ratio(counts: Table, cost_ratio: Array) -> Array:
    """Share of what a perfect forecast would save that this one saves: 1 perfect, 0 worthless, below 0 harmful.

    V = (E_climate - E) / (E_climate - E_perfect); NaN where there is nothing to save, as where nothing happened.
    Valid: 0 < C/L < 1.      Source: Richardson 2000, Q. J. R. Meteorol. Soc. 126, as at cawcr.gov.au (read).
    """
    climate = climate_expense_ratio(counts, cost_ratio)
    saved, savable = climate - expense_ratio(counts, cost_ratio), climate - perfect_expense_ratio(counts, cost_ratio)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(savable > 0.0, saved / savable, np.nan)


def best(chance_ratio: Array, event: NDArray[np.bool_], cost_ratio: Array, cap_ratio: float) -> Best:
    """The chance to act upon that would have paid best, and never one above the cap.

    Acts where the chance is above it; of equals the lowest, which is the most careful. It is found on the cases that
    it is then judged by, so that it flatters.      Shapes: (case,), (case,) and (ratio,) to (ratio,).
    """
    below = np.unique(np.append(chance_ratio[chance_ratio <= cap_ratio], [0.0, cap_ratio]))
    tried = np.insert(below, 0, -1.0)
    values = value_ratio(_tables(chance_ratio, event, tried), cost_ratio)
    order = np.where(np.isnan(values), -np.inf, values).argmax(axis=0)
    known = ~np.isnan(values[0])
    return Best(np.where(known, tried[order], np.nan), values[order, np.arange(cost_ratio.size)])


def _tables(chance_ratio: Array, event: NDArray[np.bool_], above_ratio: Array) -> Table:
    """One table for each chance to act upon, of shape (tried, 1)."""

    def higher(chances: Array) -> Array:
        return (chances.size - np.searchsorted(np.sort(chances), above_ratio, side="right")).astype(float)[:, None]

    hits, false_alarms = higher(chance_ratio[event]), higher(chance_ratio[~event])
    return Table(hits, false_alarms, event.sum() - hits, (~event).sum() - false_alarms)


def _cases(counts: Table) -> Array:
    return sum(counts, np.asarray(0.0))
