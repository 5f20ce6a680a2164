"""Check values from standards, handbooks and reference libraries: tests/published/weather_*.csv."""

import csv
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import xarray as xr

from shared.tables import figure
from shared.units import celsius_from_kelvin, kelvin_from_celsius
from transport.weather import (
    beaufort,
    density,
    dew,
    dust,
    gust,
    orography,
    profile,
    steps,
    sun,
    thunder,
    vectors,
)
from transport.weather.feeds import units

FOLDER = Path(__file__).parents[2] / "published"
NREL = np.asarray(-105.1786), np.asarray(39.742476)


def rows(name: str) -> list[Any]:
    head, *body = (FOLDER / f"weather_{name}.csv").read_text(encoding="utf-8").splitlines()
    assert head.startswith("# source:")
    found = list(csv.DictReader(body))
    assert all(row["status"] in {"read", "memory", "practice", "own"} and row["source"] for row in found)
    return [pytest.param(row, id=f"{row['id']} {row['quantity']} {number}") for number, row in enumerate(found)]


def arguments(text: str) -> dict[str, Any]:
    pairs = (part.split("=") for part in text.split())
    return {name: _value(value) for name, value in pairs}


def _value(text: str) -> Any:
    try:
        return np.asarray(float(text))
    except ValueError:
        return text.replace("_", " ")


def check(row: dict[str, str], quantities: dict[str, Callable[..., Any]]) -> None:
    got = float(quantities[row["quantity"]](**arguments(row["inputs"])))
    assert got == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]), nan_ok=True), row


def kelvin(value: Any) -> Any:
    return kelvin_from_celsius(value)


def standard_density_kg_per_m3(height_m: Any) -> Any:
    return density.dry_density_kg_per_m3(
        density.standard_pressure_Pa(height_m), density.standard_temperature_K(height_m)
    )


AIR = {
    "standard density": standard_density_kg_per_m3,
    "standard pressure": density.standard_pressure_Pa,
    "standard density at geometric height": lambda height_m: standard_density_kg_per_m3(
        density.geopotential_height_m(height_m)
    ),
    "dew point": lambda temperature_c, humidity_ratio, fit: celsius_from_kelvin(
        dew.dew_point_K(kelvin(temperature_c), humidity_ratio, fit)
    ),
    "deposit point": lambda temperature_c, humidity_ratio: celsius_from_kelvin(
        dew.deposit_point_K(dew.dew_point_K(kelvin(temperature_c), humidity_ratio))
    ),
    "margin of a mirror": lambda mirror_c, temperature_c, humidity_ratio: dew.dew_margin_K(
        kelvin(mirror_c), dew.dew_point_K(kelvin(temperature_c), humidity_ratio)
    ),
    "saturation pressure": lambda temperature_c, fit: dew.saturation_pressure_Pa(kelvin(temperature_c), fit),
    "threshold friction": lambda diameter_um, density_kg_per_m3: dust.threshold_friction_mps(
        diameter_um * 1e-6, density_kg_per_m3
    ),
    "wind from friction": lambda friction_mps: dust.wind_from_friction_mps(friction_mps, 10.0, 0.001),
    "thunder distance": lambda count_s, temperature_c: thunder.thunder_distance_m(count_s, kelvin(temperature_c)),
    "Beaufort number": beaufort.beaufort_number,
}


@pytest.mark.parametrize("row", rows("air"))
def test_air(row: dict[str, str]) -> None:
    check(row, AIR)


def on_crest(v10_mps: Any, height_m: Any, relief: Any) -> Any:
    return profile.mean_wind_mps(v10_mps, profile.log_ratio(height_m, 10.0, 0.05), relief)


