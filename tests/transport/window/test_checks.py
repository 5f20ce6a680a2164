"""Laws of the whole limit rose: turning and mirroring the world turns and mirrors the limits."""

from pathlib import Path

import numpy as np
import pytest
import xarray as xr

from shared.inputs import load_toml
from transport.window.checks import checks_of, road_of
from transport.window.inputs import Move
from transport.window.rose import rose

SAMPLES = Path(__file__).resolve().parents[3] / "samples"


@pytest.fixture(scope="module")
def move() -> Move:
    return load_toml(SAMPLES / "windy_saddle" / "move.toml", Move)


@pytest.fixture(scope="module")
def road(move: Move) -> xr.Dataset:
    return road_of(move, SAMPLES / "windy_saddle").isel(station=slice(0, None, 8))


def limits(move: Move, road: xr.Dataset) -> xr.DataArray:
    checks = checks_of(move, road, exposure_h=6.0)
    return rose(check for check in checks.values() if "gust_limit_mps" in check)["gust_limit_by_state_mps"]


def turned(road: xr.Dataset, angle_deg: float) -> xr.Dataset:
    return road.assign(heading_deg=(road["heading_deg"] + angle_deg) % 360.0)


def mirrored(road: xr.Dataset) -> xr.Dataset:
    """The same road seen in a mirror that runs north and south."""
    return road.assign(
        heading_deg=(-road["heading_deg"]) % 360.0,
        crossfall_ratio=-road["crossfall_ratio"],
        curvature_per_m=-road["curvature_per_m"],
        width_left_m=road["width_right_m"],
        width_right_m=road["width_left_m"],
    )


def test_a_turned_road_with_a_turned_wind_has_the_same_limits(move: Move, road: xr.Dataset) -> None:
    plain, other = limits(move, road), limits(move, turned(road, 45.0))
    np.testing.assert_allclose(other.values, np.roll(plain.values, 3, axis=2), rtol=2e-3, atol=0.02)


def test_a_mirrored_road_with_a_mirrored_wind_has_the_same_limits(move: Move, road: xr.Dataset) -> None:
    """Trailer, unit, chains and contacts of the sample are their own mirror image."""
    plain, other = limits(move, road), limits(move, mirrored(road))
    back = np.roll(other.values[:, :, ::-1], 1, axis=2)
    np.testing.assert_allclose(back, plain.values, rtol=2e-3, atol=0.02)


def test_the_return_leg_is_the_same_road_from_the_other_end(move: Move) -> None:
    """Law: widths change sides, grade, crossfall and curvature change sign, heading turns half a turn."""
    there = move.model_copy(update={"move": move.move.model_copy(update={"leg": "out"})})
    back, out = road_of(move, SAMPLES / "windy_saddle"), road_of(there, SAMPLES / "windy_saddle")
    turned_back = back.isel(station=slice(None, None, -1))
    np.testing.assert_allclose(turned_back["crossfall_ratio"], -out["crossfall_ratio"], atol=1e-9)
    np.testing.assert_allclose(turned_back["curvature_per_m"], -out["curvature_per_m"], atol=1e-9)
    np.testing.assert_allclose(turned_back["width_left_m"], out["width_right_m"], atol=1e-9)
    difference = (turned_back["heading_deg"].values - out["heading_deg"].values) % 360.0
    np.testing.assert_allclose(difference, 180.0, atol=1e-6)


@pytest.mark.parametrize("name", ["grade_ratio", "crossfall_ratio", "curvature_per_m", "width_left_m"])
def test_what_is_not_known_of_the_road_is_not_known_of_the_rose(name: str, move: Move, road: xr.Dataset) -> None:
    hole = road[name].copy()
    hole[5] = np.nan
    checks = checks_of(move, road.assign({name: hole}), exposure_h=6.0)
    stacked = rose(check for check in checks.values() if "gust_limit_mps" in check)
    assert np.isnan(stacked["gust_limit_mps"].values[5]).all()


@pytest.mark.parametrize("name", ["surface", "roughness_class"])
def test_an_unnamed_surface_or_roughness_is_not_known(name: str, move: Move, road: xr.Dataset) -> None:
    checks = checks_of(move, road.assign({name: xr.full_like(road[name], "")}), exposure_h=6.0)
    stacked = rose(check for check in checks.values() if "gust_limit_mps" in check)
    assert np.isnan(stacked["gust_limit_mps"].values).all()
