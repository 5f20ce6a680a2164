"""The table [[weather.feed]] of a move: where the weather comes from, what it is for, and what is known about it."""

from collections.abc import Iterator
from typing import Literal, Self

from pydantic import Field, field_validator, model_validator

from shared.inputs import Model, practice, quantity
from transport.weather.feeds.stations.logger import Column, Logger
from transport.weather.fetching.address import fault_of

__all__ = ["Feed", "Station"]

ON_A_GRID = ("gridded", "opendap")


class Station(Model):
    """The one place that a text forecast, a report or an instrument speaks for."""

    name: str = Field(min_length=1, max_length=60)
    longitude_deg: float = quantity(ge=-180, le=180, help="of the instrument or aerodrome, WGS 84")
    latitude_deg: float = quantity(ge=-90, le=90, help="of the instrument or aerodrome, WGS 84")
    elevation_m: float = quantity(ge=-500, le=9000, help="of the ground there, above sea level")
    height_m: float = quantity(ge=1.5, le=60, help="of the anemometer above the ground; 10 for an aerodrome")
    valid_within_km: float = quantity(gt=0, le=100, help="stations of the road farther away are outside")
    identifier: str | None = Field(default=None, pattern=r"^[A-Z][A-Z0-9]{3}$")


class Feed(Model):
    """One source of weather."""

    path: str = quantity(min_length=1, help="a file in the folder of the move; with a url the copy is kept there")
    url: str | None = None
    maximum_size_MB: float | None = Field(default=None, gt=0, le=1000)
    role: Literal["forecast", "second_opinion", "observation"]
    format: Literal["gridded", "opendap", "taf", "metar", "mast", "nmea"] = "gridded"
    station: Station | None = None
    month: str | None = Field(default=None, pattern=r"^[0-9]{4}-(0[1-9]|1[0-2])$")
    logger: Logger | None = None
    column: tuple[Column, ...] = ()
    standing: bool | None = None
    zero_points_deg: float | None = Field(default=None, ge=0, le=360)
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
            raise ValueError(f"'{path}' is an address; give it as url, and as path the file in which its copy is kept")
        return path

    @field_validator("url")
    @classmethod
    def _fetchable(cls, url: str | None) -> str | None:
        if url is not None and (fault := fault_of(url)):
            raise ValueError(f"url {fault}")
        return url

    @model_validator(mode="after")
    def _fetched(self) -> Self:
        if self.format == "opendap" and (self.url is None or "?" in self.url):
            raise ValueError(
                "format 'opendap' needs the url of the data set, without a query; path is where its copy is kept"
            )
        if self.url is not None and any(name.rstrip("/").endswith(".zarr") for name in (self.path, self.url)):
            raise ValueError(
                "a Zarr folder is not fetched, only read; bring it there by other means and take the url out"
            )
        if self.url is None and self.maximum_size_MB is not None:
            raise ValueError("maximum_size_MB is for a feed with a url")
        return self

    @model_validator(mode="after")
    def _silence(self) -> Self:
        if self.may_be_silent is not None and self.role != "observation":
            raise ValueError("may_be_silent is for an observation; a forecast that says nothing decides nothing")
        return self

    @model_validator(mode="after")
    def _gridded(self) -> Self:
        if self.format in ON_A_GRID and self.role == "observation":
            raise ValueError("a gridded file is no observation; an observation comes from an instrument at a station")
        if (self.station is None) != (self.format in ON_A_GRID):
            raise ValueError("a feed of one place needs [weather.feed.station], a gridded one takes none")
        return self

    @model_validator(mode="after")
    def _of_one_place(self) -> Self:
        faults = [text for wrong, text in self._faults() if wrong]
        if faults:
            raise ValueError("; ".join(faults))
        return self

    def _faults(self) -> Iterator[tuple[bool, str]]:
        forecast, mast = self.format in (*ON_A_GRID, "taf"), self.format == "mast"
        named = self.station is not None and self.station.identifier is not None
        coded = self.format in ("taf", "metar")
        height_m = 10.0 if self.station is None else self.station.height_m
        yield not forecast and self.role != "observation", f"format '{self.format}' is an observation, set role so"
        yield self.format == "taf" and self.role == "observation", "a TAF is a forecast, not an observation"
        yield self.format == "taf" and height_m != 10.0, "a TAF speaks of the wind 10 m above ground, set height_m so"
        yield coded and not named, "reports need the identifier of the aerodrome in [weather.feed.station]"
        yield self.month is not None and self.format != "metar", "month is for METAR reports only"
        yield mast != (self.logger is not None), "a mast needs [weather.feed.logger], another feed takes none"
        yield mast != bool(self.column), "a mast needs [[weather.feed.column]], another feed takes none"
        yield from self._column_faults() if mast else ()
        stands = self.standing is not None
        yield stands != (self.format == "nmea"), "an NMEA 0183 log needs standing = true or false, others take none"
        yield self.zero_points_deg is not None and not self.standing, "zero_points_deg needs standing = true"

    def _column_faults(self) -> Iterator[tuple[bool, str]]:
        quantities = [column.quantity for column in self.column]
        twice = sorted({name for name in quantities if quantities.count(name) > 1})
        gust, average_s = "wind_speed_of_gust" in quantities, self.logger and self.logger.gust_average_s
        yield bool(twice), f"two columns for {', '.join(twice)}; name the one instrument to be read"
        yield "wind_speed" not in quantities, "one column must be wind_speed"
        yield gust and not average_s, "a gust needs gust_average_s in [weather.feed.logger]"
