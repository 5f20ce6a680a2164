"""The cover and the mirror as the user declares them: tables [cover] and [mirror] of move.toml."""

import math
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import Literal, Self

from pydantic import AwareDatetime, Field, model_validator

from shared.errors import Fault
from shared.inputs import Model, quantity

__all__ = ["Cover", "Mirror", "faults"]

MASS_AGREEMENT_RATIO = 0.10
ZONED = "write the offset from UTC too, as in 2026-03-09T06:00:00-01:00"
MEASURE = "measure it on at least four azimuths; there is no default"
EARLIEST, LATEST = datetime(1990, 1, 1, tzinfo=UTC), datetime(2100, 1, 1, tzinfo=UTC)


class Mirror(Model):
    """The bare mirror: its shape, its mass, and what its supplier allows it to feel."""

    diameter_m: float = quantity(gt=0, le=15, help="measure the coated face")
    hole_diameter_m: float = quantity(ge=0, lt=10, help="0 if the mirror has no hole")
    thickness_m: float = quantity(gt=0, le=2, help="take it from the drawing")
    density_kg_per_m3: float = quantity(ge=100, le=5000, help="effective density if the mirror is hollow")
    radius_of_curvature_m: float = quantity(gt=0, le=500, help="take it from the drawing")
    mass_t: float = quantity(gt=0, le=100, help="weigh it, or take it from the drawing")
    allowed_longitudinal_mps2: float = quantity(gt=0, le=20, help="ask the supplier of the mirror")
    allowed_lateral_mps2: float = quantity(gt=0, le=20, help="ask the supplier of the mirror")
    allowed_vertical_mps2: float = quantity(gt=0, le=20, help="ask the supplier of the mirror")
    temperature_c: float | None = Field(None, ge=-40, le=60)
    temperature_measured_at: AwareDatetime | None = Field(None, ge=EARLIEST, le=LATEST)

    @model_validator(mode="after")
    def _temperature(self) -> Self:
        if (self.temperature_c is None) != (self.temperature_measured_at is None):
            raise ValueError("temperature_c and temperature_measured_at belong together; give both or neither")
        return self

    @property
    def radius_m(self) -> float:
        """Half the diameter."""
        return self.diameter_m / 2.0

    @property
    def solid_mass_t(self) -> float:
        """Mass that the declared geometry and density give: pi / 4 (D^2 - d^2) t rho."""
        area_m2 = math.pi / 4.0 * (self.diameter_m**2 - self.hole_diameter_m**2)
        return area_m2 * self.thickness_m * self.density_kg_per_m3 / 1000.0

    @model_validator(mode="after")
    def _shape(self) -> Self:
        if not self.hole_diameter_m < self.diameter_m:
            raise ValueError(
                f"hole_diameter_m = {self.hole_diameter_m:g} is not below diameter_m = {self.diameter_m:g}; "
                "correct the one that is wrong"
            )
        if not self.radius_of_curvature_m > self.radius_m:
            raise ValueError(
                f"radius_of_curvature_m = {self.radius_of_curvature_m:g} is not above half of diameter_m = "
                f"{self.diameter_m:g}; give the radius of curvature, not the focal length or the sagitta"
            )
        if not abs(self.mass_t - self.solid_mass_t) <= MASS_AGREEMENT_RATIO * self.solid_mass_t:
            raise ValueError(
                f"mass_t = {self.mass_t:g} differs by more than 10 % from {self.solid_mass_t:.2f} t, which "
                "diameter, hole, thickness and density give; correct the one that is wrong"
            )
        return self


