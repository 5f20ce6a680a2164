"""What `glasshaul calibrate` has learned, as the file calibration.json holds it (schema calibration/1)."""

from datetime import date, datetime
from pathlib import Path
from typing import Literal, Self

from pydantic import ConfigDict, Field, model_validator

from shared.inputs import Model
from shared.learned import load_learned

__all__ = [
    "Basis",
    "Calibration",
    "ErrorFit",
    "Event",
    "Input",
    "LeadFit",
    "Mast",
    "Scores",
    "SectorFit",
    "load",
]


class Input(Model):
    """A file that was learned from, with its SHA-256."""

    path: str
    sha256: str = Field(pattern=r"^[0-9a-f]{64}$")


class Mast(Model):
    """Where the gusts were measured."""

    name: str
    longitude_deg: float = Field(ge=-180, le=180)
    latitude_deg: float = Field(ge=-90, le=90)
    elevation_m: float = Field(ge=-500, le=9000)
    height_m: float = Field(ge=1.5, le=60)


class Basis(Model):
    """What makes the forecast gust before relief the quantity that was learned from: model and options.

    `model_altitude_m`: ground of the forecast model at the mast, the fingerprint of the model; None if it is not known.
    """

    gust_kind: str
    resolves_relief: bool
    estimates_gust: bool
    model_altitude_m: float | None
    terrain_category: str
    minimum_gust_ratio: float
    convective_gust_mps: float
    height_reduction_measured: bool
    maximum_step_h: float
    step_low_h: float
    step_high_h: float
    members_count: int


class SectorFit(Model):
    """Coefficients of one wind sector (None: all directions together) and how far its cases reach."""

    sector_deg: tuple[float, float] | None
    a_mps: float
    b_ratio: float = Field(ge=0)
    c_m2_per_s2: float = Field(gt=0)
    d_ratio: float = Field(ge=0)
    cases: int = Field(ge=1)
    days: int = Field(ge=1)
    mean_low_mps: float = Field(ge=0)
    mean_high_mps: float = Field(ge=0)
    spread_high_mps: float = Field(ge=0)
    observed_low_mps: float = Field(ge=0)
    observed_high_mps: float = Field(ge=0)


class Event(Model):
    """Gusts above a threshold on days left out: how many came, and how many no member had foreseen."""

    threshold_mps: float
    exceeded: int
    missed_raw: int
    missed_calibrated: int


class Scores(Model):
    """Forecasts of days left out against the mast, raw and calibrated."""

    cases: int
    folds: int
    crps_raw_mps: float
    crps_calibrated_mps: float
    pit_counts: tuple[int, ...]
    coverage_ratio: tuple[float, ...]
    above_raw_ratio: float
    above_calibrated_ratio: float
    promised_ratio: float
    events: tuple[Event, ...]


class LeadFit(Model):
    """One class of lead times: its fits, the sectors whose wind was seen often enough, its scores, may it be used."""

    lead_from_h: float
    lead_until_h: float
    usable: bool
    together: SectorFit | None = None
    sectors: tuple[SectorFit, ...] = ()
    seen: tuple[bool, ...] = ()
    scores: Scores | None = None
    said: tuple[str, ...] = ()


class ErrorFit(Model):
    """Error of the control member in one class of lead times; quantiles_mps belong to the levels of the factor."""

    lead_from_h: float
    lead_until_h: float
    cases: int
    days: int
    mean_mps: float
    sigma_mps: float = Field(ge=0)
    sigma_bound_mps: float = Field(ge=0)
    forecast_high_mps: float
    quantiles_mps: tuple[float, ...] = Field(min_length=10, max_length=10)


class Calibration(Model):
    """A whole calibration.json."""

    model_config = ConfigDict(populate_by_name=True)

    schema_name: Literal["calibration/1"] = Field(alias="schema")
    version: str
    as_of: datetime
    mast: Mast
    basis: Basis
    runs: int
    cases: int
    dropped: dict[str, int]
    trained_from: date
    trained_until: date
    lead_class_h: float = Field(gt=0)
    sector_deg: float = Field(gt=0)
    leads: tuple[LeadFit, ...]
    control_realization: int | None = None
    errors: tuple[ErrorFit, ...] = ()
    inputs: tuple[Input, ...]

    @model_validator(mode="after")
    def _complete(self) -> Self:
        count = round(360.0 / self.sector_deg)
        if any(lead.usable and (lead.together is None or len(lead.seen) != count) for lead in self.leads):
            raise ValueError("a class of lead times is usable but has no fit, or not every sector")
        return self

    @property
    def usable(self) -> bool:
        """Whether any class of lead times may calibrate an ensemble."""
        return any(lead.usable for lead in self.leads)


def load(path: Path) -> Calibration:
    """Read a calibration.

    Errors: InputError if the file is missing, too large, no calibration of this schema, or was changed by hand.
    """
    return load_learned(path, Calibration, "calibration", "calibrate")
