"""A mast campaign on a stretch of road with relief: what it measured, its file, and the factor that counts by it."""

from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import Any, Literal, Self

import numpy as np
import xarray as xr
from pydantic import ConfigDict, Field, model_validator

from shared.arrays import Array
from shared.errors import Fault, InputError
from shared.inputs import Model
from shared.learned import load_learned
from shared.tables import figure
from transport.weather.exposure import relief_ratio
from transport.weather.inputs import Relief, Site
from transport.weather.skill.file import Input, Mast
from transport.weather.skill.speed_up import SpeedUp, believed_ratio, in_sector, proved, speed_up

__all__ = ["Estimate", "Measured", "SpeedUps", "believed_site", "load", "measured"]

KINDS = ("mean", "gust")
REMEDY = "make it again with glasshaul speedup"


class Estimate(Model):
    """Speed-up of one kind of wind; None where fewer than two days say anything."""

    ratio: float | None = Field(ge=0, le=20)
    standard_error: float | None = Field(ge=0, le=20)
    upper_ratio: float | None = Field(ge=0, le=50)
    days: int = Field(ge=0)
    cases: int = Field(ge=0)
    strongest_mps: float = Field(ge=0, le=150)

    @model_validator(mode="after")
    def _whole(self) -> Self:
        known = [value is not None for value in (self.ratio, self.standard_error, self.upper_ratio)]
        if any(known) != all(known) or all(known) != (self.days >= 2):
            raise ValueError("ratio, standard_error and upper_ratio are known together, from two days on")
        if self.ratio is not None and self.upper_ratio is not None and not self.upper_ratio >= self.ratio:
            raise ValueError("the upper bound lies below the ratio")
        return self

    @property
    def found(self) -> SpeedUp:
        """The same as plain numbers, NaN where unknown."""
        known = (self.ratio, self.standard_error, self.upper_ratio)
        ratio, error, upper = (np.nan if value is None else value for value in known)
        return SpeedUp(ratio, error, upper, self.days, self.cases, self.strongest_mps)


class Measured(Model):
    """What a campaign found for one [[site.relief]]: mean wind and gust against the forecast of the newest run."""

    relief: str
    wind_from_deg: tuple[float, float]
    mast: Mast
    mean: Estimate
    gust: Estimate
    without_direction: int = Field(ge=0)


class SpeedUps(Model):
    """A whole speed_up.json."""

    model_config = ConfigDict(populate_by_name=True)

    schema_name: Literal["speed-up/1"] = Field(alias="schema")
    version: str
    as_of: datetime
    measured: tuple[Measured, ...] = Field(min_length=1)
    inputs: tuple[Input, ...]

    def told(self) -> dict[str, Any]:
        """The file as a plain object, and for each estimate whether it is long enough to stand alone."""
        plain: dict[str, Any] = self.model_dump(mode="json", by_alias=True)
        for one, row in zip(self.measured, plain["measured"], strict=True):
            for kind in KINDS:
                row[kind]["proved"] = proved(getattr(one, kind).found)
        return plain


def measured(pairs: xr.Dataset, relief: Relief, mast: Mast) -> Measured:
    """Speed-up of mean and gust in the sector of a relief, each hour counted once, by the newest run that foresees it.

    Forecast wind: mean over the members, before relief, at the height of the mast. `pairs`: Dataset of pairs_of.
    Source: speed_up; newest run (practice).
    """
    newest = _newest(pairs)
    direction_deg = newest["wind_from_deg"].values
    here = newest.isel(case=np.flatnonzero(in_sector(direction_deg, relief.wind_from_deg)))
    day = here["time"].values.astype("datetime64[D]")

    def estimate(kind: str) -> Estimate:
        forecast_mps: Array = here[f"forecast_{kind}_mps"].mean("member", skipna=False).values
        confidence_ratio = figure("weather_speed_up_confidence_ratio")
        return _estimate(speed_up(here[f"observed_{kind}_mps"].values, forecast_mps, day, confidence_ratio))

    return Measured(
        relief=relief.name,
        wind_from_deg=relief.wind_from_deg,
        mast=mast,
        mean=estimate("mean"),
        gust=estimate("gust"),
        without_direction=int(np.isnan(direction_deg).sum()),
    )


