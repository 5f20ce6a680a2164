"""Every check of the move, with no weather in it: the safety officer's whole calculation."""

from pathlib import Path

import numpy as np
import xarray as xr

import routes.assess
import routes.fit
import routes.survey
import transport.cover.assess
import transport.load_cases.assess
import transport.seismic.assess
import transport.stopping.assess
import transport.trailer.assess
from shared.arrays import Array
from shared.folder import inside
from transport.window.inputs import Move

__all__ = [
    "WIND_FROM_DEG",
    "checks_of",
    "cover_of",
    "fit_of",
    "road_of",
    "securing_of",
    "seismic_of",
    "stopping_of",
    "trailer_of",
]

WIND_FROM_DEG: Array = np.arange(0.0, 360.0, 15.0)


def road_of(move: Move, folder: Path) -> xr.Dataset:
    """The road in the direction of travel, from the survey of the move."""
    points = routes.survey.read(inside(folder, move.route.survey, "route.survey"), move.route)
    return routes.assess.assess(points, move.route, leg=move.move.leg)


def checks_of(move: Move, road: xr.Dataset, *, exposure_h: float) -> dict[str, xr.Dataset]:
    """Run every check once; each is named after the package that calculates it."""
    stop, quake = stopping_of(move, road), seismic_of(move, road, exposure_h)
    stand = trailer_of(move, road, stop, quake)
    return {
        "route": fit_of(move, road),
        "stopping": stop,
        "trailer": stand,
        "seismic": quake,
        "securing": securing_of(move, road, stop, stand, quake),
        "cover": cover_of(move, road, stop["vertical_acceleration_mps2"].values),
    }


def fit_of(move: Move, road: xr.Dataset) -> xr.Dataset:
    """Whether the trailer fits the road, and what the survey can support."""
    return routes.fit.assess(
        road,
        move.route,
        vehicle_width_m=move.trailer.deck_width_m,
        vehicle_length_m=move.trailer.deck_length_m,
        wind_from_deg=WIND_FROM_DEG,
    )


def cover_of(move: Move, road: xr.Dataset, vertical_mps2: Array) -> xr.Dataset:
    """The cover's limits by cause."""
    return transport.cover.assess.assess(
        move.cover,
        move.mirror,
        station_m=road["station"].values,
        wind_from_deg=WIND_FROM_DEG,
        air_density_kg_per_m3=move.site.air_density_kg_per_m3,
        vertical_acceleration_mps2=vertical_mps2,
    )


def stopping_of(move: Move, road: xr.Dataset) -> xr.Dataset:
    """Holding, climbing, stopping, parking and the ride."""
    return transport.stopping.assess.assess(
        move.tractor,
        road,
        trailer_mass_t=move.trailer.tare_t,
        unit_mass_t=move.unit.mass_t + move.unit.mass_tolerance_t,
        allowed_longitudinal_mps2=move.mirror.allowed_longitudinal_mps2,
        allowed_vertical_mps2=move.mirror.allowed_vertical_mps2,
        deck_frequency_hz=move.trailer.vertical_frequency_hz,
        horizontal_frequency_hz=move.trailer.horizontal_frequency_hz,
        damping_ratio=move.trailer.damping_ratio,
        axle_line_x_m=move.trailer.axle_line_x_m,
        wind_from_deg=WIND_FROM_DEG,
    )


def trailer_of(move: Move, road: xr.Dataset, stop: xr.Dataset, quake: xr.Dataset) -> xr.Dataset:
    """How the trailer stands, on what stopping and earthquake bring."""
    unit = move.unit
    return transport.trailer.assess.assess(
        move.trailer,
        road,
        unit_mass_t=unit.mass_t,
        unit_mass_tolerance_t=unit.mass_tolerance_t,
        unit_centre_of_mass_m=unit.centre_of_mass_m,
        unit_centre_of_mass_tolerance_m=unit.centre_of_mass_tolerance_m,
        wind_area_front_m2=unit.wind_area_front_m2,
        wind_area_side_m2=unit.wind_area_side_m2,
        wind_centre_m=unit.wind_centre_m,
        force_coefficient=unit.force_coefficient,
        lift_coefficient=unit.lift_coefficient,
        plan_area_m2=unit.plan_area_m2,
        air_density_kg_per_m3=move.site.air_density_kg_per_m3,
        deceleration_mps2=stop["emergency_deceleration_mps2"].values,
        start_mps2=stop["start_acceleration_mps2"].values,
        seismic_horizontal_mps2=quake["deck_horizontal_mps2"].values,
        seismic_vertical_mps2=quake["deck_vertical_mps2"].values,
        allowed_lateral_mps2=move.mirror.allowed_lateral_mps2,
        wind_from_deg=WIND_FROM_DEG,
        saddle_from_middle_m=_saddle_m(move),
    )


def _saddle_m(move: Move) -> float | None:
    """How far the pads stand to either side of the neutral point, where they are two rows across the deck."""
    reach_m = {round(abs(contact.position_m[0]), 2) for contact in move.contact if contact.kind == "pad"}
    return reach_m.pop() if len(reach_m) == 1 else None


def seismic_of(move: Move, road: xr.Dataset, exposure_h: float) -> xr.Dataset:
    """The shaking of the deck, for the time that the load is exposed."""
    return transport.seismic.assess.assess(
        move.seismic,
        road,
        horizontal_frequency_hz=move.trailer.horizontal_frequency_hz,
        vertical_frequency_hz=move.trailer.vertical_frequency_hz,
        damping_ratio=move.trailer.damping_ratio,
        exposure_h=exposure_h,
    )


def securing_of(move: Move, road: xr.Dataset, stop: xr.Dataset, stand: xr.Dataset, quake: xr.Dataset) -> xr.Dataset:
    """The four load cases of the securing, on what stopping, trailer and earthquake bring."""
    return transport.load_cases.assess.assess(
        move.unit,
        move.chain,
        move.contact,
        move.securing,
        road=road,
        deck_pitch_deg=stand["deck_pitch_deg"].values,
        deck_roll_deg=stand["deck_roll_deg"].values,
        deceleration_mps2=stop["emergency_deceleration_mps2"].values,
        start_mps2=stop["start_acceleration_mps2"].values,
        vertical_mps2=stop["vertical_acceleration_mps2"].values,
        seismic_horizontal_mps2=quake["deck_horizontal_mps2"].values,
        seismic_vertical_mps2=quake["deck_vertical_mps2"].values,
        air_density_kg_per_m3=move.site.air_density_kg_per_m3,
        wind_from_deg=WIND_FROM_DEG,
    )
