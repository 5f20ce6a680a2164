"""Packed numbers and missing values."""

from typing import Any

import numpy as np
import pytest
import xarray as xr

from shared.errors import InputError
from transport.weather.feeds import packing


def variable(values: Any, dtype: str, **attrs: Any) -> xr.Variable:
    return xr.Variable(("x",), np.array(values, dtype), attrs)


def test_packed_numbers_unpack_and_fills_go() -> None:
    packed = variable([100, -32768, 5, 7], "i2", scale_factor=0.01, add_offset=1.0, _FillValue=-32768, missing_value=5)
    np.testing.assert_allclose(packing.unpacked(packed), [2.0, np.nan, np.nan, 1.07], rtol=1e-6)


def test_valid_range_is_in_packed_units() -> None:
    packed = variable([100, 200, 300], "i2", scale_factor=0.01, valid_range=[0, 250])
    np.testing.assert_allclose(packing.unpacked(packed), [1.0, 2.0, np.nan])
    low = variable([-1.0, 5.0], "f4", valid_min=0.0)
    assert packing.missing(low).tolist() == [True, False]


def test_fill_that_fits_the_type_only_roughly() -> None:
    assert packing.missing(variable([1e20, 1.0], "f4", missing_value=1e20)).tolist() == [True, False]
    assert packing.missing(variable([5, 1], "i2", missing_value=1e20)).tolist() == [False, False]
    assert packing.missing(variable([1.0, np.inf], "f4", missing_value=1e300)).tolist() == [False, True]


@pytest.mark.parametrize(
    ("attrs", "said"),
    [
        ({"scale_factor": "0.01"}, "attribute scale_factor is '0.01', allowed are 1 numbers"),
        ({"scale_factor": [0.1, 0.2]}, r"attribute scale_factor is \[0.1, 0.2\], allowed are 1 numbers"),
        ({"valid_range": [1.0]}, r"attribute valid_range is \[1.0\], allowed are 2 numbers"),
        ({"units": 5}, "attribute units is 5, allowed is text"),
        ({"scale_factor": 0.0}, "scale_factor 0 and add_offset 0 make no sense"),
        ({"add_offset": float("nan")}, "scale_factor 1 and add_offset nan make no sense"),
    ],
)
def test_attributes_of_the_wrong_kind(attrs: dict[str, Any], said: str) -> None:
    with pytest.raises(InputError, match=f"a.nc: x: {said}"):
        packing.check_attributes(variable([1], "i2", **attrs), "a.nc", "x")


def test_unsigned_is_not_understood() -> None:
    with pytest.raises(
        InputError, match=r"a.nc: x: attribute _Unsigned is not understood; write the variable as float32"
    ):
        packing.check_packing(variable([1], "i1", _Unsigned="true"), None, "a.nc", "x")


def test_plain_floats_need_nothing() -> None:
    packing.check_packing(variable([1.0], "f4"), (0.0, 75.0), "a.nc", "x")
