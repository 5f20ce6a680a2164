"""What the user states about the road: the survey and its accuracy, sections, hold points, limits."""

import itertools
from typing import Annotated, Any, Literal, Self

from pydantic import Field, model_validator

from shared.inputs import Model, quantity

__all__ = ["HoldPoint", "Route", "Section"]

STATION_REMEDY = "station in the direction of the survey, 0 at its first point"
SPEED_REMEDY = "walking pace; this tool is for 0.5 to 10 km/h"
WIDTH_REMEDY = "metres from the centreline to the edge, left and right of the survey"
Name = Annotated[str, Field(min_length=1, max_length=80)]


def _stated(*, help: str, **bounds: float) -> Any:
    """Declare an optional field; where it is not given, nothing is known."""
    return Field(None, json_schema_extra={"remedy": help}, **bounds)  # type: ignore[call-overload]


class Section(Model):
    """A piece of road that the crew knows by name, with what holds on it where the survey says nothing."""

    name: Name
    from_station_m: float = quantity(ge=0, le=100_000, help=STATION_REMEDY)
    to_station_m: float = quantity(gt=0, le=100_000, help=STATION_REMEDY)
    speed_kmh: float | None = _stated(ge=0.5, le=10, help=SPEED_REMEDY)
    surface: str | None = Field(None, min_length=1, max_length=40)
    roughness_class: Literal["A", "B", "C", "D", "E", "F", "G", "H"] | None = None
    width_left_m: float | None = _stated(ge=0, le=50, help=WIDTH_REMEDY)
    width_right_m: float | None = _stated(ge=0, le=50, help=WIDTH_REMEDY)
    crossfall_ratio: float | None = _stated(
        ge=-0.2,
        le=0.2,
        help="a ratio: write 0.025 for 2.5 %, positive where the road falls to the right of the survey",
    )

    @model_validator(mode="after")
    def _has_length(self) -> Self:
        if not self.from_station_m < self.to_station_m:
            raise ValueError(
                f"section '{self.name}' runs from {self.from_station_m:g} to {self.to_station_m:g} m; "
                "to_station_m must be greater than from_station_m"
            )
        return self


class HoldPoint(Model):
    """A place where the load may wait."""

    name: Name
    station_m: float = quantity(ge=0, le=100_000, help=STATION_REMEDY)
    wait_h: float = quantity(ge=0, le=72, help="longest wait that is planned for there")


class Route(Model):
    """The survey file, how good it is, how fast and how close to the edge the move goes."""

    survey: str = Field(min_length=1, max_length=200)
    format: Literal["csv", "gpx"]
    crs: str = Field(pattern=r"^EPSG:\d{4,6}$", json_schema_extra={"remedy": 'write it as "EPSG:32727"'})
    height_type: Literal["orthometric", "ellipsoidal"]
    sigma_xy_m: float = quantity(
        ge=0.001, le=20, help="standard deviation of a surveyed point, each of x and y"
    )
    sigma_z_m: float = quantity(ge=0.001, le=20, help="standard deviation of a surveyed elevation")
    speed_kmh: float = quantity(ge=0.5, le=10, help=SPEED_REMEDY)
    grade_limit_ratio: float = quantity(gt=0, le=0.3, help="a ratio: write 0.12 for 12 %")
    side_clearance_m: float = quantity(
        ge=0, le=5, help="kept free on each side; 0.3 to 0.5 m at walking pace is usual"
    )
    section: tuple[Section, ...] = Field((), max_length=100)
    hold_point: tuple[HoldPoint, ...] = Field((), max_length=100)

    @model_validator(mode="after")
    def _sections_do_not_overlap(self) -> Self:
        for before, after in itertools.pairwise(
            sorted(self.section, key=lambda section: section.from_station_m)
        ):
            if before.to_station_m > after.from_station_m:
                raise ValueError(
                    f"sections '{before.name}' and '{after.name}' overlap from {after.from_station_m:g} "
                    f"to {min(before.to_station_m, after.to_station_m):g} m; "
                    "let one end where the next begins"
                )
        return self

    @model_validator(mode="after")
    def _names_differ(self) -> Self:
        for kind, names in (
            ("section", [section.name for section in self.section]),
            ("hold point", [point.name for point in self.hold_point]),
        ):
            twice = sorted({name for name in names if names.count(name) > 1})
            if twice:
                raise ValueError(
                    f"{kind} name '{twice[0]}' is used {names.count(twice[0])} times; give each its own"
                )
        return self

    @model_validator(mode="after")
    def _gpx_is_wgs84(self) -> Self:
        if self.format == "gpx" and self.crs != "EPSG:4326":
            raise ValueError(f'crs is {self.crs}, but a GPX file is always WGS 84: set crs = "EPSG:4326"')
        return self