PROFILE = {
    "terrain ratio": lambda category: profile.terrain_ratio(_category(category)),
    "turbulence": lambda height_m, category: profile.turbulence_ratio(height_m, _category(category)),
    "exposure": lambda height_m, category: profile.exposure_ratio(height_m, _category(category)),
    "peak pressure": lambda basic_mps, height_m, category, density_kg_per_m3: profile.peak_pressure_Pa(
        profile.mean_wind_mps(basic_mps, profile.roughness_ratio(height_m, category), np.asarray(1.0)),
        profile.turbulence_ratio(height_m, category),
        density_kg_per_m3,
    ),
    "log ratio": lambda height_m, roughness_m: profile.log_ratio(height_m, 10.0, roughness_m),
    "power ratio": lambda height_m: profile.power_ratio(height_m, 10.0),
    "pressure gust ratio": gust.pressure_gust_ratio,
    "gust ratio": gust.gust_ratio,
    "sampled peak factor": lambda height_m, gust_s, exposure_s: gust.sampled_peak_factor(height_m, gust_s, exposure_s),
    "sampled gust ratio": lambda turbulence: gust.gust_ratio(
        turbulence, gust.sampled_peak_factor(np.asarray(10.0), 3.0, np.asarray(3600.0)), np.asarray(0.0)
    ),
    "largest value factor": gust.largest_value_factor,
    "crane gust ratio": gust.crane_gust_ratio,
    "mean on a crest": on_crest,
    "turbulence on a crest": lambda height_m, relief: profile.turbulence_ratio(height_m, "II", relief),
    "pressure gust on a crest": lambda v10_mps, height_m, relief: (
        on_crest(v10_mps, height_m, relief) * gust.pressure_gust_ratio(profile.turbulence_ratio(height_m, "II", relief))
    ),
    "peak pressure on a crest": lambda v10_mps, height_m, relief, density_kg_per_m3: profile.peak_pressure_Pa(
        on_crest(v10_mps, height_m, relief), profile.turbulence_ratio(height_m, "II", relief), density_kg_per_m3
    ),
}


def _category(text: Any) -> str:
    return text if isinstance(text, str) else f"{float(text):g}"


@pytest.mark.parametrize("row", rows("profile"))
def test_profile(row: dict[str, str]) -> None:
    check(row, PROFILE)


def on_hill(height_m: Any, upwind_m: Any, downwind_m: Any, x_m: Any, z_m: Any) -> Any:
    length_m = orography.effective_length_m(float(height_m), float(upwind_m))
    location = orography.hill_location(x_m, z_m / length_m, float(upwind_m), float(downwind_m))
    return orography.en_ratio(location, height_m / upwind_m)


def on_cliff(height_m: Any, upwind_m: Any, x_m: Any, z_m: Any) -> Any:
    length_m = orography.effective_length_m(float(height_m), float(upwind_m))
    location = orography.cliff_location(x_m, z_m / length_m, float(upwind_m), length_m)
    return orography.en_ratio(location, height_m / upwind_m)


def topographic(feature: str, height_m: Any, half_m: Any, x_m: Any, z_m: Any, category: str) -> Any:
    return orography.asce_ratio(x_m, z_m, float(height_m), float(half_m), feature, category)


RELIEF = {
    "crest location": lambda a: orography.crest_location(a, np.asarray(0.0), "upwind"),
    "orography of a hill": on_hill,
    "orography of a cliff": on_cliff,
    "cliff location": lambda a, x_over_length: orography.cliff_location(x_over_length * 100.0, a, 100.0, 100.0),
    "topographic factor": topographic,
    "speed-up factor": lambda feature, slope: (
        np.sqrt(topographic(feature, slope * 100.0, 100.0, np.asarray(0.0), np.asarray(0.0), "II")) - 1.0
    ),
}


@pytest.mark.parametrize("row", rows("relief"))
def test_relief(row: dict[str, str]) -> None:
    check(row, RELIEF)


def apparent_mps(speed_mps: Any, from_deg: Any, vehicle_mps: Any, heading_deg: Any) -> Any:
    return vectors.highest_apparent_mps(speed_mps, from_deg, vehicle_mps, heading_deg, 0.0)


def middle(first_mps: Any, first_deg: Any, second_mps: Any, second_deg: Any) -> tuple[Any, Any]:
    both = (vectors.components_mps(first_mps, first_deg), vectors.components_mps(second_mps, second_deg))
    return np.stack([both[0][0], both[1][0]]), np.stack([both[0][1], both[1][1]])


def middle_deg(east_mps: Any, north_mps: Any) -> float:
    """Direction of the vector sum, -180 to 180; unknown if two differ by more than the house allows."""
    agree = vectors.widest_angle_deg(east_mps, north_mps) <= figure("weather_direction_differs_deg")
    direction_deg = float(vectors.from_direction_deg(east_mps.sum(), north_mps.sum()))
    return (direction_deg + 180.0) % 360.0 - 180.0 if agree else np.nan


