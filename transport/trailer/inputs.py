"""The platform trailer and its hydraulic groups, as they stand in `[trailer]` and `[[trailer.group]]`."""

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from shared.inputs import Model, practice, quantity
from shared.units import STANDARD_GRAVITY_MPS2
from transport.trailer.groups import centroids_m, membership
from transport.trailer.hydraulics import Hydraulics, cylinder_area_m2
from transport.trailer.polygon import on_one_line

__all__ = ["Group", "Trailer"]

KPA_PER_BAR = 100.0  # by definition of the bar
IN_BAR = "in bar as the gauge shows: 1 MPa are 10 bar, 100 kPa are 1 bar"
LineX = Annotated[float, Field(ge=-40, le=40)]
LineNumber = Annotated[int, Field(ge=1, le=40)]


class Group(Model):
    """Cylinders that share one pressure: one support of the deck."""

    name: str = Field(min_length=1, max_length=60)
    lines: tuple[LineNumber, ...] = Field(min_length=1, max_length=40)
    side: Literal["left", "right", "both"]


class Trailer(Model):
    """A hydraulic platform trailer; heights are above the ground, x forward from the neutral point."""

    tare_t: float = quantity(gt=0, le=400, help="weigh the trailer or read its plate, in t: 1000 kg are 1 t")
    tare_centre_of_mass_height_m: float = quantity(gt=0, le=5, help="from the builder's data, above the ground")
    tare_centre_of_mass_x_m: float = practice(
        0.0, "a bare platform balances over its neutral point; ask the builder", ge=-20, le=20
    )
    deck_height_m: float = quantity(ge=0.3, le=5, help="measure from the ground at mid stroke, in m: 110 cm are 1.1 m")
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
    cylinder_diameter_mm: float | None = Field(
        None,
        ge=40,
        le=500,
        json_schema_extra={"remedy": "bore of one cylinder in mm: 0.14 m are 140 mm, 14 cm are 140 mm"},
    )
    cylinders_per_bogie_count: int | None = Field(
        None, ge=1, le=4, json_schema_extra={"remedy": "count the cylinders that lift one bogie"}
    )
    group_pressure_limit_bar: float | None = Field(
        None, ge=50, le=700, json_schema_extra={"remedy": f"limit of the circuit, from the builder; {IN_BAR}"}
    )
    group_pressure_least_bar: float = practice(
        10.0, "below it a group may unload; high, ask the builder", help=IN_BAR, gt=0, le=150
    )
    axle_line_mass_t: float | None = Field(
        None, ge=0, le=20, json_schema_extra={"remedy": "what hangs below the cylinders of one line; 1000 kg are 1 t"}
    )
    deck_torsion_stiffness_MNm_per_rad: float = practice(
        2.0,
        "a stiff deck, so that four groups share unevenly on a warped road; ask the builder",
        help="deck with load, over its supported length",
        gt=0,
        le=1000,
    )
    stop_travel_m: float | None = Field(
        None, gt=0, le=2, json_schema_extra={"remedy": "how far a group sinks until it stands on its stops, in m"}
    )
    ground_bearing_kPa: float | None = Field(
        None, ge=10, le=5000, json_schema_extra={"remedy": "from whoever answers for the road; 1 t/m2 is about 9.8 kPa"}
    )
    group: tuple[Group, ...]

    @property
    def hydraulics(self) -> Hydraulics | None:
        """Cylinders and pressures in kPa, None where they are not stated.

        Without `axle_line_mass_t` the whole tare counts as hanging below the cylinders, which lowers a least pressure.
        """
        bore, count, limit = self.cylinder_diameter_mm, self.cylinders_per_bogie_count, self.group_pressure_limit_bar
        if bore is None or count is None or limit is None:
            return None
        line_t = self.tare_t / len(self.axle_line_x_m) if self.axle_line_mass_t is None else self.axle_line_mass_t
        least = self.group_pressure_least_bar
        return Hydraulics(
            count * float(cylinder_area_m2(bore)),
            limit * KPA_PER_BAR,
            least * KPA_PER_BAR,
            line_t * STANDARD_GRAVITY_MPS2 / 2.0,
        )

    @model_validator(mode="after")
    def _hydraulics_together(self) -> Self:
        needed = ("cylinder_diameter_mm", "cylinders_per_bogie_count", "group_pressure_limit_bar")
        given = [name for name in needed if getattr(self, name) is not None]
        if given and (lacking := [name for name in needed if name not in given]):
            raise ValueError(
                f"{', '.join(lacking)} not given beside {', '.join(given)}; the pressure of a group needs "
                f"{', '.join(needed)} together, give all or none"
            )
        least, limit = self.group_pressure_least_bar, self.group_pressure_limit_bar
        if limit is not None and not least < limit:
            raise ValueError(
                f"group_pressure_least_bar = {least:g} is not below group_pressure_limit_bar = {limit:g}; "
                "compare both with the builder's data"
            )
        return self

    @model_validator(mode="after")
    def _axle_lines_within_the_tare(self) -> Self:
        count = len(self.axle_line_x_m)
        if self.axle_line_mass_t is not None and not self.axle_line_mass_t * count <= self.tare_t:
            raise ValueError(
                f"{count} axle lines of axle_line_mass_t = {self.axle_line_mass_t:g} weigh more than tare_t = "
                f"{self.tare_t:g}; give the mass of one line in t"
            )
        return self

    @model_validator(mode="after")
    def _lines_under_the_deck(self) -> Self:
        span_m = self.axle_line_x_m[-1] - self.axle_line_x_m[0]
        if not span_m <= self.deck_length_m:
            raise ValueError(
                f"the axle lines span {span_m:g} m, more than deck_length_m = {self.deck_length_m:g}; "
                "give both in m, and every line of this trailer once"
            )
        return self

    @model_validator(mode="after")
    def _pivots_under_the_deck(self) -> Self:
        if not 2.0 * self.bogie_y_m <= self.deck_width_m:
            raise ValueError(
                f"the bogie pivots at {self.bogie_y_m:g} m to either side stand outside deck_width_m = "
                f"{self.deck_width_m:g}; bogie_y_m is counted from the middle line, both in m"
            )
        return self

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
