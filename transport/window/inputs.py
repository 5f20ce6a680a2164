"""The whole move as one model: the tables of move.toml, each from the package that knows it."""

from datetime import date
from typing import Literal, Self

from pydantic import Field, model_validator

from routes.inputs import Route
from shared.inputs import Model, practice
from transport.cover.inputs import Cover, Mirror
from transport.securing.inputs import Anchor, Chain, Contact, Securing, Unit
from transport.seismic.inputs import Seismic
from transport.stopping.inputs import Tractor
from transport.trailer.inputs import Trailer
from transport.weather.inputs import Site, Weather
from transport.window.proposal_inputs import Available

__all__ = ["Decision", "Header", "Limits", "Move", "Stage"]


class Header(Model):
    """Who moves what, and which way along the survey."""

    name: str = Field(min_length=1, max_length=120)
    organisation: str = Field(min_length=1, max_length=120)
    leg: Literal["out", "return"]
    prepared_by: str = Field(min_length=1, max_length=120)
    prepared_on: date


class Stage(Model):
    """One stage of the operation: standing at an end of the road, or driving it.

    `measures_tension`: the cover's tension is measured in this stage, and the move goes on only if it lies between the
    least and the largest that the move states.
    """

    name: str = Field(min_length=1, max_length=60)
    kind: Literal["stand", "drive"]
    place: Literal["start", "end"] | None = None
    duration_h: float | None = Field(None, gt=0, le=72)
    contingency_h: float | None = Field(None, ge=0, le=72)
    contingency_ratio: float | None = Field(None, ge=0, le=10)
    cover: Literal["on", "off"] = "on"
    gust_limit_mps: float | None = Field(None, gt=0, le=40)
    daylight: bool
    measures_tension: bool = False

    @model_validator(mode="after")
    def _complete(self) -> Self:
        stand = self.kind == "stand"
        wanted = ("place", "duration_h", "contingency_h") if stand else ("contingency_ratio",)
        refused = ("contingency_ratio",) if stand else ("place", "duration_h", "contingency_h")
        if lacking := [name for name in wanted if getattr(self, name) is None]:
            raise ValueError(f"a {self.kind} stage needs {' and '.join(lacking)}")
        if extra := [name for name in refused if getattr(self, name) is not None]:
            raise ValueError(f"a {self.kind} stage takes no {' and no '.join(extra)}")
        return self

    @model_validator(mode="after")
    def _uncovered(self) -> Self:
        if self.cover == "off" and self.kind == "drive":
            raise ValueError('the mirror is not driven without its cover; set cover = "on"')
        if self.cover == "off" and self.gust_limit_mps is None:
            raise ValueError("a stage without the cover needs gust_limit_mps, from the plate of the lifting equipment")
        if self.cover == "off" and self.measures_tension:
            raise ValueError("no tension can be measured on a cover that is off")
        return self


class Limits(Model):
    """Limits in time only; a limit that is left out is not checked and the report says so."""

    precipitation_mm_per_h: float | None = Field(None, ge=0, le=50)
    dew_margin_K: float | None = Field(None, ge=0, le=20)
    visibility_m: float | None = Field(None, gt=0, le=20000)
    lowest_air_temperature_c: float | None = Field(None, ge=-40, le=30)


class Decision(Model):
    """The one allowance for forecast error: an acceptable chance from the ensemble, or a factor on the limit.

    `members_count` is what the provider delivers: a member that is missing counts as over the limit. A factor is stated
    (`alpha_ratio`) or fitted to a mast (`alpha = "fitted"`, with the acceptable chance; see [weather.calibration]).
    """

    rule: Literal["ensemble", "alpha"]
    acceptable_chance_ratio: float | None = Field(None, gt=0, le=0.5)
    confidence_ratio: float | None = Field(None, ge=0.5, lt=1)
    members_count: int | None = Field(None, ge=1, le=1000)
    alpha_ratio: float | None = Field(None, gt=0, lt=1)
    alpha: Literal["fitted"] | None = None
    control_realization: int | None = Field(None, ge=0, le=10000)
    start_every_min: int = practice(10, "fine enough for a walking-pace move", ge=1, le=360)
    earliest_ratio: float = practice(0.8, "crews may be faster than planned", gt=0, le=1)
    cell_m: float = practice(30.0, "a place on the road as the driver sees it", ge=5, le=200)

    @model_validator(mode="after")
    def _one_rule(self) -> Self:
        ensemble = ("acceptable_chance_ratio", "confidence_ratio", "members_count")
        alpha = ("alpha_ratio", "control_realization")
        wanted, refused = (ensemble, (*alpha, "alpha")) if self.rule == "ensemble" else (alpha, ensemble)
        if self.rule == "alpha" and self.alpha is not None:
            wanted, refused = ("acceptable_chance_ratio", "control_realization"), (*ensemble[1:], "alpha_ratio")
        if lacking := [name for name in wanted if getattr(self, name) is None]:
            raise ValueError(f"the {self.rule} rule needs {' and '.join(lacking)}")
        if extra := [name for name in refused if getattr(self, name) is not None]:
            raise ValueError(f"the {self.rule} rule takes no {' and no '.join(extra)}; allow for forecast error once")
        return self


class Move(Model):
    """A complete move.toml."""

    move: Header
    mirror: Mirror
    unit: Unit
    cover: Cover
    trailer: Trailer
    tractor: Tractor
    securing: Securing
    chain: tuple[Chain, ...] = Field(min_length=1, max_length=64)
    contact: tuple[Contact, ...] = Field(min_length=3, max_length=64)
    anchor: tuple[Anchor, ...] = Field((), max_length=64)
    available: Available = Available()
    route: Route
    site: Site
    seismic: Seismic
    weather: Weather
    stage: tuple[Stage, ...] = Field(min_length=1, max_length=40)
    limits: Limits
    decision: Decision

    @model_validator(mode="after")
    def _stages(self) -> Self:
        drives = [number for number, stage in enumerate(self.stage) if stage.kind == "drive"]
        if len(drives) != 1:
            raise ValueError(f"the stages hold {len(drives)} drives, allowed exactly 1; split it with hold points")
        order = {"start": "before", "end": "after"}
        for number, stage in enumerate(self.stage):
            expected = "start" if number < drives[0] else "end"
            if stage.kind == "stand" and stage.place != expected:
                raise ValueError(f"stage '{stage.name}' comes {order[expected]} the drive; its place is the {expected}")
        names = [stage.name for stage in self.stage]
        if doubled := sorted({name for name in names if names.count(name) > 1}):
            raise ValueError(f"two stages are called '{doubled[0]}'; give each its own name")
        return self

    @model_validator(mode="after")
    def _error_once(self) -> Self:
        fitted, calibrated = self.decision.alpha is not None, self.weather.calibration is not None
        if fitted and not calibrated:
            raise ValueError(
                'decision.alpha = "fitted" needs [weather.calibration] with the file of glasshaul calibrate'
            )
        if self.decision.alpha_ratio is not None and calibrated:
            raise ValueError(
                "[weather.calibration] and decision.alpha_ratio both allow for forecast error; allow for it once: take "
                'the calibration away, or write alpha = "fitted", or take the ensemble rule'
            )
        return self

    @model_validator(mode="after")
    def _mirror_in_unit(self) -> Self:
        if not self.mirror.mass_t < self.unit.mass_t:
            raise ValueError(
                f"the mirror ({self.mirror.mass_t:g} t) is not lighter than the unit of mirror, cell and carriage "
                f"({self.unit.mass_t:g} t); weigh the unit"
            )
        return self
