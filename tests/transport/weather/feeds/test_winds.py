"""Which wind counts where a file holds several, and what the normal form says it did."""

import json
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
import xarray as xr

from shared.errors import InputError
from transport.weather.feeds.inputs import Feed
from transport.weather.feeds.normal_form import normal_form
from transport.weather.feeds.raw import Raw

Read = Callable[[xr.Dataset], xr.Dataset]
Make = Callable[..., xr.Dataset]


def refused(read: Read, content: xr.Dataset) -> str:
    with pytest.raises(InputError) as caught:
        read(content)
    return str(caught.value)


def told(normal: xr.Dataset, name: str) -> list[str]:
    return list(json.loads(normal.attrs[name]))


@pytest.fixture
def lambert(make_bent: Make) -> xr.Dataset:
    return make_bent("lambert", members=2, hours=4)


@pytest.fixture
def both(lambert: xr.Dataset, outside: Any) -> xr.Dataset:
    """A file that holds both pairs."""
    east, north, _ = outside.wind(lambert["longitude"].to_numpy(), lambert["latitude"].to_numpy(), 2, 4)
    for name, standard_name, values in (("e10", "eastward_wind", east), ("n10", "northward_wind", north)):
        attrs = lambert["u10"].attrs | {"standard_name": standard_name}
        lambert[name] = lambert["u10"].dims, values.astype("f4"), attrs
    return lambert


def test_components_labelled_true_are_taken_as_true(lambert: xr.Dataset, read: Read) -> None:
    lambert["u10"].attrs["standard_name"], lambert["v10"].attrs["standard_name"] = "eastward_wind", "northward_wind"
    found = read(lambert)
    np.testing.assert_array_equal(found["eastward_wind_mps"], lambert["u10"])
    np.testing.assert_array_equal(found["northward_wind_mps"], lambert["v10"])
    assert not [text for text in told(found, "derived") if "turned" in text]


def test_components_along_a_regular_grid_are_the_true_ones(content: xr.Dataset, read: Read, normal: xr.Dataset) -> None:
    content["u10"].attrs["standard_name"], content["v10"].attrs["standard_name"] = "x_wind", "y_wind"
    found = read(content)
    xr.testing.assert_equal(found, normal)
    assert "x_wind and y_wind are eastward and northward: the grid is one of latitude and longitude" in told(
        found, "derived"
    )


@pytest.mark.parametrize("kind", ["rotated", "lambert", "mercator"])
def test_components_of_another_grid_left_on_a_regular_one(
    content: xr.Dataset, read: Read, outside: Any, kind: str
) -> None:
    """Brought to a regular grid by a tool that did not turn the wind. The axes of a Mercator map run east and north."""
    content = content.assign(crs=((), np.int32(0), outside.mappings[kind]))
    for name, standard_name in (("u10", "x_wind"), ("v10", "y_wind")):
        content[name].attrs |= {"standard_name": standard_name, "grid_mapping": "crs"}
    if kind == "mercator":
        assert read(content)["eastward_wind_mps"].notnull().all()
        return
    text = refused(read, content)
    assert (
        f"x_wind: x_wind runs along the x of {outside.mappings[kind]['grid_mapping_name']}, but the nodes lie" in text
    )
    assert "turn it to true east, or correct the mapping" in text


def test_both_pairs_agree(both: xr.Dataset, read: Read) -> None:
    found = read(both)
    np.testing.assert_array_equal(found["eastward_wind_mps"], both["e10"])
    both["n10"][0, 1, 2, 3] = np.nan
    holed = read(both)
    assert np.isnan(holed["eastward_wind_mps"][0, 1, 2, 3])
    assert np.isnan(holed["mean_wind_mps"][0, 1, 2, 3])
    both["n10"][0, 1, 2, 3] = found["northward_wind_mps"][0, 1, 2, 3]
    both["u10"][0, 1, 2, 3] = np.nan
    assert np.isnan(read(both)["northward_wind_mps"][0, 1, 2, 3])


def test_both_pairs_disagree(both: xr.Dataset, read: Read) -> None:
    swapped = both.assign(
        e10=both["u10"].assign_attrs(both["e10"].attrs), n10=both["v10"].assign_attrs(both["n10"].attrs)
    )
    text = refused(read, swapped)
    assert "eastward_wind: eastward_wind and northward_wind differ from x_wind and y_wind by up to" in text
    assert "m/s, allowed is 0.5; which of them is along the grid? keep the right one" in text
    both["e10"][1, 2, 3, 4] += 0.6
    assert "by up to 0.6 m/s" in refused(read, both)
    both["e10"][1, 2, 3, 4] -= 0.2
    assert read(both)["mean_wind_mps"].notnull().all()


def test_the_larger_speed_counts(both: xr.Dataset, read: Read) -> None:
    faster = np.full(both["u10"].shape, 9.0, "f4")
    attrs = both["u10"].attrs | {"standard_name": "wind_speed"}
    found = read(both.assign(ff=(both["u10"].dims, faster, attrs)))
    length = np.hypot(both["u10"].to_numpy(), both["v10"].to_numpy())
    np.testing.assert_allclose(found["mean_wind_mps"], np.maximum(length, 9.0), rtol=1e-6)
    assert "mean wind: the length of its components, or wind_speed if larger" in told(found, "derived")


@pytest.mark.parametrize("gone", ["u10", "v10"])
def test_half_a_pair(lambert: xr.Dataset, read: Read, gone: str) -> None:
    assert "holds only one of x_wind and y_wind; both are needed" in refused(read, lambert.drop_vars(gone))


