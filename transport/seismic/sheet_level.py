"""Calculation lines of the level: ground acceleration, return period, chance."""

from collections.abc import Iterator

from shared.calculation import Line
from shared.tables import figure
from transport.seismic.demand import Demand
from transport.seismic.exposure import HOURS_PER_YEAR, chance_ratio, construction_return_period_years
from transport.seismic.inputs import Seismic

__all__ = ["level"]

CHECK = "earthquake level"


def level(chosen: Seismic, found: Demand, checked_years: float, exposure_h: float) -> Iterator[Line]:
    """From the hazard study to the surface, and the chance of more."""
    yield _surface(chosen, found)
    yield _period(chosen, checked_years)
    yield _chance(checked_years, exposure_h, "one move", 1)
    yield _chance(checked_years, exposure_h, "all planned moves", chosen.planned_moves)
    yield _phase()


def _surface(chosen: Seismic, found: Demand) -> Line:
    return Line(
        check=CHECK,
        title="Acceleration at the surface, horizontal and vertical, topography on both",
        formula="a = gamma_I a_(g R) S S_T, quad a_v = gamma_I a_(g R) v S_T",
        spoken="a = gamma_I agR S ST; av = gamma_I agR v ST",
        values=(
            ("a_(g R)", chosen.reference_acceleration_mps2, "m/s2", "seismic.reference_acceleration_mps2"),
            ("gamma_I", chosen.importance_factor_ratio, "", "seismic.importance_factor_ratio"),
            ("S", found.horizontal.factor_ratio, "", "soil factor of the ground type"),
            ("v", found.vertical.factor_ratio, "", "a_vg / a_g of the spectrum type"),
            ("S_T", chosen.topography_factor_ratio, "", "seismic.topography_factor_ratio"),
            ("a_v", found.vertical_peak_mps2, "m/s2", "vertical"),
        ),
        result=("a", found.horizontal_peak_mps2, "m/s2"),
        source="EN 1998-1:2004; EN 1998-5:2004",
        clause="3.2.1(3), tables 3.2 to 3.4; annex A",
        status="memory",
    )


def _period(chosen: Seismic, checked_years: float) -> Line:
    return Line(
        check=CHECK,
        title="Return period of the level with its importance factor",
        formula="T_R = T_0 gamma_I^k",
        spoken="TR = T0 gamma_I^k",
        values=(
            ("T_0", chosen.return_period_years, "years", "seismic.return_period_years"),
            ("gamma_I", chosen.importance_factor_ratio, "", "seismic.importance_factor_ratio"),
            ("k", chosen.hazard_exponent, "", "seismic.hazard_exponent"),
        ),
        result=("T_R", checked_years, "years"),
        source="EN 1998-1:2004",
        clause="2.1(4), note",
        status="memory",
    )


def _chance(checked_years: float, exposure_h: float, moves: str, moves_count: int) -> Line:
    return Line(
        check=CHECK,
        title=f"Chance that the level is exceeded on the road, {moves}; no recent earthquake assumed",
        formula="P = 1 - exp(-(N t) / (Y T_R))",
        spoken="P = 1 - exp(-N t / (Y TR))",
        values=(
            ("N", float(moves_count), "", "moves"),
            ("t", exposure_h, "h", "time on the road, one move"),
            ("T_R", checked_years, "years", "return period, line above"),
            ("Y", HOURS_PER_YEAR, "h", "hours in a year"),
        ),
        result=("P", chance_ratio(moves_count * exposure_h, checked_years), ""),
        source="JCSS Probabilistic Model Code, earthquake",
        clause="(2.17.8)",
        status="read",
    )


def _phase() -> Line:
    return Line(
        check=CHECK,
        title="Least return period accepted here: a construction phase of one year; not computed from hours",
        formula="T_(R c) = t_c / p",
        spoken="TRc = tc / p",
        values=(
            ("t_c", 1.0, "years", "shortest phase"),
            ("p", figure("seismic_construction_chance_ratio"), "", "accepted chance in the phase"),
        ),
        result=("T_(R c)", construction_return_period_years(1.0), "years"),
        source="EN 1998-2:2005",
        clause="annex A",
        status="memory",
    )
