"""Grid, ensemble, height and fields of a CF file."""

from collections.abc import Callable

import numpy as np
import pytest
import xarray as xr

from shared.errors import InputError

Read = Callable[[xr.Dataset], xr.Dataset]


def refused(read: Read, content: xr.Dataset) -> str:
    with pytest.raises(InputError) as caught:
        read(content)
    return str(caught.value)


def test_half_of_a_grid_is_refused(content: xr.Dataset, read: Read) -> None:
    attrs = content["lat"].attrs
    two = content.drop_vars("lat").assign(lat2=(("lat", "lon"), np.zeros((4, 5)), attrs))
    needed = "latitude and longitude must have one dimension each, or both the same two"
    assert f"lat2: latitude has 2 dimensions; {needed}" in refused(read, two)
    assert f"latitude: latitude is missing; {needed}" in refused(read, content.drop_vars("lat"))


def test_nodes_in_a_heap_are_refused(content: xr.Dataset, read: Read) -> None:
    heap = content.isel(lat=slice(4), lon=slice(4)).drop_vars("lon")
    heap = heap.assign(lon=(("lat",), -21.5 + 0.1 * np.arange(4), content["lon"].attrs))
    assert "lat: is one axis for latitude and longitude; a grid of rows is needed" in refused(read, heap)


def test_single_row_repeated_node_and_impossible_latitude(content: xr.Dataset, read: Read) -> None:
    assert "lat: needs at least 2 values from -90 to 90" in refused(read, content.isel(lat=[0]))
    content["lat"] = ("lat", np.array([-38.6, -38.5, -38.5, -38.4]), content["lat"].attrs)
    assert "lat: -38.5 stands twice" in refused(read, content)
    content["lat"] = ("lat", np.array([-98.6, -98.5, -98.4, -98.3]), content["lat"].attrs)
    assert "lat: needs at least 2 values from -90 to 90" in refused(read, content)


def test_axis_units_are_checked(content: xr.Dataset, read: Read) -> None:
    content["lon"].attrs["units"] = "degrees_north"
    assert "lon: units 'degrees_north' for longitude, allowed are degrees_east" in refused(read, content)


def test_height_of_the_wind_is_needed_and_10_m(content: xr.Dataset, read: Read) -> None:
    bare = content.copy()
    for name in ("u10", "v10"):
        bare[name] = (
            bare[name].dims,
            bare[name].to_numpy(),
            {k: v for k, v in bare[name].attrs.items() if k != "coordinates"},
        )
    assert "0 variables fit (u10 at no stated height), exactly one at 10 m above ground is needed" in refused(
        read, bare
    )
    content["height10"] = (), 80.0, content["height10"].attrs
    assert "0 variables fit (fg10 at 80 m), exactly one at 10 m" in refused(read, content)
    content["height10"] = (), 0.01, content["height10"].attrs | {"units": "km"}
    assert read(content).sizes["realization"] == 6
    content["height10"] = (), -10.0, {"standard_name": "height", "units": "m", "positive": "down"}
    assert "height10: must hold one height above ground, positive up" in refused(read, content)


def test_height_as_an_axis_of_length_one(content: xr.Dataset, read: Read, normal: xr.Dataset) -> None:
    attrs = {key: value for key, value in content["u10"].attrs.items() if key != "coordinates"}
    deep = content.drop_vars("u10").assign(
        u10=(("realization", "time", "z", "lat", "lon"), content["u10"].to_numpy()[:, :, None], attrs),
        z=(("z",), np.array([10.0]), content["height10"].attrs),
    )
    xr.testing.assert_equal(read(deep), normal)


def test_hybrid_level_is_refused(content: xr.Dataset, read: Read) -> None:
    attrs = content["u10"].attrs
    deep = content.drop_vars("u10").assign(
        u10=(
            ("realization", "time", "level", "lat", "lon"),
            np.repeat(content["u10"].to_numpy()[:, :, None], 3, axis=2),
            attrs,
        )
    )
    assert "u10: has axes realization, time, level, lat, lon, allowed are realization, time" in refused(read, deep)


def test_single_forecast_is_member_zero(content: xr.Dataset, read: Read) -> None:
    single = content.isel(realization=0).drop_vars("realization")
    found = read(single)
    assert found["realization"].to_numpy().tolist() == [0]
    np.testing.assert_array_equal(found["gust_mps"][0], single["fg10"])
    assert read(content.isel(realization=3))["realization"].to_numpy().tolist() == [3]


def test_member_axis_must_count(content: xr.Dataset, read: Read) -> None:
    content["realization"] = ("realization", np.arange(6) + 0.5, content["realization"].attrs)
    assert "realization: realization must be an axis of whole numbers" in refused(read, content)


def test_field_that_all_members_share(content: xr.Dataset, read: Read) -> None:
    shared = content.assign(vis=content["vis"].isel(realization=0, drop=True))
    found = read(shared)["visibility_m"]
    assert found.sizes["realization"] == 6
    np.testing.assert_array_equal(found[0], found[5])


@pytest.mark.parametrize("units", [None, "", "kmh", "Metres/Second", "MPS", "unknown", "degrees_true", "C"])
def test_unknown_unit_is_refused(content: xr.Dataset, read: Read, units: str | None) -> None:
    content["fg10"].attrs.pop("units")
    if units is not None:
        content["fg10"].attrs["units"] = units
    assert "for wind_speed_of_gust, allowed are m s-1" in refused(read, content)


def test_knots_become_metres_a_second(content: xr.Dataset, read: Read, normal: xr.Dataset) -> None:
    attrs = content["fg10"].attrs | {"units": "knots"}
    content["fg10"] = content["fg10"].dims, content["fg10"].to_numpy(), attrs
    np.testing.assert_allclose(read(content)["gust_mps"], normal["gust_mps"] * 1852.0 / 3600.0, rtol=1e-6)


def test_order_of_axes_does_not_matter(content: xr.Dataset, read: Read, normal: xr.Dataset) -> None:
    xr.testing.assert_equal(read(content.transpose("lon", "time", "lat", "realization", "bnds")), normal)