def test_winds_along_axes_that_are_not_told(lambert: xr.Dataset, read: Read) -> None:
    text = refused(read, lambert.drop_vars(["x", "y"]))
    assert (
        "x_wind: x_wind and y_wind run along the grid's axes, but the file does not tell which way these rise" in text
    )


def test_flipped_axis_is_refused_where_it_would_turn_the_wind(lambert: xr.Dataset, read: Read) -> None:
    """Nodes and fields turned upside down, the axis left as it was; no grid mapping to show it."""
    flipped = lambert.isel(y=slice(None, None, -1)).assign(y=lambert["y"]).drop_vars("crs")
    assert "y, x: the axes are left-handed: one of them runs against its numbers" in refused(read, flipped)
    both_ways = lambert.isel(y=slice(None, None, -1), x=slice(None, None, -1)).assign(y=lambert["y"], x=lambert["x"])
    assert "a wrong pole or origin turns the wind" in refused(read, both_ways)


def test_unit_packing_and_height_of_components_along_the_grid(lambert: xr.Dataset, read: Read) -> None:
    knots = lambert.copy(deep=True)
    for name in ("u10", "v10"):
        knots[name] = knots[name].dims, knots[name].to_numpy() * 3600.0 / 1852.0, knots[name].attrs | {"units": "knots"}
    xr.testing.assert_allclose(read(knots), read(lambert), rtol=1e-5)
    packed = lambert.copy(deep=True)
    stored = (lambert["u10"].to_numpy() / 0.001).round().astype("i2")
    attrs = lambert["u10"].attrs | {"scale_factor": 0.001, "_FillValue": np.int16(-32768)}
    assert "packing holds only" in refused(read, packed.assign(u10=(lambert["u10"].dims, stored, attrs)))
    lambert["height10"] = (), 80.0, lambert["height10"].attrs
    assert "exactly one at 10 m above ground is needed" in refused(read, lambert)


def test_direction_is_from_true_north_on_every_grid(lambert: xr.Dataset, read: Read) -> None:
    """CF wind_from_direction names no grid; only components along the axes are turned."""
    dims, attrs = lambert["u10"].dims, lambert["u10"].attrs
    other = lambert.drop_vars(["u10", "v10"]).assign(
        ff=(dims, np.full(lambert["u10"].shape, 8.0, "f4"), attrs | {"standard_name": "wind_speed"}),
        dd=(
            dims,
            np.full(lambert["u10"].shape, 250.0, "f4"),
            attrs | {"standard_name": "wind_from_direction", "units": "degree"},
        ),
    )
    found = read(other)
    np.testing.assert_allclose(found["eastward_wind_mps"], 8.0 * np.sin(np.deg2rad(70.0)), rtol=1e-5)
    assert "components of the wind: from wind_speed and wind_from_direction, from true north" in told(found, "derived")


def test_what_was_read_and_derived_is_said(lambert: xr.Dataset, read: Read) -> None:
    found = read(lambert)
    assert found.attrs["source_kind"] == "NetCDF"
    assert told(found, "read") == [
        "wind_speed_of_gust from fg10 (m s-1, at 10 m, time: maximum)",
        "precipitation_amount from tp (kg m-2, time: sum)",
        "x_wind from u10 (m s-1, at 10 m, time: point)",
        "y_wind from v10 (m s-1, at 10 m, time: point)",
        "air_temperature from t2 (K, at 2 m, time: point)",
        "dew_point_temperature from d2 (K, at 2 m, time: point)",
        "surface_air_pressure from ps (Pa, time: point)",
        "visibility_in_air from vis (m, time: point)",
        "surface_altitude from orog (m)",
    ]
    placing, *rest = told(found, "derived")
    assert placing.startswith("the nodes lie where lambert_conformal_conic puts them, within ")
    assert rest == [
        "precipitation: rates from the amount of each interval, as if all of it fell in one hour of it",
        "winds: turned from the axes of the grid to true north, by +15.8 to +16.4 deg over the whole grid",
        "mean wind: the length of its components",
    ]


def test_what_else_can_be_derived(content: xr.Dataset) -> None:
    humid = content["d2"].attrs | {"standard_name": "relative_humidity", "units": "%"}
    flux = {"standard_name": "precipitation_flux", "units": "kg m-2 s-1", "cell_methods": "time: mean"}
    other = content.drop_vars(["fg10", "orog"]).assign(
        d2=(content["d2"].dims, np.full(content["d2"].shape, 50.0, "f4"), humid),
        tp=(content["tp"].dims, content["tp"].to_numpy() / 3600.0, flux),
    )
    variables = {str(name): variable for name, variable in other.variables.items()}
    model = Feed(path="forecast.nc", role="forecast", surface_altitude_m=1900.0)
    found = normal_form(Raw("forecast.nc", variables, ()), model, "Zarr")
    assert found.attrs["source_kind"] == "Zarr"
    assert told(found, "derived") == [
        "gust: not in the file; it is estimated from the mean wind and its turbulence",
        "precipitation: each rate times the hours of its interval, as if all of it fell in one of them",
        "mean wind: the length of its components",
        "dew point: from air_temperature and relative_humidity, over water",
        "height of the model's ground: 1900 m everywhere, as the move states it",
    ]
    ends = np.arange(31)
    since = content.drop_vars("fg10").assign(
        time_bnds=(("time", "bnds"), np.stack([0 * ends, ends], axis=1)), tp=content["tp"].cumsum("time").astype("f4")
    )
    since["tp"].attrs = content["tp"].attrs
    variables = {str(name): variable for name, variable in since.variables.items()}
    assert "precipitation: rates from the growth of totals, as if all of a step fell in one hour of it" in told(
        normal_form(Raw("forecast.nc", variables, ()), model), "derived"
    )
