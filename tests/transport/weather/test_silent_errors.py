"""Wrong numbers that a library gives without an error, each shown first, and our refusal beside it."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import netCDF4
import numpy as np
import pytest
import xarray as xr

from shared.errors import InputError
from transport.weather import space, steps, vectors
from transport.weather.feeds import cf, clock, netcdf, packing
from transport.weather.feeds.inputs import Feed

Read = Callable[..., xr.Dataset]
Write = Callable[..., Path]


def test_truncated_classic_file_reads_as_zeros_in_the_library(content: xr.Dataset, write: Write) -> None:
    path = write(content, "classic.nc", engine="scipy")
    path.write_bytes(path.read_bytes()[: path.stat().st_size * 2 // 3])
    with netCDF4.Dataset(path) as data:
        tails = [np.asarray(variable[...]).ravel()[-3:] for variable in data.variables.values() if variable.ndim == 4]
    assert any((tail == 0.0).all() for tail in tails)
    with pytest.raises(InputError, match=r"classic.nc: cannot be read: the file is broken, or was cut on its way"):
        netcdf.read(path, "scipy")


def test_classic_file_is_never_given_to_the_netcdf_library() -> None:
    assert {engine for magic, engine in netcdf.ENGINES.items() if magic.startswith(b"CDF")} == {"scipy"}


def test_missing_value_packed_without_fill_reads_as_zero(content: xr.Dataset, read: Read, tmp_path: Path) -> None:
    packed = {"dtype": "int16", "scale_factor": 0.01, "_FillValue": None}
    data = xr.Dataset({"x": ("t", np.array([5.0, np.nan]))})
    with np.errstate(invalid="ignore"), pytest.warns(xr.SerializationWarning):
        data.to_netcdf(tmp_path / "x.nc", engine="netcdf4", encoding={"x": packed})
    with xr.open_dataset(tmp_path / "x.nc", engine="netcdf4") as found:
        assert found["x"][1] == 0.0
    bare = dict(content["fg10"].attrs) | {"scale_factor": 0.01}
    content["fg10"] = content["fg10"].dims, (content["fg10"].to_numpy() * 100).astype("i2"), bare
    with pytest.raises(InputError, match="fg10: packed as integers without _FillValue"):
        read(content)


def test_packed_wind_that_wraps_is_refused(content: xr.Dataset, read: Read) -> None:
    true_mps = np.float64(40.0)
    wrapped = (true_mps / 0.001).astype(np.int64).astype(np.int16) * 0.001
    assert wrapped == pytest.approx(-25.536)
    attrs = content["u10"].attrs | {"scale_factor": 0.001, "_FillValue": np.int16(-32768)}
    content["u10"] = content["u10"].dims, np.full(content["u10"].shape, 4000, "i2"), attrs
    with pytest.raises(
        InputError, match=r"u10: packing holds only -32.768 to 32.767: a stronger wind would have wrapped"
    ):
        read(content)


def test_wide_packing_with_fill_value_is_read(content: xr.Dataset, read: Read, normal: xr.Dataset) -> None:
    for name in ("u10", "v10", "fg10"):
        attrs = content[name].attrs | {"scale_factor": 0.01, "_FillValue": np.int16(-32768)}
        content[name] = content[name].dims, np.round(content[name].to_numpy() * 100).astype("i2"), attrs
    np.testing.assert_allclose(read(content)["gust_mps"], normal["gust_mps"], atol=0.0051)


def test_valid_range_is_ignored_by_the_library(content: xr.Dataset, read: Read, write: Write) -> None:
    content["fg10"].attrs["valid_max"] = np.float32(75.0)
    content["fg10"][2, 10, 1, 1] = 99.0
    with xr.open_dataset(write(content, "raw.nc"), engine="netcdf4") as found:
        assert found["fg10"][2, 10, 1, 1] == 99.0
    assert np.isnan(read(content)["gust_mps"][2, 10, 1, 1])


def test_default_fill_value_is_missing_even_if_another_is_declared() -> None:
    variable = xr.Variable(("x",), np.array([3.0, -99.0, 9.96921e36, np.nan], "f4"), {"_FillValue": np.float32(-99.0)})
    decoded = xr.decode_cf(xr.Dataset({"x": variable}))["x"].to_numpy()
    assert decoded[2] > 1e36
    assert np.isnan(packing.unpacked(variable)).tolist() == [False, True, True, True]


def test_cet_is_read_as_utc_by_the_library() -> None:
    coded = {"units": "hours since 2026-03-01 00:00:00 CET", "calendar": "standard"}
    zero = xr.Variable(("t",), np.array([0]), coded)
    assert xr.decode_cf(xr.Dataset({"t": zero}))["t"].to_numpy()[0] == np.datetime64("2026-03-01T00:00")
    with pytest.raises(InputError, match="time units 'hours since 2026-03-01 00:00:00 CET' are not understood"):
        clock.decoded(zero, coded["units"], "standard", "x.nc", "t")
    offset = clock.decoded(zero, "hours since 2026-03-01 00:00:00 +01:00", "standard", "x.nc", "t")
    assert offset[0] == np.datetime64("2026-02-28T23:00")


def test_days_since_year_one() -> None:
    variable = xr.Variable((), np.asarray(739676))
    assert clock.decoded(variable, "days since 1-1-1", "standard", "x.nc", "t") == np.datetime64("2026-02-28")


@pytest.mark.parametrize("units", ["hours", "day as %Y%m%d.%f", "months since 2026-01-01"])
def test_time_without_a_clock_is_refused(units: str) -> None:
    with pytest.raises(InputError, match="are not understood"):
        clock.decoded(xr.Variable(("t",), np.array([0.0])), units, None, "x.nc", "t")


@pytest.mark.parametrize("calendar", ["360_day", "noleap", "julian"])
def test_calendar_of_a_climate_model_is_refused(calendar: str) -> None:
    with pytest.raises(InputError, match=f"calendar '{calendar}' is not that of the clock"):
        clock.decoded(xr.Variable(("t",), np.array([0.0])), "days since 2026-01-01", calendar, "x.nc", "t")


def test_nearest_longitude_takes_the_wrong_column(content: xr.Dataset, read: Read) -> None:
    east = xr.Dataset({"x": ("lon", np.arange(5.0))}, coords={"lon": 338.45 + 0.1 * np.arange(5)})
    assert float(east.sel(lon=-21.25, method="nearest")["x"]) == 0.0
    assert np.isnan(float(east.interp(lon=-21.25)["x"]))
    content["lon"] = ("lon", content["lon"].to_numpy() + 360.0, content["lon"].attrs)
    np.testing.assert_allclose(read(content)["longitude"], -21.55 + 0.1 * np.arange(5), atol=1e-9)


def test_longitude_342_4_is_minus_17_6(content: xr.Dataset, read: Read) -> None:
    content["lon"] = ("lon", np.array([342.2, 342.3, 342.4, 342.5, 342.6]), content["lon"].attrs)
    assert float(read(content)["longitude"][2]) == pytest.approx(-17.6)


def test_slice_of_falling_latitude_is_empty(content: xr.Dataset, read: Read, normal: xr.Dataset) -> None:
    falling = content.isel(lat=slice(None, None, -1))
    assert falling.sel(lat=slice(-38.6, -38.4)).sizes["lat"] == 0
    xr.testing.assert_equal(read(falling), normal)


def test_hole_in_the_grid_is_not_bridged(content: xr.Dataset, read: Read) -> None:
    with pytest.raises(InputError, match=r"lon: has a hole of 0\.2 degrees, the usual spacing is 0.1"):
        read(content.isel(lon=[0, 1, 2, 4]))


def test_gap_in_time_is_bridged_by_the_library() -> None:
    times = np.datetime64("2026-03-10T00:00:00") + np.array([0, 1, 2, 8, 9]) * np.timedelta64(3600, "s")
    series = xr.DataArray([2.0, 2.0, 2.0, 30.0, 30.0], coords={"t": times.astype("datetime64[ns]")}, dims="t")
    assert float(series.interp(t=np.datetime64("2026-03-10T05:00:00", "ns"))) == pytest.approx(16.0)
    assert steps.gaps(times, 24.0).tolist() == [False, False, True, False]


def test_last_value_is_stretched_by_the_library() -> None:
    times = np.datetime64("2026-03-10T00:00:00", "ns") + np.arange(3) * np.timedelta64(3600, "s")
    series = xr.DataArray([1.0, 2.0, 3.0], coords={"t": times}, dims="t")
    assert float(series.sel(t=np.datetime64("2026-03-14", "ns"), method="nearest")) == 3.0
    instants = times.astype("datetime64[s]")
    late = instants[-1:] + np.timedelta64(3600, "s"), instants[-1:] + np.timedelta64(7200, "s")
    found = steps.overlap(*steps.around_instants(instants), *late)
    assert np.isnan(steps.worst(np.array([[1.0, 2.0, 3.0]]), found, np.maximum)).all()


def test_library_maximum_forgets_a_dead_member() -> None:
    values = xr.DataArray([[5.0, 6.0], [np.nan, np.nan]], dims=("realization", "time"))
    assert not values.max("realization").isnull().any()
    found = steps.Overlap(np.array([0, 1]), np.array([0, 1]), np.array([True, True]))
    assert np.isnan(steps.worst(values.to_numpy(), found, np.maximum)).any()


def test_nan_is_not_above_a_limit() -> None:
    gust_mps = np.array([3.0, np.nan])
    assert not (gust_mps > 10.0).any()
    assert not (gust_mps <= 10.0).all()


def test_nan_corner_of_weight_zero_spreads() -> None:
    grid = np.array([0.0, 1.0]), np.array([0.0, 1.0])
    place = np.array([0.0]), np.array([0.0])
    matrix = space.weights(space.shares(*place, *grid), space.cells(*place, *grid), 4)
    known = xr.DataArray([[5.0, np.nan], [np.nan, np.nan]], coords={"y": grid[1], "x": grid[0]}, dims=("y", "x"))
    assert float(known.sel(x=0.0, y=0.0)) == 5.0
    assert np.isnan(space.interpolated(matrix, known.to_numpy().reshape(1, 4))).all()


def test_opposed_winds_cancel_as_components() -> None:
    east, north = np.array([10.0, -10.0]), np.array([0.0, 0.0])
    assert np.hypot(east.mean(), north.mean()) == 0.0
    assert np.hypot(east, north).mean() == 10.0
    assert np.isclose(vectors.widest_angle_deg(east, north), 180.0)


def test_two_heights_of_one_name_are_told_apart_by_height(content: xr.Dataset, read: Read, normal: xr.Dataset) -> None:
    high = content["u10"].attrs | {"coordinates": "height100"}
    content["u100"] = content["u10"].dims, content["u10"].to_numpy() * 3.0, high
    content["height100"] = (), 100.0, content["height10"].attrs
    xr.testing.assert_equal(read(content), normal)
    content["height100"] = (), 10.0, content["height10"].attrs
    with pytest.raises(InputError, match=r"2 variables fit .*exactly one at 10 m above ground is needed"):
        read(content)


def test_address_is_refused_before_a_library_can_stop_half_way() -> None:
    from transport.weather.feeds import feed

    with pytest.raises(InputError, match="is an address"):
        feed.read(Path("https://example.invalid/forecast.nc"), Feed(path="forecast.nc", role="forecast"))


def test_number_as_text_in_an_attribute_is_refused(content: xr.Dataset, read: Read) -> None:
    content["fg10"].attrs["scale_factor"] = "0.01"
    with pytest.raises(InputError, match=r"fg10: attribute scale_factor is '0\.01', allowed are 1 numbers"):
        read(content)


def test_area_maximum_is_no_maximum_over_time(content: xr.Dataset, read: Read) -> None:
    content["fg10"].attrs["cell_methods"] = "area: maximum"
    assert read(content).attrs["gust_kind"] == "instant"


def test_interval_in_cell_methods_is_not_the_length_of_time(content: xr.Dataset, read: Read) -> None:
    content["fg10"].attrs["cell_methods"] = "time: maximum (interval: 10 minutes)"
    found = read(content)
    assert found.attrs["gust_kind"] == "maximum"
    assert (found["gust_end"] - found["gust_start"])[1] == np.timedelta64(1, "h")


def test_sized_from_the_header_before_memory_is_taken(tmp_path: Path) -> None:
    path = tmp_path / "huge.nc"
    with netCDF4.Dataset(path, "w") as data:
        for name, size in (("realization", 50), ("time", 2000), ("lat", 400), ("lon", 250)):
            data.createDimension(name, size)
        variable = data.createVariable("u10", "f4", ("realization", "time", "lat", "lon"), chunksizes=(1, 1, 400, 250))
        variable.setncattr("standard_name", "eastward_wind")
    assert path.stat().st_size < 100_000
    with pytest.raises(InputError, match=r"huge.nc: declares 40000 MB of data, allowed are 1000 MB"):
        netcdf.read(path, "netcdf4")


def test_a_maximum_without_bounds_counts_on_both_sides(content: xr.Dataset, read: Read) -> None:
    bare = content.drop_vars(["time_bnds", "tp"])
    del bare["time"].attrs["bounds"]
    found = read(bare)
    assert (found["gust_end"] - found["gust_start"])[5] == np.timedelta64(2, "h")
    uneven: Any = bare.isel(time=[0, 1, 2, 3, 6, 9])
    with pytest.raises(InputError, match="neither bounds nor an even step tell over which time"):
        read(uneven)


def test_time_method_is_that_of_the_time_axis(content: xr.Dataset, write: Write) -> None:
    raw = netcdf.read(write(content), "netcdf4")
    assert cf.time_method(raw, "fg10", clock.clock_of(raw)) == "maximum"
