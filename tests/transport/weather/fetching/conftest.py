"""A small real NetCDF4 file to be served, and limits that make a test short."""

from collections.abc import Callable
from pathlib import Path

import pytest
import xarray as xr

from transport.weather.fetching.limits import Limits

QUICK = Limits(
    connect_s=2.0,
    read_s=0.4,
    total_s=10.0,
    tries_count=3,
    wait_s=0.01,
    longest_wait_s=0.2,
    redirects_count=3,
    size_MB=10.0,
)


@pytest.fixture
def quick() -> Limits:
    return QUICK


@pytest.fixture
def body(content: xr.Dataset, write: Callable[..., Path]) -> bytes:
    return write(content, "served.nc").read_bytes()
