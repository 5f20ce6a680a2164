"""The tractor, or the tractors of one train together, as they stand in `[tractor]`."""

from typing import Literal, Self

from pydantic import model_validator

from shared.inputs import Model, practice, quantity

__all__ = ["Tractor"]


class Tractor(Model):
    """What pulls, holds and stops the train; brake values are those of the whole train."""

    mass_t: float = quantity(gt=0, le=400, help="weigh it with its ballast; add up all tractors of the train")
    driven_mass_t: float = quantity(gt=0, le=400, help="mass on the driven axles, weighed")
    tractive_force_kN: float = quantity(gt=0, le=5000, help="at the wheel, at the planned speed")
    retarding_force_kN: float = quantity(
        ge=0, le=5000, help="held by gear or hydrostatic drive at crawl, without the service brake"
    )
    retarding_power_kW: float = quantity(ge=0, le=5000, help="continuous power of engine brake or retarder")
    reaction_time_s: float = quantity(gt=0, le=10, help="from the call to the brake; 1.5 to 2.5 s is usual")
    brake_build_up_s: float = quantity(ge=0, le=10, help="until the brake force stands; 0.4 to 0.6 s is usual with air")
    brake_ratio: float = quantity(gt=0, le=1, help="brake force over weight of the whole train, loaded, measured")
    service_deceleration_mps2: float = quantity(gt=0, le=5, help="what the driver stops with in service, measured")
    emergency_deceleration_mps2: float = quantity(gt=0, le=10, help="highest the train can do, measured")
    emergency_ramp_s: float = quantity(gt=0, le=10, help="time in which that deceleration builds up, measured")
    start_acceleration_mps2: float = practice(
        0.5, "upper end of a heavy train that starts with a soft drive; measure yours", gt=0, le=5
    )
    parking_grade_ratio: float = quantity(
        gt=0, le=0.5, help="steepest grade the parking brake is rated to hold, loaded; write 0.18 for 18 %"
    )
    stopping_distance_limit_m: float = quantity(gt=0, le=200, help="what the walkers and the road leave room for")
    road_state: Literal["dry", "wet"] = practice(
        "wet", "dew and rain of the night before leave a road wet; say dry only if someone looks before the move"
    )
    brake_iron_t: float = practice(1.8, "drums of a train of some 100 t; only for the heat a descent would give",
                                   gt=0, le=50)  # fmt: skip
    bump_height_m: float = practice(0.03, "a stone or joint that a walker may miss", gt=0, le=0.3)
    bump_length_m: float = practice(0.5, "short enough to be felt as a blow", gt=0.05, le=10)

    @model_validator(mode="after")
    def _driven_is_part(self) -> Self:
        if not self.driven_mass_t <= self.mass_t:
            raise ValueError(
                f"driven_mass_t is {self.driven_mass_t:g}, mass_t is {self.mass_t:g}; "
                "the driven axles carry at most the whole tractor"
            )
        return self

    @model_validator(mode="after")
    def _emergency_is_harder(self) -> Self:
        if not self.service_deceleration_mps2 <= self.emergency_deceleration_mps2:
            raise ValueError(
                f"service_deceleration_mps2 is {self.service_deceleration_mps2:g}, emergency_deceleration_mps2 is "
                f"{self.emergency_deceleration_mps2:g}; an emergency stop is at least as hard as a service stop"
            )
        return self
