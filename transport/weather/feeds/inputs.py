"""The table [[weather.feed]] of a move: where the weather comes from, what it is for, and what is known about it."""

from typing import Literal, Self

from pydantic import Field, field_validator, model_validator

from shared.inputs import Model, practice, quantity

__all__ = ["Feed", "Station"]


class Station(Model):
    """The one place that a text forecast, a report or an instrument speaks for."""

    name: str = Field(min_length=1, max_length=60)
    longitude_deg: float = quantity(ge=-180, le=180, help="of the instrument or aerodrome, WGS 84")
    latitude_deg: float = quantity(ge=-90, le=90, help="of the instrument or aerodrome, WGS 84")
    elevation_m: float = quantity(ge=-500, le=9000, help="of the ground there, above sea level")
    height_m: float = quantity(ge=1.5, le=60, help="of the anemometer above the ground; 10 for an aerodrome")
    valid_within_km: float = quantity(gt=0, le=100, help="stations of the road farther away are outside")


class Feed(Model):
    """One source of weather."""

    path: str = quantity(min_length=1, help="a file in the folder of the move")
    role: Literal["forecast", "second_opinion", "observation"]
    format: Literal["gridded"] = "gridded"
    station: Station | None = None
    resolves_relief: bool = practice(
        False, "the forecast model is not trusted to see the ground's speed-up of the wind"
    )
    estimates_gust: bool = practice(
        False, "a gust of an instant, or none at all, is no bound for the hour and leaves every start undecided"
    )
    surface_altitude_m: float | None = Field(default=None, ge=-500, le=9000)
    sha256: str | None = Field(default=None, pattern=r"^[0-9a-fA-F]{64}$")
    may_be_silent: bool | None = None

    @field_validator("path")
    @classmethod
    def _local(cls, path: str) -> str:
        if "://" in path:
            raise ValueError(
                f"'{path}' is an address; weather is read from files only: a server that stops half way gives zeros, "
                "not an error. Fetch the file first"
            )
        return path

    @model_validator(mode="after")
    def _silence(self) -> Self:
        if self.may_be_silent is not None and self.role != "observation":
            raise ValueError("may_be_silent is for an observation; a forecast that says nothing decides nothing")
        return self

    @model_validator(mode="after")
    def _gridded(self) -> Self:
        if self.format == "gridded" and self.role == "observation":
            raise ValueError("a gridded file is no observation; an observation comes from an instrument at a station")
        if (self.station is None) != (self.format == "gridded"):
            raise ValueError("a feed of one place needs [weather.feed.station], a gridded one takes none")
        return self
