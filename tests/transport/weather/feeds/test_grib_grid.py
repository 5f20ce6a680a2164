"""The grid of a GRIB file as CF variables, and which way its wind components point."""

from collections.abc import Callable
from pathlib import Path

import eccodes
import numpy as np
import pytest
import xarray as xr

from shared.errors import InputError
from transport.weather.feeds.grib import read as grib
from transport.weather.feeds.grib.grid import along_axes, grid_variables
from transport.weather.feeds.raw import Raw

Save = Callable[..., Path]


def table(latitude: np.ndarray, longitude: np.ndarray) -> Raw:
    places = {"latitude": latitude, "longitude": longitude}
    axes = {name: xr.Variable((name,), np.arange(2.0), {}) for name in ("x", "y")}
    return Raw("a.grib2", {name: xr.Variable(("y", "x"), place) for name, place in places.items()} | axes, ())


def second_edition(path: Path) -> bytes:
    """A file of edition 1 as the library writes it anew in edition 2."""
    made = b""
    with path.open("rb") as file:
        while (handle := eccodes.codes_grib_new_from_file(file)) is not None:
            eccodes.codes_set(handle, "edition", 2)
            made += bytes(eccodes.codes_get_message(handle))
            eccodes.codes_release(handle)
    return made


def test_parallels_and_meridians_become_axes() -> None:
    latitude, longitude = np.meshgrid([10.0, 11.0], [359.0, 0.0], indexing="ij")
    found = grid_variables(table(latitude, longitude))
    assert set(found) == {"latitude", "longitude"}
    assert found["latitude"].dims == ("y",)
    assert found["longitude"].to_numpy().tolist() == [359.0, 0.0]
    turned = grid_variables(table(latitude + longitude / 1000.0, longitude))
    assert turned["latitude"].dims == ("y", "x")
    assert set(turned) == {"latitude", "longitude", "x", "y"}


def test_components_along_the_grid() -> None:
    flat = grid_variables(table(*np.meshgrid([10.0, 11.0], [0.0, 1.0], indexing="ij")))
    bent = grid_variables(table(np.array([[1.0, 2.0], [3.0, 4.0]]), np.array([[1.0, 2.0], [3.0, 4.0]])))
    along, true = np.array([True, True]), np.array([False, False])
    assert along_axes("eastward_wind", along, bent, "a") == "x_wind"
    assert along_axes("northward_wind", along, bent, "a") == "y_wind"
    assert along_axes("northward_wind", true, bent, "a") == "northward_wind"
    assert along_axes("eastward_wind", along, flat, "a") == "eastward_wind"
    assert along_axes("wind_speed", along, bent, "a") == "wind_speed"
    with pytest.raises(InputError, match="some winds run along the axes of the grid and some towards true east"):
        along_axes("eastward_wind", np.array([True, False]), bent, "a.grib2")


def test_real_wind_on_a_plain_and_on_a_turned_grid(data: Path, save: Save) -> None:
    """The same real wind of 2024-05-14 on both: ranges of the note, axes, and which way the components point."""
    for name, east in (("wind_20x20", "eastward_wind"), ("rotated_wind_20x20", "x_wind")):
        path = save([second_edition(data / "earthkit-data" / f"{name}.grib")], f"{name}.grib2")
        found = grib.read(path).raw.variables
        assert found["10u"].attrs["standard_name"] == east
        assert found["10u"].shape == (1, 9, 18)
        with path.open("rb") as file:
            handle = eccodes.codes_grib_new_from_file(file)
            theirs = {key: eccodes.codes_get_array(handle, key) for key in ("values", "latitudes", "longitudes")}
            eccodes.codes_release(handle)
        np.testing.assert_array_equal(found["10u"][0, ::-1].to_numpy().ravel(), theirs["values"].astype(np.float32))
        if name == "wind_20x20":
            assert found["latitude"].to_numpy().tolist() == list(range(-80, 100, 20))
            assert found["10u"].min() == pytest.approx(-11.5, abs=0.05)
            assert found["10u"].max() == pytest.approx(15.1, abs=0.05)
            assert found["10v"].min() == pytest.approx(-16.2, abs=0.05)
            assert found["10v"].max() == pytest.approx(15.9, abs=0.05)
        else:
            np.testing.assert_array_equal(found["latitude"][::-1].to_numpy().ravel(), theirs["latitudes"])
            np.testing.assert_array_equal(found["longitude"][::-1].to_numpy().ravel(), theirs["longitudes"])
            np.testing.assert_allclose(np.diff(found["x"]), 20.0)