class Cover(Model):
    """A fabric skin on a tension ring, as it was rigged and measured."""

    type: Literal["fabric-on-ring"] = quantity(help="other covers have no limits here: have them checked on their own")
    underside: Literal["closed", "open"] = quantity(help="open if any gap lets wind under the cover")
    radius_m: float = quantity(gt=0, le=10, help="measure to the ring")
    height_above_mirror_edge_m: float = quantity(gt=0, le=5, help="measure from the edge to the unloaded cover")
    areal_mass_kg_per_m2: float = quantity(ge=0.1, le=5, help="weigh a sample, with its seams")
    tension_min_kN_per_m: float = quantity(gt=0, le=20, help=MEASURE)
    tension_max_kN_per_m: float = quantity(gt=0, le=20, help=MEASURE)
    tension_measured_at: AwareDatetime = quantity(ge=EARLIEST, le=LATEST, help=ZONED)
    tension_measured_by: str = Field(min_length=1, max_length=120)
    tension_valid_h: float = quantity(gt=0, le=72, help="fabric creeps: measure again within three days")
    thermal_tension_loss_kN_per_m: float = quantity(ge=0, le=10, help="for fabric warmer than its ring")
    ring_is_stiff: bool = quantity(help="true only if a calculation of the ring proves it")
    membrane_stiffness_kN_per_m: float = quantity(ge=50, le=5000, help="take it from the data sheet of the fabric")
    poisson_ratio: float = quantity(ge=0.2, le=0.5, help="take it from the data sheet; 0.3 is usual")
    fabric_strength_kN_per_m: float = quantity(gt=0, le=500, help="strip strength, the weaker of warp and weft")
    bending_stiffness_Nm: float = quantity(gt=0, le=1, help="from a bending length test; 0.002 is the lowest usual")
    free_hem_m: float = quantity(ge=0, le=1, help="longest free edge outside its rope or clamp")
    crowned: bool = quantity(help="true if water runs off everywhere, also when the fabric sags")
    drained: bool = quantity(help="true if drains keep the cover empty, also when it sags")
    vented: bool = quantity(help="true if vents are open and clear")
    fastener_count: int = quantity(ge=8, le=1000, help="count the fastenings on the ring")
    fastener_capacity_kN: float = quantity(gt=0, le=100, help="working capacity from the tag, not breaking load")
    fasteners_missing: int = quantity(ge=0, le=1000, help="count them again before each move")
    ring_sag_m: float = quantity(ge=0, le=0.5, help="lowest point of the ring below its plane")
    clearance_margin_m: float = quantity(ge=0.02, le=1, help="0.05 is usual")

    @property
    def tension_low_N_per_m(self) -> float:
        """Lowest credible tension: measured least, less the thermal loss."""
        return self.tension_min_kN_per_m * 1000.0 - self.thermal_tension_loss_N_per_m

    @property
    def tension_high_N_per_m(self) -> float:
        """Highest credible tension: measured largest, and as much gained in the cold as lost in the warm."""
        return self.tension_max_kN_per_m * 1000.0 + self.thermal_tension_loss_N_per_m

    @property
    def thermal_tension_loss_N_per_m(self) -> float:
        """Tension lost when the fabric is warmer than its ring."""
        return self.thermal_tension_loss_kN_per_m * 1000.0

    @property
    def tension_valid_until(self) -> datetime:
        """End of the validity of the measured tension, UTC."""
        return (self.tension_measured_at + timedelta(hours=self.tension_valid_h)).astimezone(UTC)

    @model_validator(mode="after")
    def _tension(self) -> Self:
        low, high = self.tension_min_kN_per_m, self.tension_max_kN_per_m
        if not low <= high:
            raise ValueError(
                f"tension_min_kN_per_m = {low:g} is above tension_max_kN_per_m = {high:g}; give the lowest "
                "and the highest of the azimuths measured"
            )
        if not self.thermal_tension_loss_kN_per_m < low:
            raise ValueError(
                f"thermal_tension_loss_kN_per_m = {self.thermal_tension_loss_kN_per_m:g} takes all of "
                f"tension_min_kN_per_m = {low:g}; tension the cover again"
            )
        return self

    @model_validator(mode="after")
    def _rim(self) -> Self:
        if not self.fasteners_missing <= self.fastener_count:
            raise ValueError(
                f"fasteners_missing = {self.fasteners_missing} is above fastener_count = "
                f"{self.fastener_count}; count all fastenings in fastener_count, the missing ones too"
            )
        if not self.ring_sag_m + self.clearance_margin_m < self.height_above_mirror_edge_m:
            raise ValueError(
                f"ring_sag_m = {self.ring_sag_m:g} and clearance_margin_m = {self.clearance_margin_m:g} use "
                f"up height_above_mirror_edge_m = {self.height_above_mirror_edge_m:g}; raise the ring"
            )
        return self


def faults(cover: Cover, mirror: Mirror) -> Iterator[Fault]:
    """Mistakes that only show when the cover and the mirror are seen together."""
    if not cover.radius_m > mirror.radius_m:
        yield Fault(
            "move.toml",
            "cover.radius_m",
            f"is {cover.radius_m:g}, allowed above {mirror.radius_m:g}, the radius of the mirror; "
            "the ring must stand outside the coated face",
        )
