"""The earthquake level that somebody chose for this move: table [seismic] of move.toml."""

from datetime import date
from typing import Literal

from pydantic import Field, field_validator

from shared.inputs import Model, quantity
from transport.seismic.exposure import construction_return_period_years

__all__ = ["Seismic"]

SHORTEST_PHASE_YEARS = 1.0
NAMED = "chosen by a person; the tool only evaluates"


class Seismic(Model):
    """Level to check, ground, and who chose the level."""

    reference_acceleration_mps2: float = quantity(gt=0, le=15, help="a_gR on rock, from the hazard study of the site")
    return_period_years: float = quantity(gt=0, le=10000, help="return period of that acceleration")
    importance_factor_ratio: float = quantity(ge=0.8, le=1.4, help="EN 1998-1 4.2.5; 1.0 is ordinary")
    spectrum_type: Literal[1, 2] = quantity(help="1 if large, 2 if only moderate earthquakes govern")
    ground_type: Literal["A", "B", "C", "D", "E"] = quantity(help="S1 and S2 need a study of their own")
    topography_factor_ratio: float = quantity(ge=1.0, le=2.0, help="EN 1998-5 annex A; 1.2 to 1.4 on ridges and cliffs")
    hazard_exponent: float = quantity(ge=1.0, le=6.0, help="slope of the hazard curve; about 3, EN 1998-1 2.1(4)")
    planned_moves: int = quantity(ge=1, le=10000, help="moves over the life of the mirror")
    level_chosen_by: str = Field(min_length=1, max_length=120, json_schema_extra={"remedy": NAMED})
    level_chosen_on: date = quantity(help=NAMED)
    source: str = Field(min_length=1, max_length=300, json_schema_extra={"remedy": "name the hazard study"})

    @field_validator("return_period_years")
    @classmethod
    def _not_from_duration(cls, value_years: float) -> float:
        least_years = construction_return_period_years(SHORTEST_PHASE_YEARS)
        if not value_years >= least_years:
            raise ValueError(
                f"is {value_years:g}, allowed from {least_years:g}, which EN 1998-2 annex A gives for a "
                "phase of one year; a level is not computed from the hours of one move: let the safety "
                "officer choose it"
            )
        return value_years