VECTORS = {
    "eastward": lambda **wind: vectors.components_mps(**wind)[0],
    "northward": lambda **wind: vectors.components_mps(**wind)[1],
    "direction": lambda u_mps, v_mps: vectors.from_direction_deg(u_mps, v_mps),
    "apparent speed": apparent_mps,
    "middle speed by vectors": lambda **case: np.hypot(*(part.mean(axis=0) for part in middle(**case))),
    "middle direction": lambda **case: middle_deg(*middle(**case)),
    "middle speed for limits": lambda first_mps, second_mps, **_: steps.worst(
        np.array([[first_mps, second_mps]]), steps.Overlap(np.array([0]), np.array([1]), np.array([True])), np.maximum
    )[0, 0],
}


@pytest.mark.parametrize("row", rows("vectors"))
def test_vectors(row: dict[str, str]) -> None:
    check(row, VECTORS)


def azimuth_deg(time: np.datetime64) -> float:
    east, north, _ = sun.sun_vector(time, *NREL)
    return float(np.rad2deg(np.arctan2(east, north)) % 360.0)


def seconds(time: np.datetime64) -> float:
    return float((time - time.astype("datetime64[D]")) / np.timedelta64(1, "s"))


def crossing(near: str, elevation_deg: float) -> float:
    """Second of the day at which the sun crosses an elevation within two hours: a straight line in the minute."""
    minutes = np.datetime64(near, "s") + 60 * np.arange(-120, 121)
    above = sun.solar_elevation_deg(minutes, *NREL) - elevation_deg
    (at,) = np.flatnonzero((above[:-1] < 0) != (above[1:] < 0))
    return seconds(minutes[at]) + 60.0 * float(above[at] / (above[at] - above[at + 1]))


@pytest.mark.parametrize("row", rows("sun"))
def test_sun(row: dict[str, str]) -> None:
    time, quantity = np.datetime64(row["time"]), row["quantity"]
    if quantity in {"civil dawn", "civil dusk", "sunset"}:
        got = crossing(row["time"], -0.8333 if quantity == "sunset" else -6.0)
        expected = seconds(np.datetime64(f"2003-10-17T{row['expected']}"))
    else:
        got = {
            "zenith": lambda: float(90.0 - sun.solar_elevation_deg(time, *NREL)),
            "azimuth": lambda: azimuth_deg(time),
            "julian day": lambda: float(sun.julian_day(time)),
        }[quantity]()
        expected = float(row["expected"])
    assert got == pytest.approx(expected, abs=float(row["tolerance"]), rel=0)


def gust_of_a_stay(gusts: list[float], hours: float, from_min: Any, until_min: Any) -> Any:
    day = np.datetime64("2026-03-10T00:00:00")
    ends = day + (np.arange(1, len(gusts) + 1) * hours * 3600).astype("timedelta64[s]")
    starts = ends - np.timedelta64(round(hours * 3600), "s")
    stay = [np.array([day + np.timedelta64(round(float(minute) * 60), "s")]) for minute in (from_min, until_min)]
    return steps.worst(np.array([gusts]), steps.overlap(starts, ends, *stay), np.maximum)[0, 0]


def library_unpacking(value: Any, tmp: Path) -> float:
    packed = {"dtype": "int16", "scale_factor": 0.01, "_FillValue": None}
    with np.errstate(invalid="ignore"):
        xr.Dataset({"x": ("t", np.atleast_1d(value))}).to_netcdf(tmp / "x.nc", engine="netcdf4", encoding={"x": packed})
    with xr.open_dataset(tmp / "x.nc", engine="netcdf4") as data:
        return float(data["x"][0])


@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize("row", rows("feed"))
def test_feed(row: dict[str, str], tmp_path: Path) -> None:
    check(
        row,
        {
            "speed unit": lambda text: units.scale_of("wind_speed", text, "x.nc", "x").factor,
            "gust of a stay": lambda **stay: gust_of_a_stay([12.0, 25.0, 14.0], 1.0, **stay),
            "gust of three hours": lambda **stay: gust_of_a_stay([0.0, 0.0, 0.0, 18.0, 8.0], 3.0, **stay),
            "library unpacking": lambda value: library_unpacking(value, tmp_path),
        },
    )
