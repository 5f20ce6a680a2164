"""Files by their first bytes; every refusal names the file."""

import hashlib
from collections.abc import Callable
from pathlib import Path

import pytest
import xarray as xr

from shared.errors import InputError
from transport.weather.feeds import feed
from transport.weather.feeds.inputs import Feed

Write = Callable[..., Path]


@pytest.mark.parametrize(
    ("head", "said"),
    [
        (b"CDF\x05" + bytes(40), "classic NetCDF with 64-bit data is not read; convert it to NetCDF4"),
        (b"GRIB" + bytes(40), "message 1 at byte 0 is of GRIB edition 0, allowed is 2; ask the provider for edition 2"),
        (b"BUFR" + bytes(40), "BUFR is not read; convert it to CF NetCDF4"),
        (b"\x1f\x8b" + bytes(40), "the file is compressed as a whole; unpack it first"),
        (b"PK\x03\x04" + bytes(40), "the file is an archive; unpack it first"),
        (b"  <!DOCTYPE html><html>", "the file is a web page, perhaps a login page; fetch the forecast again"),
        (b"station;wind\n1;2\n", "is no weather file that can be read; allowed are CF NetCDF, GRIB2 and Zarr folders"),
        (b"", "the file is empty; fetch it again"),
    ],
)
def test_other_files_are_refused(tmp_path: Path, model: Feed, head: bytes, said: str) -> None:
    path = tmp_path / "forecast.nc"
    path.write_bytes(head)
    with pytest.raises(InputError) as caught:
        feed.read(path, model)
    assert str(caught.value) == f"forecast.nc: {said}"


def test_missing_file_and_folder(tmp_path: Path, model: Feed) -> None:
    with pytest.raises(InputError, match=f"gone.nc: there is no such file in {tmp_path.name}"):
        feed.read(tmp_path / "gone.nc", model)
    with pytest.raises(InputError, match=r"is a folder, but no Zarr store: it holds neither zarr\.json nor \.zgroup"):
        feed.read(tmp_path, model)


@pytest.mark.parametrize(
    "address", ["https://example.invalid/a.nc", "http://example.invalid/a.nc", "dap2://x/a", "file:///a.nc"]
)
def test_addresses_are_refused(address: str, model: Feed) -> None:
    with pytest.raises(InputError, match="is an address; weather is read from files only, fetch it first"):
        feed.read(Path(address), model)


def test_both_kinds_of_netcdf_give_the_same(content: xr.Dataset, write: Write, model: Feed, normal: xr.Dataset) -> None:
    classic = feed.read(write(content, "forecast.nc", engine="scipy"), model)
    xr.testing.assert_identical(classic, normal)


def test_checksum_of_the_move_is_held(content: xr.Dataset, write: Write, normal: xr.Dataset) -> None:
    path = write(content)
    digest = hashlib.sha256(path.read_bytes()).hexdigest()
    right = Feed(path="forecast.nc", role="forecast", sha256=digest.upper())
    xr.testing.assert_identical(feed.read(path, right), normal)
    path.write_bytes(path.read_bytes()[:-1] + b"x")
    with pytest.raises(
        InputError,
        match=r"forecast.nc: sha256: does not fit the file: it was changed or cut on its way, fetch it again",
    ):
        feed.read(path, right)
