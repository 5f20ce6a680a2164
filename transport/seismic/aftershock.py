"""The chance of a strong aftershock after an earthquake: why waiting helps more than chains."""

import math
from typing import NamedTuple

from shared.tables import figure

__all__ = ["Magnitude", "Sequence", "aftershock_chance_ratio", "aftershock_count", "california"]

Magnitude = float


class Sequence(NamedTuple):
    """Constants of a region: productivity a, magnitude slope b, decay p, delay c in days."""

    a: float
    b: float
    p: float
    c_days: float


def california() -> Sequence:
    """Generic constants, used where a region has none of its own.

    Source: Reasenberg and Jones 1989 (memory)
    """
    return Sequence(*(figure(f"seismic_aftershock_{name}") for name in Sequence._fields))


def aftershock_count(mainshock: Magnitude, least: Magnitude, first_h: float, last_h: float, region: Sequence) -> float:
    """Expected aftershocks: 10^(a + b (Mm - M)) [(t2 + c)^(1 - p) - (t1 + c)^(1 - p)] / (1 - p), p not 1.

    t1 and t2 count from the mainshock, in days inside the formula.
    Source: Reasenberg and Jones 1989, rate integrated over the window (read)
    """
    power = 1.0 - region.p
    span = (last_h / 24.0 + region.c_days) ** power - (first_h / 24.0 + region.c_days) ** power
    return float(10.0 ** (region.a + region.b * (mainshock - least)) * span / power)


def aftershock_chance_ratio(expected_count: float) -> float:
    """Chance of one or more: P = 1 - exp(-n).

    Source: Poisson (memory)
    """
    return -math.expm1(-expected_count)
