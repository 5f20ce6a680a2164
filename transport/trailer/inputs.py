"""The platform trailer and its hydraulic groups, as they stand in `[trailer]` and `[[trailer.group]]`."""

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from shared.inputs import Model, practice, quantity
from transport.trailer.groups import centroids_m, membership
from transport.trailer.polygon import on_one_line

__all__ = ["Group", "Trailer"]

LineX = Annotated[float, Field(ge=-40, le=40)]
LineNumber = Annotated[int, Field(ge=1, le=40)]


class Group(Model):
    """Cylinders that share one pressure: one support of the deck."""

    name: str = Field(min_length=1, max_length=60)
    lines: tuple[LineNumber, ...] = Field(min_length=1, max_length=40)
    side: Literal["left", "right", "both"]


class Trailer(Model):
    """A hydraulic platform trailer; heights are above the ground, x forward from the neutral point."""

    tare_t: float = quantity(gt=0, le=400, help="weigh the trailer or read its plate")
    tare_centre_of_mass_height_m: float = quantity(gt=0, le=5, help="from the builder's data, above the ground")
    tare_centre_of_mass_x_m: float = practice(
        0.0, "a bare platform balances over its neutral point; ask the builder", ge=-20, le=20
    )
    deck_height_m: float = quantity(gt=0, le=5, help="measure from the ground at mid stroke")
    deck_length_m: float = quantity(gt=0, le=80, help="measure the deck")
    deck_width_m: float = quantity(gt=0, le=12, help="measure the deck")
    axle_line_x_m: tuple[LineX, ...] = Field(
        min_length=2, max_length=40, json_schema_extra={"remedy": "list the lines from the rear, line 1 first"}
    )
    bogie_y_m: float = quantity(gt=0, le=6, help="distance of a bogie pivot from the middle line, not of the tyre")
    axle_line_capacity_t: float = quantity(gt=0, le=80, help="read it from the plate, for the planned speed")
    levels_crossfall: bool
    levelling_tolerance_deg: float = quantity(ge=0, le=10, help="what the crew can hold by its level")
    levelling_stroke_m: float = practice(
        0.6, "whole stroke of the axle compensation usual for such platforms; read yours", gt=0, le=2
    )
    roll_stiffness_MNm_per_rad: float = quantity(gt=0, le=10000, help="from the builder, for this grouping")
    minimum_stability_angle_deg: float = quantity(ge=0, le=45, help="agree it with the trailer's engineer")
    horizontal_frequency_hz: float = quantity(gt=0, le=50, help="measure the loaded deck, or ask the builder")
    vertical_frequency_hz: float = quantity(gt=0, le=50, help="measure the loaded deck, or ask the builder")
    damping_ratio: float = quantity(gt=0, lt=1, help="measure it, or take a low value")
    tyres_per_line_count: int = practice(8, "four bogie wheels a side are usual; count yours", ge=2, le=32)
    tyre_pressure_kPa: float = practice(900.0, "usual for platform tyres; read yours", gt=0, le=2000)
    group: tuple[Group, ...]

    @model_validator(mode="after")
    def _lines_from_the_rear(self) -> Self:
        x_m = self.axle_line_x_m
        if wrong := [n for n in range(1, len(x_m)) if not x_m[n] - x_m[n - 1] >= 0.3]:
            raise ValueError(
                f"axle line {wrong[0] + 1} stands at x = {x_m[wrong[0]]:g} m, line {wrong[0]} at "
                f"{x_m[wrong[0] - 1]:g} m; list the lines from the rear, line 1 first, at least 0.3 m apart"
            )
        return self

    @model_validator(mode="after")
    def _three_or_four_groups(self) -> Self:
        if len(self.group) not in {3, 4}:
            raise ValueError(
                f"{len(self.group)} hydraulic groups, allowed 3 or 4; fewer leave the deck free to tilt, more have no "
                "plain statics"
            )
        names = [group.name for group in self.group]
        if doubled := [name for name in names if names.count(name) > 1]:
            raise ValueError(f"two hydraulic groups are called '{doubled[0]}'; give each its own name")
        return self

    @model_validator(mode="after")
    def _each_bogie_in_one_group(self) -> Self:
        count = len(self.axle_line_x_m)
        bogies = [(n, side) for group in self.group for n in group.lines for side in _sides_of(group)]
        if strangers := sorted({n for n, _ in bogies if n > count}):
            raise ValueError(
                f"a hydraulic group names axle line {strangers[0]}, the trailer has {count}; "
                "count the lines from the rear"
            )
        for n in range(1, count + 1):
            for side in ("left", "right"):
                if (times := bogies.count((n, side))) != 1:
                    raise ValueError(
                        f"the {side} bogie of axle line {n} is in {times} hydraulic groups, allowed exactly 1; "
                        "compare with the grouping sketch"
                    )
        return self

    @model_validator(mode="after")
    def _polygon_has_width(self) -> Self:
        member = membership([group.lines for group in self.group], [group.side for group in self.group],
                            len(self.axle_line_x_m))  # fmt: skip
        if on_one_line(centroids_m(member, self.axle_line_x_m, self.bogie_y_m)):
            raise ValueError(
                "the hydraulic groups support the deck along one line only, so nothing holds it upright; "
                "separate left and right"
            )
        return self


def _sides_of(group: Group) -> tuple[str, ...]:
    """Sides whose bogies the group feeds."""
    return ("left", "right") if group.side == "both" else (group.side,)
