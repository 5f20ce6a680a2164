"""The normal form: what each kind of field becomes."""

import json
from collections.abc import Callable

import numpy as np
import pytest
import xarray as xr

from shared.errors import InputError
from transport.weather.feeds.inputs import Feed
from transport.weather.feeds.normal_form import normal_form
from transport.weather.feeds.raw import Raw

Read = Callable[[xr.Dataset], xr.Dataset]


def refused(read: Read, content: xr.Dataset) -> str:
    with pytest.raises(InputError) as caught:
        read(content)
    return str(caught.value)


def test_shape_order_and_attributes(normal: xr.Dataset) -> None:
    assert normal["gust_mps"].dims == ("realization", "time", "latitude", "longitude")
    assert normal["gust_mps"].dtype == np.float32
    assert (np.diff(normal["latitude"]) > 0).all()
    assert (np.diff(normal["longitude"]) > 0).all()
    assert normal["gust_mps"].attrs == {
        "units": "m s-1",
        "long_name": "gust of the forecast at 10 m",
        "standard_name": "wind_speed_of_gust",
    }
    assert normal.attrs["forecast_reference_time"] == "2026-03-10T00:00:00Z"
    assert json.loads(normal.attrs["remarks"]) == []


def test_speed_and_direction_in_place_of_components(content: xr.Dataset, read: Read, normal: xr.Dataset) -> None:
    east, north = content["u10"].to_numpy(), content["v10"].to_numpy()
    common = {"coordinates": "height10"}
    other = content.drop_vars(["u10", "v10"]).assign(
        ff=(content["u10"].dims, np.hypot(east, north), common | {"standard_name": "wind_speed", "units": "m s-1"}),
        dd=(
            content["u10"].dims,
            np.rad2deg(np.arctan2(-east, -north)) % 360,
            common | {"standard_name": "wind_from_direction", "units": "degree"},
        ),
    )
    xr.testing.assert_allclose(read(other)["eastward_wind_mps"], normal["eastward_wind_mps"], atol=1e-4)
    without = read(other.drop_vars("dd"))
    assert np.isnan(without["eastward_wind_mps"]).all()
    np.testing.assert_array_equal(without["mean_wind_mps"], other["ff"])
    assert "the wind may come from anywhere" in without.attrs["remarks"]


def test_half_a_wind_and_no_wind(content: xr.Dataset, read: Read) -> None:
    assert "holds only one of eastward_wind and northward_wind; both are needed" in refused(
        read, content.drop_vars("v10")
    )
    text = refused(read, content.drop_vars(["u10", "v10"]))
    assert "holds no wind: needed are eastward_wind and northward_wind, or wind_speed" in text
    assert "fg10" in text


def test_mean_of_a_wind_over_time_is_refused(content: xr.Dataset, read: Read) -> None:
    content["u10"].attrs["cell_methods"] = "time: mean"
    assert "u10: cell_methods says 'time: mean' for eastward_wind, allowed is point" in refused(read, content)
    content["u10"].attrs["cell_methods"] = "time: point"
    content["fg10"].attrs["cell_methods"] = "time: mean"
    assert "fg10: cell_methods says 'time: mean' for wind_speed_of_gust, allowed is point, maximum" in refused(
        read, content
    )


def test_gust_of_an_instant_and_no_gust(content: xr.Dataset, read: Read) -> None:
    del content["fg10"].attrs["cell_methods"]
    found = read(content)
    assert found.attrs["gust_kind"] == "instant"
    assert "no bound for the hour" in found.attrs["remarks"]
    missing = read(content.drop_vars("fg10"))
    assert missing.attrs["gust_kind"] == "none"
    assert np.isnan(missing["gust_mps"]).all()


@pytest.mark.parametrize("fault", ["backwards", "outside", "shape", "missing", "absent"])
def test_bounds_of_time_are_checked(content: xr.Dataset, read: Read, fault: str) -> None:
    bounds = content["time_bnds"].to_numpy().astype(float)
    if fault == "backwards":
        bounds[5] = bounds[4] - 1
    elif fault == "outside":
        bounds[5] += 1
    elif fault == "missing":
        bounds[5, 0] = np.nan
    content["time_bnds"] = ("time", "bnds"), bounds
    if fault == "shape":
        content = content.drop_vars("time_bnds").assign(time_bnds=(("time",), bounds[:, 0]))
    if fault == "absent":
        content = content.drop_vars("time_bnds")
    said = {"shape": "has shape (31,)", "absent": "is named as the bounds of time, but is not in the file"}
    assert said.get(fault, "intervals must rise, be complete and hold their own time") in refused(read, content)


def test_rain_of_each_interval(content: xr.Dataset, read: Read) -> None:
    rate = read(content)["precipitation_mm_per_h"]
    np.testing.assert_allclose(rate[:, 1:], content["tp"][:, 1:])
    assert np.isnan(rate[:, 0]).all()


def test_rain_since_the_start_is_differenced_and_may_not_fall(content: xr.Dataset, read: Read) -> None:
    totals = np.cumsum(content["tp"].to_numpy(), axis=1)
    ends = np.arange(31)
    since = content.drop_vars("fg10").assign(
        tp=(content["tp"].dims, totals, content["tp"].attrs),
        time_bnds=(("time", "bnds"), np.stack([0 * ends, ends], axis=1)),
    )
    np.testing.assert_allclose(read(since)["precipitation_mm_per_h"][:, 1:], content["tp"][:, 1:], atol=1e-4)
    since["tp"][0, 12:] -= 30.0
    found = read(since)["precipitation_mm_per_h"]
    assert np.isnan(found[0, 12]).all()
    assert not np.isnan(found[1, 1:]).any()


