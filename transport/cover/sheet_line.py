"""The parts that the calculation lines of the cover share: source, and the inputs that most formulas take."""

from typing import NamedTuple

from scipy.special import jn_zeros

from shared.calculation import Line
from shared.units import STANDARD_GRAVITY_MPS2
from transport.cover.situation import Situation

__all__ = [
    "HENCKY",
    "MEMBRANES",
    "WIND_CLAUSE",
    "WIND_CODE",
    "Rest",
    "Value",
    "air",
    "first_zero",
    "gravity",
    "high",
    "line",
    "low",
    "ring",
]

Value = tuple[str, float, str, str]

MEMBRANES = "theory of membranes"
HENCKY = "circular membrane of Foeppl and Hencky, computed for this tool, as Fichter, NASA TP-3658"
WIND_CODE = "EN 1991-1-4:2005"
WIND_CLAUSE = "4.5, table 7.2, 7.2.9(6)"


class Rest(NamedTuple):
    """Check, origin of the formula, and how well that is known."""

    check: str
    source: str
    clause: str = ""
    status: str = "memory"


def line(
    rest: Rest,
    title: str,
    formula: str,
    spoken: str,
    values: tuple[Value, ...],
    result: tuple[str, float, str],
) -> Line:
    """Build one calculation line, numbers as plain floats."""
    shown = tuple((symbol, float(value), unit, origin) for symbol, value, unit, origin in values)
    outcome = (result[0], float(result[1]), result[2])
    return Line(rest.check, title, formula, spoken, shown, outcome, rest.source, rest.clause, rest.status)


def air(cover: Situation) -> Value:
    """Air density."""
    return ("rho", cover.air_density_kg_per_m3, "kg/m3", "site.air_density_kg_per_m3")


def low(cover: Situation) -> Value:
    """Lowest credible tension."""
    return (
        "T",
        float(cover.tension_low_N_per_m),
        "N/m",
        "tension_min_kN_per_m less thermal_tension_loss_kN_per_m",
    )


def high(cover: Situation) -> Value:
    """Highest credible tension."""
    return ("T", cover.tension_high_N_per_m, "N/m", "tension_max_kN_per_m plus thermal_tension_loss_kN_per_m")


def ring(cover: Situation) -> Value:
    """Radius of the ring."""
    return ("R", cover.radius_m, "m", "cover.radius_m")


def gravity() -> Value:
    """Standard gravity."""
    return ("g", STANDARD_GRAVITY_MPS2, "m/s2", "standard gravity")


def first_zero() -> Value:
    """First zero of the Bessel function of order 0."""
    return ("j_01", float(jn_zeros(0, 1)[0]), "", "first zero of the Bessel function of order 0")
