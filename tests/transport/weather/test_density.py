"""Density of the air beyond the check values: range, laws."""

import numpy as np
import pytest

from shared.errors import OutOfRangeError
from transport.weather import density


def test_range_of_the_standard_atmosphere() -> None:
    for height_m in (-600.0, 11_001.0, np.nan):
        with pytest.raises(OutOfRangeError, match=r"-500 to 11000, the troposphere of the standard atmosphere"):
            density.standard_temperature_K(np.asarray(height_m))


def test_cold_air_is_heavier() -> None:
    dry = density.dry_density_kg_per_m3(np.asarray(75_000.0), np.asarray(288.15))
    cold = density.dry_density_kg_per_m3(np.asarray(75_000.0), np.asarray(268.15))
    assert dry < cold
    assert np.isnan(density.dry_density_kg_per_m3(np.asarray(np.nan), np.asarray(288.15)))
