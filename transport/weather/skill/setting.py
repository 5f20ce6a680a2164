"""What a verification is made with: thresholds, classes, least numbers, cost ratios; and results laid side by side."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from shared.arrays import Array
from transport.weather.skill.cases import Cases
from transport.weather.skill.classes import lead_class, lead_names
from transport.weather.skill.issued import Issued

__all__ = ["ALL_LEADS", "COST_RATIOS", "Flags", "Setting", "Variables", "by_lead", "side_by_side"]

ALL_LEADS = "all leads"
COST_RATIOS = np.array([0.001, 0.002, 0.003, 0.005, 0.007, 0.01, 0.02, 0.03, 0.05, 0.07, 0.1, 0.2, 0.3, 0.5, 0.7])


Flags = NDArray[np.bool_]
Variables = dict[str, tuple[tuple[str, ...], Any]]


class Setting(NamedTuple):
    """`least_pairs_count`: below it no score is told; `gap_h`: quiet hours that part two spells of weather.

    `stake`: the cost of a postponement and the loss, in one currency; None where the move states none.
    """

    thresholds_mps: tuple[float, ...]
    lead_edges_h: tuple[float, ...]
    least_pairs_count: float
    gap_h: float
    confidence_ratio: float
    cost_ratios: Array = COST_RATIOS
    cap_ratio: float = 1.0
    stake: tuple[float, float] | None = None


def by_lead(cases: Cases, edges_h: Sequence[float]) -> dict[str, Flags]:
    """Which cases belong to all leads and to each class of them; "other leads" only where there are some."""
    index = lead_class(cases.lead_h, edges_h)
    *inside, other = lead_names(edges_h)
    flags = {ALL_LEADS: np.full(index.shape, True)}
    flags |= {name: index == number for number, name in enumerate(inside)}
    return flags | ({other: index == len(inside)} if (index == len(inside)).any() else {})


def side_by_side(
    score: Callable[[Issued, float], Mapping[str, Any]],
    issued: Mapping[str, Issued],
    thresholds_mps: Sequence[float],
    dims: tuple[str, ...],
) -> Variables:
    """A score of every kind of forecast and threshold, each name as one array (forecast_kind, threshold, *dims)."""
    rows = [[score(one, threshold_mps) for threshold_mps in thresholds_mps] for one in issued.values()]
    names = rows[0][0]
    return {
        name: (("forecast_kind", "threshold", *dims), np.array([[cell[name] for cell in row] for row in rows]))
        for name in names
    }
