"""The tables [site], [[site.relief]] and [weather] of a move."""

from typing import Literal
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from pydantic import Field, field_validator, model_validator

from shared.inputs import Model, practice, quantity
from transport.weather.feeds.inputs import Feed
from transport.weather.skill.inputs import VerificationInputs
from transport.weather.skill.learning_inputs import Archive, CalibrationUse

__all__ = ["Relief", "Shape", "Site", "Weather"]


class Shape(Model):
    """An isolated hill, ridge or cliff, measured along the wind, from which a relief factor can be worked out."""

    feature: Literal["hill", "ridge", "cliff"]
    height_m: float = quantity(gt=0, le=3000, help="height of the crest above the ground upwind")
    upwind_length_m: float = quantity(gt=0, le=50_000, help="horizontal length of the upwind slope")
    downwind_length_m: float = quantity(gt=0, le=50_000, help="horizontal length of the downwind slope")
    crest_distance_m: float = quantity(
        ge=-50_000, le=50_000, help="nearest distance of the stretch to the crest, upwind negative"
    )


class Relief(Model):
    """A stretch of road and a wind sector where the ground speeds the wind up."""

    name: str
    from_station_m: float = quantity(ge=0, le=1e6, help="station where the stretch begins")
    to_station_m: float = quantity(ge=0, le=1e6, help="station where the stretch ends")
    wind_from_deg: tuple[float, float] = quantity(help="two directions, clockwise from the first to the second")
    factor_ratio: float | None = Field(default=None, ge=1, le=3)
    shape: Shape | None = None
    source: str
    campaign: Archive | None = None
    measured: str | None = Field(default=None, min_length=1, max_length=200)

    @model_validator(mode="after")
    def _complete(self) -> "Relief":
        if not self.from_station_m < self.to_station_m:
            raise ValueError(
                f"from_station_m ({self.from_station_m:g}) must lie before to_station_m ({self.to_station_m:g})"
            )
        if not all(0 <= angle_deg <= 360 for angle_deg in self.wind_from_deg):
            raise ValueError("wind_from_deg needs two directions from 0 to 360, clockwise from the first to the second")
        if self.wind_from_deg[0] == self.wind_from_deg[1]:
            raise ValueError("wind_from_deg has no width; write [0.0, 360.0] for every direction")
        if (self.factor_ratio is None) == (self.shape is None):
            raise ValueError("give either factor_ratio or shape, and not both")
        return self


class Site(Model):
    """The place: its clock, its ground and its air."""

    time_zone: str
    terrain_category: Literal["0", "I", "II", "III", "IV"]
    air_density_kg_per_m3: float = quantity(ge=0.5, le=1.5, help="1.25 is the default of EN 1991-1-4 4.5")
    height_reduction_measured: bool = practice(
        False, "no wind is taken off below 10 m: over a crest the profile is flat or inverted"
    )
    minimum_gust_ratio: float = practice(
        1.6, "gust over mean is not taken lower than this in the mountains", ge=1.0, le=4.0
    )
    convective_gust_mps: float = practice(
        5.0,
        "added to the mean where the feed carries no gust: a factor on a light wind foresees no gust",
        ge=0.0,
        le=30.0,
    )
    relief: tuple[Relief, ...] = ()

    @field_validator("time_zone")
    @classmethod
    def _known(cls, name: str) -> str:
        try:
            ZoneInfo(name)
        except (ZoneInfoNotFoundError, ValueError, OSError):
            raise ValueError(
                f"time_zone '{name}' is not in the IANA time zone database; "
                "write for example 'Etc/GMT+1' or 'Europe/Madrid'"
            ) from None
        return name

    @property
    def zone(self) -> ZoneInfo:
        """The time zone of the site."""
        return ZoneInfo(self.time_zone)


class Weather(Model):
    """What a forecast must offer before it is believed."""

    maximum_age_h: float = quantity(gt=0, le=48, help="age counts from the forecast's reference time")
    minimum_members: int = quantity(ge=1, le=1000, help="members of the ensemble; 1 for a single forecast")
    maximum_height_mismatch_m: float = quantity(ge=0, le=5000, help="road against the ground of the forecast model")
    direction_spread_deg: float = quantity(ge=0, le=180, help="the wind may come from this far to either side")
    maximum_step_h: float = practice(6.0, "a longer step says too little about the hours inside it", gt=0, le=24)
    feed: tuple[Feed, ...] = Field(max_length=12)
    archive: Archive | None = None
    calibration: CalibrationUse | None = None
    verification: VerificationInputs | None = None

    @model_validator(mode="after")
    def _one_forecast(self) -> "Weather":
        count = sum(feed.role == "forecast" for feed in self.feed)
        if count != 1:
            others = "the others are 'second_opinion' or 'observation'"
            raise ValueError(f"{count} feeds have role 'forecast', allowed is exactly one; {others}")
        return self

    @model_validator(mode="after")
    def _each_its_own(self) -> "Weather":
        paths = [feed.path for feed in self.feed]
        if doubled := sorted({path for path in paths if paths.count(path) > 1}):
            raise ValueError(f"two feeds read '{doubled[0]}'; a source is not compared with itself, take another")
        return self
