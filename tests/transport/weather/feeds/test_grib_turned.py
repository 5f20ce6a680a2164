"""Winds along the axes of a real Lambert grid and of a real turned grid, turned to true north from end to end."""

import json
from collections.abc import Callable
from pathlib import Path

import eccodes
import numpy as np
import pytest
from scipy.interpolate import interpn

from transport.weather.feeds import feed
from transport.weather.feeds.grib.read import read
from transport.weather.feeds.inputs import Feed
from transport.weather.vectors import from_direction_deg

Save = Callable[..., Path]


def at_steps(path: Path, steps_h: tuple[int, ...]) -> bytes:
    """The fields of a real file of one step, said to be of several: a clock needs at least two."""
    made = b""
    eccodes.codes_grib_multi_support_on()
    with path.open("rb") as file:
        eccodes.codes_grib_multi_support_reset_file(file)
        while (handle := eccodes.codes_grib_new_from_file(file)) is not None:
            if eccodes.codes_get(handle, "edition") == 1:
                eccodes.codes_set(handle, "edition", 2)
            if eccodes.codes_get(handle, "shortName") in ("10u", "10v", "gust", "orog"):
                for step in steps_h:
                    eccodes.codes_set(handle, "forecastTime", step)
                    made += bytes(eccodes.codes_get_message(handle))
            eccodes.codes_release(handle)
    eccodes.codes_grib_multi_support_off()
    return made


def test_real_lambert_wind_against_the_convergence_of_its_meridians(data: Path, save: Save) -> None:
    """Turn = (longitude - 265 deg) sin 25 deg on a cone that touches the sphere at 25 N, by the file's header.

    Source: convergence of the Lambert conformal conic, Snyder, Map projections, USGS Professional Paper 1395,
    chapter 15 (memory).
    """
    path = save([at_steps(data / "cfgrib" / "nam_excerpt.grib2", (0, 1))])
    found = feed.read(path, Feed(path="forecast.grib2", role="forecast"))
    raw = read(path).raw.variables
    x_mps, y_mps = (raw[name].to_numpy()[0] for name in ("10u", "10v"))
    turn_deg = (raw["longitude"].to_numpy() - 265.0) * np.sin(np.deg2rad(25.0))
    along = from_direction_deg(x_mps, y_mps)
    true = from_direction_deg(found["eastward_wind_mps"].to_numpy()[0, 0], found["northward_wind_mps"].to_numpy()[0, 0])
    blown = np.hypot(x_mps, y_mps) > 0.5
    off_deg = (true - along - turn_deg + 180.0) % 360.0 - 180.0
    assert np.abs(off_deg[blown]).max() < 0.05
    assert turn_deg.min() == pytest.approx(-24.2, abs=0.3), "as cfgrib leaves it unturned"
    assert turn_deg.max() == pytest.approx(19.0, abs=0.3)
    np.testing.assert_allclose(found["mean_wind_mps"].to_numpy()[0, 0], np.hypot(x_mps, y_mps), rtol=1e-5)
    assert found["mean_wind_mps"].dims == ("realization", "time", "y", "x")
    assert any("turned from the axes of the grid" in text for text in json.loads(found.attrs["derived"]))


def reversed_y_mps(along: list[np.ndarray], turned: list[np.ndarray]) -> list[np.ndarray]:
    """What would be read if y ran down with the rows."""
    angle = np.angle(np.array(along[0]) + 1j * along[1]) - np.angle(turned[0] + 1j * turned[1])
    wind = (along[0] - 1j * along[1]) * np.exp(-1j * angle)
    return [wind.real, wind.imag]


def test_real_wind_on_a_turned_grid_agrees_with_the_same_on_a_plain_one(data: Path, save: Save) -> None:
    """The same real wind on both, rows running down in both: turned it fits, unturned or with y along the rows not.

    Nodes 20 degrees apart bound the fit: of the speeds alone the correlation is 0.36.
    """
    found = {}
    for name in ("wind_20x20", "rotated_wind_20x20"):
        path = save([at_steps(data / "earthkit-data" / f"{name}.grib", (0, 1))], f"{name}.grib2")
        found[name] = feed.read(path, Feed(path=path.name, role="forecast")).isel(realization=0, time=0)
    plain, turned = found["wind_20x20"], found["rotated_wind_20x20"]
    names = ("eastward_wind_mps", "northward_wind_mps")
    around = [plain[name].pad(longitude=1, mode="wrap").to_numpy() for name in names]
    longitude = np.concatenate([[plain.longitude[-1] - 360.0], plain.longitude, [plain.longitude[0] + 360.0]])
    within = np.abs(turned["latitude"].to_numpy()) < 80.0
    places = np.stack([turned["latitude"].to_numpy()[within], turned["longitude"].to_numpy()[within]], axis=-1)
    there = [interpn((plain["latitude"].to_numpy(), longitude), part, places) for part in around]
    here = [turned[name].to_numpy()[within] for name in names]
    raw = read(path).raw.variables
    along = [raw[name].to_numpy()[0][within] for name in ("10u", "10v")]
    fits, unturned, against = (
        np.corrcoef(np.ravel(there), np.ravel(wind))[0, 1] for wind in (here, along, reversed_y_mps(along, here))
    )
    assert fits > 0.5
    assert max(abs(unturned), abs(against)) < 0.2