@pytest.mark.parametrize("how", ["6 h amounts", "running 6 h totals", "6 h mean flux"])
def test_rain_of_a_long_step_may_all_have_fallen_in_one_hour(content: xr.Dataset, read: Read, how: str) -> None:
    """0.55 mm in six hours are 0.55 mm/h for one of them, not 0.09 mm/h for all."""
    ends = np.arange(31)
    if how != "running 6 h totals":
        content, ends = content.isel(time=slice(None, None, 6)), ends[::6]
    begins = np.maximum((ends - 1) // 6 * 6, 0)
    amount = np.full(content["tp"].shape, 0.55, dtype="f4")
    attrs = dict(content["tp"].attrs)
    if how == "6 h mean flux":
        attrs |= {"standard_name": "precipitation_flux", "units": "kg m-2 s-1", "cell_methods": "time: mean"}
        amount = amount / np.float32(6 * 3600.0)
    long = content.assign(
        tp=(content["tp"].dims, amount, attrs), time_bnds=(("time", "bnds"), np.stack([begins, ends], axis=1))
    )
    rate = read(long)["precipitation_mm_per_h"][:, 1:]
    assert float(rate.min()) >= 0.55 * (1 - 1e-6)


def test_rain_of_an_instant_is_said_to_be_one(content: xr.Dataset, read: Read) -> None:
    flux = {"standard_name": "precipitation_flux", "units": "kg m-2 s-1", "cell_methods": "time: point"}
    other = content.assign(tp=(content["tp"].dims, content["tp"].to_numpy() / 3600.0, flux))
    assert "the rain is that of an instant" in read(other).attrs["remarks"]


def test_rain_of_unknown_time_is_refused(content: xr.Dataset, read: Read) -> None:
    content["tp"].attrs.pop("cell_methods")
    assert "tp: cell_methods says 'time: point' for precipitation_amount, allowed is sum" in refused(read, content)
    content["tp"].attrs["cell_methods"] = "time: sum"
    del content["time"].attrs["bounds"]
    assert "precipitation: is a sum over time without bounds" in refused(read, content)


def test_rain_as_flux_and_as_depth_of_water(content: xr.Dataset, read: Read) -> None:
    flux = content["tp"].attrs | {
        "standard_name": "precipitation_flux",
        "units": "kg m-2 s-1",
        "cell_methods": "time: mean",
    }
    other = content.assign(tp=(content["tp"].dims, content["tp"].to_numpy() / 3600.0, flux))
    np.testing.assert_allclose(read(other)["precipitation_mm_per_h"], content["tp"], rtol=1e-5)
    depth = content["tp"].attrs | {"standard_name": "lwe_thickness_of_precipitation_amount", "units": "m"}
    other = content.assign(tp=(content["tp"].dims, content["tp"].to_numpy() / 1000.0, depth))
    np.testing.assert_allclose(read(other)["precipitation_mm_per_h"][:, 1:], content["tp"][:, 1:], rtol=1e-5)


def test_dew_point_from_humidity(content: xr.Dataset, read: Read) -> None:
    humid = content["d2"].attrs | {"standard_name": "relative_humidity", "units": "%"}
    other = content.assign(
        d2=(content["d2"].dims, np.full(content["d2"].shape, 50.0, "f4"), humid),
        t2=(content["t2"].dims, np.full(content["t2"].shape, 293.15, "f4"), content["t2"].attrs),
    )
    np.testing.assert_allclose(read(other)["dew_point_K"], 273.15 + 9.256, atol=0.01)


def test_what_is_absent_is_nan_and_said(content: xr.Dataset, read: Read) -> None:
    found = read(content.drop_vars(["vis", "tp", "ps", "d2", "t2"]))
    for name in ("visibility_m", "precipitation_mm_per_h", "surface_pressure_Pa", "dew_point_K", "air_temperature_K"):
        assert np.isnan(found[name]).all()
    assert json.loads(found.attrs["remarks"]) == [
        "forecast.nc: no precipitation",
        "forecast.nc: no air_temperature",
        "forecast.nc: no dew_point_temperature",
        "forecast.nc: no surface_air_pressure",
        "forecast.nc: no visibility_in_air",
    ]


def test_ground_may_be_stated_in_the_move(content: xr.Dataset) -> None:
    variables = {str(name): variable for name, variable in content.drop_vars("orog").variables.items()}
    stated = Feed(path="forecast.nc", role="forecast", surface_altitude_m=1900.0)
    assert (normal_form(Raw("forecast.nc", variables, ()), stated)["surface_altitude_m"] == 1900.0).all()
    silent = Feed(path="forecast.nc", role="forecast")
    assert np.isnan(normal_form(Raw("forecast.nc", variables, ()), silent)["surface_altitude_m"]).all()


def test_ground_that_moves_is_refused(content: xr.Dataset, read: Read) -> None:
    moving = content.assign(orog=content["vis"].assign_attrs(standard_name="surface_altitude"))
    assert "orog: must be fixed: latitude and longitude are its only axes" in refused(read, moving)


def test_field_without_time_is_refused(content: xr.Dataset, read: Read) -> None:
    assert "vis: lacks the time axis" in refused(read, content.assign(vis=content["vis"].isel(time=0, drop=True)))
