"""The tables [weather.feed.logger] and [[weather.feed.column]]: the layout of a logger file, declared, not guessed."""

import re
from typing import Literal, Self

from pydantic import Field, field_validator, model_validator

from shared.inputs import Model, quantity
from transport.weather.feeds.units import UNITS

__all__ = ["Column", "Logger"]

DIRECTIVES = ({"Y"}, {"m", "b", "j"}, {"d", "j"}, {"H"}, {"M"})
ALLOWED = set("YmbjdHMSf")

STATISTICS: dict[str, tuple[str, ...]] = {
    "wind_speed": ("mean",),
    "wind_speed_of_gust": ("maximum",),
    "wind_from_direction": ("mean", "point"),
    "air_temperature": ("mean", "point", "minimum"),
    "dew_point_temperature": ("mean", "point", "maximum"),
    "relative_humidity": ("mean", "point", "maximum"),
    "surface_air_pressure": ("mean", "point", "maximum"),
    "lwe_thickness_of_precipitation_amount": ("sum",),
    "visibility_in_air": ("mean", "point", "minimum"),
}


class Logger(Model):
    """How a logger writes its file: rows are counted from 1."""

    time_column: str = Field(min_length=1)
    time_format: str = quantity(min_length=6, help="as the file writes it, for example '%Y-%m-%d %H:%M:%S'")
    utc_offset: str = quantity(
        pattern=r"^(UTC|[+-](0[0-9]|1[0-4]):(00|15|30|45))$",
        help="'UTC' or a fixed offset such as '+01:00'; under summer time an hour stands twice and cannot be told",
    )
    label: Literal["start", "end"]
    interval_min: float = quantity(gt=0, le=60, help="length of the interval that a row sums up")
    delimiter: Literal[",", ";", "\t", "|"]
    decimal: Literal[".", ","]
    header_row: int = quantity(ge=1, le=100, help="row with the names of the columns, counted from 1")
    unit_row: int | None = Field(default=None, ge=1, le=100)
    statistic_row: int | None = Field(default=None, ge=1, le=100)
    first_row: int = quantity(ge=2, le=200, help="first row with data, counted from 1")
    missing: tuple[str, ...] = quantity(help="what the logger writes where it has no value; [] if it never does")
    gust_average_s: float | None = Field(default=None, gt=0, le=60)
    encoding: Literal["utf-8", "latin-1"] = "utf-8"

    @field_validator("time_format")
    @classmethod
    def _complete(cls, text: str) -> str:
        found = re.findall(r"%(.)", text)
        if set(found) - ALLOWED or len(found) != len(set(found)) or not all(part & set(found) for part in DIRECTIVES):
            allowed = "%Y, %m or %b, %d or %j, %H and %M, each once, with %S and %f as needed"
            raise ValueError(f"time_format '{text}' does not give a whole time, needed are {allowed}")
        return text

    @model_validator(mode="after")
    def _consistent(self) -> Self:
        if self.delimiter == self.decimal:
            raise ValueError("delimiter and decimal are both ','; one of them must differ")
        if self.first_row <= max(self.header_row, self.unit_row or 0, self.statistic_row or 0):
            raise ValueError(f"first_row ({self.first_row}) must come after the rows of names, units and statistics")
        return self

    @property
    def offset_min(self) -> int:
        """Minutes by which the clock of the logger runs ahead of UTC."""
        if self.utc_offset == "UTC":
            return 0
        minutes = 60 * int(self.utc_offset[1:3]) + int(self.utc_offset[4:])
        return -minutes if self.utc_offset[0] == "-" else minutes


class Column(Model):
    """One column of a logger file: what it holds, in which unit, and how it sums up its interval."""

    name: str = Field(min_length=1)
    quantity: str
    unit: str
    statistic: Literal["mean", "maximum", "minimum", "point", "sum"]

    @model_validator(mode="after")
    def _known(self) -> Self:
        if self.quantity not in STATISTICS:
            raise ValueError(f"quantity '{self.quantity}' is not read, allowed are {', '.join(STATISTICS)}")
        if self.unit not in UNITS[self.quantity]:
            allowed = ", ".join(UNITS[self.quantity])
            raise ValueError(f"unit '{self.unit}' is not known for {self.quantity}, allowed are {allowed}")
        if self.statistic not in (fitting := STATISTICS[self.quantity]):
            raise ValueError(f"statistic of {self.quantity} is '{self.statistic}', allowed is {' or '.join(fitting)}")
        return self
