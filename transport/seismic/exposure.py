"""The chance that an earthquake level is exceeded while the load is on the road."""

import math

from shared.ranges import require
from shared.tables import figure

__all__ = [
    "HOURS_PER_YEAR",
    "chance_ratio",
    "construction_return_period_years",
    "return_period_years",
]

HOURS_PER_YEAR = 8766.0
Exponent = float
PHASE = "range of EN 1998-2 annex A; a level is not computed from the hours of one move"


def chance_ratio(exposure_h: float, return_period_years: float) -> float:
    """Chance of one or more exceedances: P = 1 - exp(-t / TR), Poisson, no recent earthquake.

    Source: JCSS Probabilistic Model Code, earthquake, expression (2.17.8) (read)
    """
    return -math.expm1(-exposure_h / HOURS_PER_YEAR / return_period_years)


def return_period_years(
    acceleration_mps2: float, reference_mps2: float, reference_years: float, exponent: Exponent
) -> float:
    """Return period of another acceleration: TR = TR_ref (a / a_ref)^k, for a / a_ref from 0.1 to 2.

    Source: power law of hazard, EN 1998-1:2004, 2.1(4) note (memory)
    """
    ratio = acceleration_mps2 / reference_mps2
    require(ratio, 0.1, 2.0, name="acceleration over reference", what="range of one hazard exponent")
    return float(reference_years * ratio**exponent)


def construction_return_period_years(duration_years: float) -> float:
    """Return period for a construction phase: TRc = tc / p with p = 0.05, for phases of one year or more.

    Shorter phases are refused: they would ask for return periods that no hazard study covers.
    Source: EN 1998-2:2005, annex A (memory)
    """
    require(duration_years, 1.0, 100.0, name="duration_years", what=PHASE)
    return duration_years / figure("seismic_construction_chance_ratio")
