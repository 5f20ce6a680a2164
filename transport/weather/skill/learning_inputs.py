"""The tables [weather.archive] and [weather.calibration] of a move: what is learned from, and whether it is used."""

from datetime import datetime
from pathlib import PurePosixPath
from typing import Self

from pydantic import Field, field_validator, model_validator

from shared.inputs import Model, quantity
from transport.weather.feeds.inputs import Feed

__all__ = ["Archive", "CalibrationUse"]


class Archive(Model):
    """[weather.archive]: forecasts of the past, and the mast that they are compared with."""

    forecasts: str = quantity(min_length=1, max_length=200, help="files in the folder of the move, as 'archive/*.nc'")
    observation: Feed
    earliest: datetime | None = Field(default=None)
    latest: datetime | None = Field(default=None)

    @field_validator("forecasts")
    @classmethod
    def _inside(cls, pattern: str) -> str:
        parts = PurePosixPath(pattern).parts
        if pattern.startswith("/") or ".." in parts or "**" in pattern or "://" in pattern or "\\" in pattern:
            raise ValueError(f"'{pattern}' may leave the folder of the move; write for example 'archive/*.nc'")
        return pattern

    @model_validator(mode="after")
    def _told(self) -> Self:
        if self.observation.role != "observation":
            raise ValueError(f"the mast has role '{self.observation.role}', allowed is 'observation'")
        for name in ("earliest", "latest"):
            moment = getattr(self, name)
            if moment is not None and moment.tzinfo is None:
                raise ValueError(f"{name} has no time zone; add an offset such as Z")
        if self.earliest is not None and self.latest is not None and not self.earliest < self.latest:
            raise ValueError("earliest must lie before latest")
        return self


class CalibrationUse(Model):
    """[weather.calibration]: the file that `glasshaul calibrate` wrote, and what only a person at the mast can tell.

    `mast_in_the_open`: nothing shelters the mast more than the road is sheltered. Where it is false, the calibration
    may only raise a gust, and no factor is fitted.
    """

    path: str = quantity(min_length=1, max_length=200, help="calibration.json in the folder of the move")
    mast_in_the_open: bool = quantity(
        help="true only if nothing shelters the mast more than the road, in any direction"
    )
