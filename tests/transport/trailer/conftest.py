"""A trailer, a unit and a short road to change one thing at a time."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
import xarray as xr

from transport.trailer.assess import assess
from transport.trailer.inputs import Trailer

WIND_FROM_DEG = np.arange(0.0, 360.0, 15.0)
GROUPS = {
    4: (
        {"name": "front left", "lines": (5, 6, 7, 8), "side": "left"},
        {"name": "front right", "lines": (5, 6, 7, 8), "side": "right"},
        {"name": "rear left", "lines": (1, 2, 3, 4), "side": "left"},
        {"name": "rear right", "lines": (1, 2, 3, 4), "side": "right"},
    ),
    3: (
        {"name": "front", "lines": (5, 6, 7, 8), "side": "both"},
        {"name": "rear left", "lines": (1, 2, 3, 4), "side": "left"},
        {"name": "rear right", "lines": (1, 2, 3, 4), "side": "right"},
    ),
}
TRAILER: dict[str, Any] = {
    "tare_t": 28.0,
    "tare_centre_of_mass_height_m": 0.8,
    "deck_height_m": 1.1,
    "deck_length_m": 12.0,
    "deck_width_m": 3.0,
    "axle_line_x_m": (-5.25, -3.75, -2.25, -0.75, 0.75, 2.25, 3.75, 5.25),
    "bogie_y_m": 0.9,
    "axle_line_capacity_t": 18.0,
    "levels_crossfall": True,
    "levelling_tolerance_deg": 1.0,
    "roll_stiffness_MNm_per_rad": 15.0,
    "minimum_stability_angle_deg": 7.0,
    "horizontal_frequency_hz": 2.0,
    "vertical_frequency_hz": 2.0,
    "damping_ratio": 0.1,
    "cylinder_diameter_mm": 140.0,
    "cylinders_per_bogie_count": 1,
    "group_pressure_limit_bar": 80.0,
    "group_pressure_least_bar": 2.0,
    "axle_line_mass_t": 1.6,
    "deck_torsion_stiffness_MNm_per_rad": 0.5,
    "ground_bearing_kPa": 150.0,
}
UNIT: dict[str, Any] = {
    "unit_mass_t": 40.0,
    "unit_mass_tolerance_t": 0.5,
    "unit_centre_of_mass_m": (0.0, 0.0, 1.65),
    "unit_centre_of_mass_tolerance_m": 0.05,
    "wind_area_front_m2": 24.0,
    "wind_area_side_m2": 20.0,
    "wind_centre_m": (0.0, 0.0, 2.1),
    "force_coefficient": 1.2,
    "lift_coefficient": 0.5,
    "plan_area_m2": 28.0,
    "air_density_kg_per_m3": 1.25,
}
ROAD: dict[str, float] = {
    "heading_deg": 30.0,
    "grade_ratio": 0.06,
    "grade_se_ratio": 0.002,
    "crossfall_ratio": 0.02,
    "crossfall_se_ratio": 0.002,
    "curvature_per_m": 0.03,
    "curvature_se_per_m": 0.001,
    "speed_mps": 1.2,
}


def build(groups: int = 4, **changes: Any) -> Trailer:
    return Trailer.model_validate(TRAILER | {"group": GROUPS[groups]} | changes)


def lay(count: int = 3, **changes: Any) -> xr.Dataset:
    values = ROAD | changes
    return xr.Dataset(
        {name: ("station", np.broadcast_to(np.asarray(value, float), count).copy()) for name, value in values.items()},
        {"station": 5.0 * np.arange(count)},
    )


def run(
    trailer: Trailer | None = None,
    road: xr.Dataset | None = None,
    deceleration_mps2: float = 1.0,
    start_mps2: float = 0.5,
    seismic_mps2: tuple[float, float] = (1.0, 0.4),
    allowed_lateral_mps2: float = 2.0,
    wind_from_deg: np.ndarray = WIND_FROM_DEG,
    **changes: Any,
) -> xr.Dataset:
    road = lay() if road is None else road
    given = {
        "deceleration_mps2": deceleration_mps2,
        "start_mps2": start_mps2,
        "seismic_horizontal_mps2": seismic_mps2[0],
        "seismic_vertical_mps2": seismic_mps2[1],
    }
    pushed = {name: np.full(road.sizes["station"], value) for name, value in given.items()}
    unit = UNIT | changes | {"allowed_lateral_mps2": allowed_lateral_mps2}
    return assess(trailer or build(), road, wind_from_deg=wind_from_deg, **pushed, **unit)


@pytest.fixture(scope="session")
def tables() -> dict[str, Any]:
    return {"trailer": TRAILER, "group": GROUPS, "unit": UNIT, "road": ROAD}


@pytest.fixture(scope="session")
def trailer_of() -> Callable[..., Trailer]:
    return build


@pytest.fixture(scope="session")
def road_of() -> Callable[..., xr.Dataset]:
    return lay


@pytest.fixture(scope="session")
def stand_of() -> Callable[..., xr.Dataset]:
    return run
