"""The child process that reads: bounded in time and size, its crash is a refusal."""

import signal
import subprocess
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import xarray as xr

from shared.errors import InputError
from transport.weather.feeds import netcdf, raw

Write = Callable[..., Path]


def test_only_what_is_understood_is_taken(content: xr.Dataset, write: Write) -> None:
    content["u10"].attrs["comment"] = "of no use here"
    content["secret"] = (), 1.0
    found = netcdf.read(write(content), "netcdf4")
    assert set(found.variables) == set(content.variables) - {"secret"}
    assert "comment" not in found.variables["u10"].attrs
    assert "secret" in found.names
    np.testing.assert_array_equal(found.variables["u10"], content["u10"])


def test_a_reader_that_hangs_is_stopped(content: xr.Dataset, write: Write, monkeypatch: pytest.MonkeyPatch) -> None:
    figure = raw.figure
    monkeypatch.setattr(raw, "figure", lambda name: 0.02 if name == "weather_feed_time_s" else figure(name))
    with pytest.raises(InputError, match=r"forecast.nc: the reader was still busy after 0.02 s and was stopped"):
        netcdf.read(write(content), "netcdf4")


def test_a_reader_that_crashes_is_a_refusal(content: xr.Dataset, write: Write, monkeypatch: pytest.MonkeyPatch) -> None:
    def crash(command: list[str], **_: object) -> subprocess.CompletedProcess[bytes]:
        return subprocess.CompletedProcess(command, -signal.SIGSEGV, b"", b"")

    monkeypatch.setattr(raw.subprocess, "run", crash)
    with pytest.raises(InputError) as caught:
        netcdf.read(write(content), "netcdf4")
    assert str(caught.value) == (
        "forecast.nc: the reader crashed with signal 11 (SIGSEGV): "
        "the file is broken, or was cut on its way; fetch it again"
    )


def test_too_large_is_refused_by_its_header(content: xr.Dataset, write: Write, monkeypatch: pytest.MonkeyPatch) -> None:
    figure = raw.figure
    monkeypatch.setattr(raw, "figure", lambda name: 0.05 if name == "weather_feed_size_MB" else figure(name))
    with pytest.raises(InputError, match=r"forecast.nc: declares 0 MB of data, allowed are 0 MB; cut it to the road"):
        netcdf.read(write(content), "netcdf4")


def test_a_file_name_is_never_a_command(content: xr.Dataset, write: Write) -> None:
    found = netcdf.read(write(content, "; touch hurt; $(x) .nc"), "netcdf4")
    assert found.file == "; touch hurt; $(x) .nc"
    assert not Path("hurt").exists()