def _newest(pairs: xr.Dataset) -> xr.Dataset:
    """For each time the case with the shortest lead."""
    order = np.lexsort((pairs["lead_h"].values, pairs["time"].values))
    _, first = np.unique(pairs["time"].values[order], return_index=True)
    return pairs.isel(case=order[first])


def _estimate(found: SpeedUp) -> Estimate:
    bounds = [None if np.isnan(value) else value for value in found[:3]]
    return Estimate(
        ratio=bounds[0],
        standard_error=bounds[1],
        upper_ratio=bounds[2],
        days=found.days,
        cases=found.cases,
        strongest_mps=found.strongest_mps,
    )


def believed_site(
    site: Site, files: Mapping[str, SpeedUps], load_height_m: float, *, may_lower: bool
) -> tuple[Site, tuple[str, ...]]:
    """The site with the relief factors that count, and a sentence for each that a campaign speaks to.

    `files`: what stands in the file that a relief names as `measured`. For mean and gust apart the upper bound of a
    campaign that is long enough counts, until then the larger of it and the stated factor; of the two the larger.
    may_lower: false for a forecast that the campaign was not measured against, or that is calibrated on a mast besides.
    Errors: InputError if a file does not speak of the relief, or of another sector, or the mast is lower than the load.
    Source: believed_ratio (practice).
    """
    reliefs, said = [], []
    for number, relief in enumerate(site.relief):
        if relief.measured is None:
            reliefs.append(relief)
            continue
        found = _speaking(files[relief.measured], relief, f"site.relief[{number}].measured", load_height_m)
        stated = relief_ratio(relief, load_height_m, site.terrain_category)
        kinds = {"mean wind": found.mean.found, "gust": found.gust.found}
        counts = max(believed_ratio(stated, one, may_lower=may_lower) for one in kinds.values())
        reliefs.append(relief.model_copy(update={"factor_ratio": counts, "shape": None}))
        said.append(_sentence(relief, stated, counts, kinds, may_lower))
    return site.model_copy(update={"relief": tuple(reliefs)}), tuple(said)


def _speaking(file: SpeedUps, relief: Relief, field: str, load_height_m: float) -> Measured:
    found = [one for one in file.measured if one.relief == relief.name]
    if len(found) != 1:
        known = ", ".join(f"'{one.relief}'" for one in file.measured)
        what = f"{relief.measured} speaks {len(found)} times of '{relief.name}', allowed is once; it speaks of {known}"
        raise InputError(Fault("", field, f"{what}; {REMEDY}"))
    if found[0].wind_from_deg != relief.wind_from_deg:
        sectors = (f"{first:g} to {second:g}" for first, second in (found[0].wind_from_deg, relief.wind_from_deg))
        what = f"{relief.measured} was measured for wind from {next(sectors)} degrees, the relief says {next(sectors)}"
        raise InputError(Fault("", field, f"{what}; {REMEDY}"))
    if not found[0].mast.height_m >= load_height_m:
        what = f"the mast of {relief.measured} is {found[0].mast.height_m:g} m high, the load meets wind at"
        raise InputError(Fault("", field, f"{what} {load_height_m:.1f} m, where it is stronger; use a higher mast"))
    return found[0]


def _sentence(relief: Relief, stated: float, counts: float, kinds: Mapping[str, SpeedUp], may_lower: bool) -> str:
    told = ", ".join(f"{kind} {_told(found)}" for kind, found in kinds.items())
    alone = may_lower and all(map(proved, kinds.values()))
    rests = "the campaign stands alone" if alone else "the larger counts"
    return f"relief '{relief.name}': factor {counts:.2f} (stated {stated:.2f}; measured: {told}); {rests}"


def _told(found: SpeedUp) -> str:
    if np.isnan(found.ratio):
        return f"says nothing on {found.days} day{'' if found.days == 1 else 's'}"
    return f"{found.ratio:.2f}, at most {found.upper_ratio:.2f} by {found.cases} steps on {found.days} days"


def load(path: Path) -> SpeedUps:
    """Read what a campaign found.

    Errors: InputError if the file is missing, too large, of another schema, or was changed by hand.
    """
    return load_learned(path, SpeedUps, "measured speed-up", "speedup")
