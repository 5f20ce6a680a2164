"""Air, dew, rain and sight over the road: the worst station counts."""

import numpy as np
import xarray as xr

from transport.weather import conditions
from transport.weather.neighbourhood import Neighbourhood, neighbourhood


def near_of(normal: xr.Dataset) -> Neighbourhood:
    return neighbourhood(normal, np.array([-21.40, -21.30]), np.array([-38.60, -38.50]), 6.0)


def test_worst_station(normal: xr.Dataset) -> None:
    near = near_of(normal)
    high = conditions.over_road(near, near.high["dew_point_K"], np.maximum)
    low = conditions.over_road(near, near.high["dew_point_K"], np.minimum)
    assert (high >= low).all()
    assert high.shape == (6, 30)


def test_mirror_before_its_measurement_and_without_one(normal: xr.Dataset) -> None:
    near = near_of(normal)
    air_K = conditions.air_temperature_K(near, np.array([2100.0, 2100.0]))
    assert np.isnan(conditions.margin_K(near, air_K, None)).all()
    mirror = conditions.Mirror(284.0, np.datetime64("2026-03-10T05:30:00"))
    margin = conditions.margin_K(near, air_K, mirror)
    assert np.isnan(margin[:, :5]).all()
    assert not np.isnan(margin[:, 5:]).any()
    before = conditions.Mirror(284.0, np.datetime64("2026-03-09T23:59:00"))
    assert np.isnan(conditions.margin_K(near, air_K, before)).all()


def test_density_without_pressure_uses_the_standard_atmosphere(normal: xr.Dataset) -> None:
    near = near_of(normal.assign(surface_pressure_Pa=normal["surface_pressure_Pa"] * np.nan))
    air_K = conditions.air_temperature_K(near, np.array([2100.0, 2500.0]))
    density = conditions.highest_density_kg_per_m3(near, air_K, np.array([2100.0, 2500.0]))
    np.testing.assert_allclose(density, 78500.0 / (287.05287 * air_K), rtol=0.01)
