"""The limit rose reduced for the eye: pools of stations, classes of limits, runs of equal neighbours."""

from collections.abc import Iterator
from itertools import groupby, pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from shared.arrays import Array
from shared.assessment import Assessment
from transport.reports.notation import gust, letter, one_line
from transport.reports.states import worst

__all__ = ["Cells", "Run", "cells", "levels_mps", "one_valued", "runs", "shade"]

COLUMNS = 48


class Cells(NamedTuple):
    """The rose reduced for the eye: least limit and its letter per pool of stations (columns) and direction (rows)."""

    edges_m: Array
    wind_from_deg: Array
    limit_mps: Array
    letters: NDArray[np.str_]


class Run(NamedTuple):
    """Neighbouring cells of one direction with the same class and the same check."""

    wind: int
    begin: int
    end: int
    shade: str
    letter: str
    limit_mps: float


def cells(result: Assessment) -> Cells:
    """Reduce the rose: least limit of each pool of stations, unknown where any is unknown; nothing is averaged."""
    rose = result.rose.transpose("limit_state", "station", "wind_from", missing_dims="ignore")
    limits, names = rose["gust_limit_mps"].values, rose["governed_by"].values
    letters = {one_line(name): letter(order) for order, name in enumerate(rose["limit_state"].values)}
    count = min(COLUMNS, limits.shape[0])
    edges = np.linspace(0, limits.shape[0], count + 1).round().astype(int)
    least, marks = np.empty((count, limits.shape[1])), np.empty((count, limits.shape[1]), dtype="U3")
    for pool, (begin, end) in enumerate(pairwise(edges)):
        for wind in range(limits.shape[1]):
            row = begin + worst(limits[begin:end, wind])
            least[pool, wind], marks[pool, wind] = limits[row, wind], letters.get(one_line(names[row, wind]), "?")
    station = np.append(rose["station"].values, rose["station"].values[-1])
    return Cells(station[edges], rose["wind_from"].values.astype(float), least, marks)


def one_valued(result: Assessment) -> str:
    """A sentence instead of a rose in which every cell holds the same limit by the same check; else nothing."""
    limits = result.rose["gust_limit_mps"].values
    names = {one_line(name) for name in np.unique(result.rose["governed_by"].values)}
    if not limits.size or limits.max() != limits.min() or len(names) != 1:
        return ""
    return f"At every place and for every wind direction: {gust(float(limits.max()))}, governed by {names.pop()}."


def levels_mps(made: Cells) -> list[float]:
    """Edges of five classes between the least and the greatest finite limit."""
    finite = made.limit_mps[np.isfinite(made.limit_mps) & (made.limit_mps > 0)]
    if not finite.size:
        return []
    low, high = np.floor(finite.min()), np.ceil(finite.max())
    return [float(value) for value in np.linspace(low, max(high, low + 1.0), 6)]


def shade(limit_mps: float, levels: list[float]) -> str:
    """The class of a limit: c0 (lowest) to c4, closed, unknown, or free of any limit."""
    if np.isnan(limit_mps):
        return "unknown"
    if limit_mps <= 0:
        return "closed"
    if np.isinf(limit_mps):
        return "free"
    return f"c{int(np.clip(np.searchsorted(levels, limit_mps, side='right') - 1, 0, 4))}"


def runs(made: Cells) -> Iterator[Run]:
    """All runs, direction by direction."""
    levels = levels_mps(made)
    for wind, row in enumerate(made.limit_mps.T):
        kinds = [(shade(value, levels), mark) for value, mark in zip(row, made.letters[:, wind], strict=True)]
        begin = 0
        for count, (kind, mark) in _counted(kinds):
            end = begin + count
            yield Run(wind, begin, end, kind, mark, float(row[begin + worst(row[begin:end])]))
            begin = end


def _counted(kinds: list[tuple[str, str]]) -> Iterator[tuple[int, tuple[str, str]]]:
    for kind, group in groupby(kinds):
        yield len(list(group)), kind
