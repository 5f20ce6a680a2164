"""A tractor and a short road to change one thing at a time."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
import xarray as xr

from transport.stopping.assess import assess
from transport.stopping.inputs import Tractor

WIND_FROM_DEG = np.arange(0.0, 360.0, 90.0)
TRACTOR: dict[str, Any] = {
    "mass_t": 30.0,
    "driven_mass_t": 30.0,
    "tractive_force_kN": 200.0,
    "retarding_force_kN": 130.0,
    "retarding_power_kW": 220.0,
    "reaction_time_s": 2.0,
    "brake_build_up_s": 0.5,
    "brake_ratio": 0.2,
    "service_deceleration_mps2": 0.3,
    "emergency_deceleration_mps2": 0.8,
    "emergency_ramp_s": 0.5,
    "parking_grade_ratio": 0.18,
    "stopping_distance_limit_m": 8.0,
    "road_state": "dry",
}
LOAD: dict[str, Any] = {
    "trailer_mass_t": 28.0,
    "unit_mass_t": 40.0,
    "allowed_longitudinal_mps2": 2.5,
    "allowed_vertical_mps2": 2.5,
    "deck_frequency_hz": 2.0,
    "damping_ratio": 0.1,
}
ROAD: dict[str, Any] = {
    "grade_ratio": 0.0,
    "grade_se_ratio": 0.002,
    "speed_mps": 5.0 / 3.6,
    "surface": "gravel",
    "roughness_class": "B",
}


def build(**changes: Any) -> Tractor:
    return Tractor.model_validate(TRACTOR | changes)


def lay(count: int = 3, **changes: Any) -> xr.Dataset:
    values = ROAD | changes
    return xr.Dataset(
        {name: ("station", np.broadcast_to(np.asarray(value), count).copy()) for name, value in values.items()},
        {"station": 5.0 * np.arange(count)},
    )


def run(tractor: Tractor | None = None, road: xr.Dataset | None = None, **changes: Any) -> xr.Dataset:
    return assess(tractor or build(), lay() if road is None else road, wind_from_deg=WIND_FROM_DEG, **LOAD | changes)


@pytest.fixture(scope="session")
def tractor_of() -> Callable[..., Tractor]:
    return build


@pytest.fixture(scope="session")
def road_of() -> Callable[..., xr.Dataset]:
    return lay


@pytest.fixture(scope="session")
def stop_of() -> Callable[..., xr.Dataset]:
    return run
