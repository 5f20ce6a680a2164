"""The equations against general reference libraries: ambiance, MetPy, pvlib, pint."""

import ambiance
import metpy.calc
import metpy.units
import numpy as np
import pandas as pd
import pint
import pvlib
import pytest

from transport.weather import density, dew, sun, vectors
from transport.weather.feeds.units import UNITS

Q = metpy.units.units.Quantity


def test_standard_atmosphere_equals_ambiance() -> None:
    height_m = np.array([0.0, 500.0, 1000.0, 2500.0, 4200.0, 5000.0, 9000.0])
    potential_m = density.geopotential_height_m(height_m)
    pressure_Pa, temperature_K = density.standard_pressure_Pa(potential_m), density.standard_temperature_K(potential_m)
    reference = ambiance.Atmosphere(height_m)
    np.testing.assert_allclose(density.dry_density_kg_per_m3(pressure_Pa, temperature_K), reference.density, rtol=1e-6)
    np.testing.assert_allclose(pressure_Pa, reference.pressure, rtol=1e-6)


def test_dry_density_is_an_upper_bound_of_moist_density_by_metpy() -> None:
    temperature_K, pressure_Pa, humidity = (
        np.array([263.15, 278.15, 288.15]),
        np.array([54e3, 75e3, 75e3]),
        np.array([0.3, 0.5, 1.0]),
    )
    mixing = metpy.calc.mixing_ratio_from_relative_humidity(
        Q(pressure_Pa, "Pa"), Q(temperature_K, "K"), Q(humidity, "")
    )
    theirs = metpy.calc.density(Q(pressure_Pa, "Pa"), Q(temperature_K, "K"), mixing).to("kg/m^3").magnitude
    ours = density.dry_density_kg_per_m3(pressure_Pa, temperature_K)
    assert (ours >= theirs).all()
    np.testing.assert_allclose(ours, theirs, rtol=0.01)


def test_dew_point_equals_metpy_within_a_tenth_of_a_degree() -> None:
    temperature_K, humidity = (
        part.ravel() for part in np.meshgrid(np.linspace(263.15, 303.15, 9), np.linspace(0.2, 1.0, 9))
    )
    theirs = metpy.calc.dewpoint_from_relative_humidity(Q(temperature_K, "K"), Q(humidity, "")).to("K").magnitude
    np.testing.assert_allclose(dew.dew_point_K(temperature_K, humidity), theirs, atol=0.1)


def test_wind_components_and_direction_equal_metpy() -> None:
    speed_mps, from_deg = np.full(36, 12.0), 10.0 * np.arange(36)
    theirs = metpy.calc.wind_components(Q(speed_mps, "m/s"), Q(from_deg, "deg"))
    for ours, part in zip(vectors.components_mps(speed_mps, from_deg), theirs, strict=True):
        np.testing.assert_allclose(ours, part.magnitude, atol=1e-9)
    back = metpy.calc.wind_direction(*theirs).magnitude % 360.0
    np.testing.assert_allclose(
        vectors.from_direction_deg(*(part.magnitude for part in theirs)) % 360.0, back, atol=1e-6
    )


@pytest.mark.parametrize(("longitude_deg", "latitude_deg"), [(-21.3, -38.5), (-105.1786, 39.742476), (11.0, 70.0)])
def test_sun_equals_pvlib(longitude_deg: float, latitude_deg: float) -> None:
    times = pd.date_range("2026-01-01", "2026-12-31", freq="37h", tz="UTC")
    theirs = pvlib.solarposition.get_solarposition(times, latitude_deg, longitude_deg, method="nrel_numpy")
    ours = times.tz_localize(None).to_numpy(), np.asarray(longitude_deg), np.asarray(latitude_deg)
    np.testing.assert_allclose(sun.solar_elevation_deg(*ours), theirs["elevation"], atol=0.012)
    high = theirs["elevation"] < 80.0
    east, north, _ = sun.sun_vector(*ours)
    off = (np.rad2deg(np.arctan2(east, north)) - theirs["azimuth"].to_numpy() + 180.0) % 360.0 - 180.0
    assert np.abs(off[high]).max() < 0.05


PLAIN = {"degC": "K", "hPa": "Pa", "kPa": "Pa", "mbar": "Pa", "km": "m", "mm": "m", "m": "m", "K": "K"}


@pytest.mark.parametrize("text", ["knot", "knots", "kt", "mph", "km/h", "m/s"])
def test_speed_factors_equal_pint(text: str) -> None:
    theirs = pint.UnitRegistry().Quantity(1.0, text).to("m/s").magnitude
    assert UNITS["wind_speed"][text].factor == pytest.approx(theirs, rel=1e-12)


def test_temperature_and_pressure_factors_equal_pint() -> None:
    registry = pint.UnitRegistry()
    scale = UNITS["air_temperature"]["degC"]
    assert 20.0 * scale.factor + scale.offset == pytest.approx(registry.Quantity(20.0, "degC").to("K").magnitude)
    for text in ("hPa", "kPa", "mbar"):
        assert UNITS["surface_air_pressure"][text].factor == pytest.approx(
            registry.Quantity(1.0, text).to("Pa").magnitude
        )


def test_metpy_and_pint_would_have_guessed_where_we_refuse() -> None:
    assert str(pint.UnitRegistry().Quantity(1.0, "C").units) == "coulomb"
    assert pint.UnitRegistry().Quantity(1.0, "").dimensionless
    assert "C" not in UNITS["air_temperature"]
    assert not any("" in allowed for allowed in UNITS.values())
