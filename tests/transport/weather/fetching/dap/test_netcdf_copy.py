"""The copy holds what came, bit by bit, with the attributes that its readers need."""

from pathlib import Path
from typing import Any

import netCDF4
import numpy as np
import pytest

from shared.folder import sha256_of
from transport.weather.fetching.dap.netcdf_copy import write_copy
from transport.weather.fetching.dap.server import Declared
from transport.weather.fetching.dap.surroundings import Part
from transport.weather.fetching.failure import FetchError


def part(data: np.ndarray, **attrs: Any) -> Part:
    dims = ("x", "y")[: data.ndim]
    return Part({"v": Declared("v", dims, data.shape, data.dtype, attrs, data)}, {})


def test_values_and_attributes(tmp_path: Path) -> None:
    data = np.array([[1, -32767], [3, 4]], dtype=">i2")
    attrs = {"_FillValue": -32767, "scale_factor": 0.01, "units": "m s-1", "valid_range": [0, 7000]}
    foreign = {"_ChunkSizes": [1, 2], "DODS": {"strlen": 4}, "odd/name": "x", "texts": ["a", "b"], "empty": []}
    out = tmp_path / "copy.nc"
    assert write_copy(out, part(data, **attrs, **foreign)) == sha256_of(out)
    with netCDF4.Dataset(out) as file:
        file.set_auto_maskandscale(False)
        variable = file["v"]
        np.testing.assert_array_equal(variable[...], data)
        assert variable.dtype == np.dtype("i2")
        assert set(variable.ncattrs()) == set(attrs)
        assert variable.getncattr("_FillValue") == np.int16(-32767)
        np.testing.assert_array_equal(variable.getncattr("valid_range"), [0, 7000])
        assert variable.filters()["fletcher32"] and variable.filters()["zlib"]


def test_a_single_number_has_no_block(tmp_path: Path) -> None:
    write_copy(tmp_path / "copy.nc", part(np.array(10.0), units="m"))
    with netCDF4.Dataset(tmp_path / "copy.nc") as file:
        assert file["v"][...] == 10.0


@pytest.mark.parametrize("fill", ["none", [1, 2], 1e9])
def test_a_fill_value_that_makes_no_sense(tmp_path: Path, fill: Any) -> None:
    with pytest.raises(FetchError, match=r"v: attribute _FillValue is .*, allowed is one number"):
        write_copy(tmp_path / "copy.nc", part(np.array([1, 2], dtype="i2"), _FillValue=fill))


def test_a_flipped_bit_is_found_by_the_library(tmp_path: Path) -> None:
    """Random numbers do not pack, so the end of the file is data, and each of its bytes is under a check value."""
    out = tmp_path / "copy.nc"
    data = np.random.default_rng(3).normal(size=(50, 50)).astype("f4")
    write_copy(out, part(data))
    body, found = out.read_bytes(), 0
    for place in range(len(body) - 8000, len(body), 400):
        out.write_bytes(body[:place] + bytes([body[place] ^ 4]) + body[place + 1 :])
        with netCDF4.Dataset(out) as file:
            try:
                np.testing.assert_array_equal(file["v"][...], data)
            except RuntimeError:
                found += 1
    assert found >= 15
