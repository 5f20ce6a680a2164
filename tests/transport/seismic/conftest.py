"""An earthquake level and a short road to vary."""

from datetime import date
from typing import Any

import numpy as np
import pytest
import xarray as xr

from transport.seismic.inputs import Seismic


@pytest.fixture
def seismic_fields() -> dict[str, Any]:
    """The table [seismic] of an invented move."""
    return {
        "reference_acceleration_mps2": 1.2,
        "return_period_years": 95.0,
        "importance_factor_ratio": 1.0,
        "spectrum_type": 1,
        "ground_type": "B",
        "topography_factor_ratio": 1.2,
        "hazard_exponent": 3.0,
        "planned_moves": 20,
        "level_chosen_by": "C. Example, safety officer",
        "level_chosen_on": date(2026, 2, 20),
        "source": "hazard study of the site, invented",
    }


@pytest.fixture
def seismic(seismic_fields: dict[str, Any]) -> Seismic:
    return Seismic(**seismic_fields)


@pytest.fixture
def road() -> xr.Dataset:
    """Three stations: level, steep, steep with crossfall."""
    return xr.Dataset(
        {
            "grade_ratio": ("station", np.array([0.0, -0.10, 0.06])),
            "crossfall_ratio": ("station", np.array([0.0, 0.0, 0.03])),
            "speed_mps": ("station", np.full(3, 5.0 / 3.6)),
        },
        {"station": np.array([0.0, 5.0, 10.0])},
    )
