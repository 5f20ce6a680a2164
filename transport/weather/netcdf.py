"""NetCDF files: read in a child process with a time and size limit, because a broken file can hang or lie.

Classic NetCDF is read by scipy only: the NetCDF library fills the missing tail of a cut classic file with zeros.
What no reader can see: one flipped bit in uncompressed data that leaves a believable number. Compressed NetCDF4 has a
check value in each block; for any kind of file, `sha256` of [[weather.feed]] holds the provider's checksum.
"""

import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import NamedTuple

import numpy as np
import xarray as xr

from shared.errors import Fault, InputError
from shared.tables import figure
from shared.text import clean
from transport.weather.packing import check_attributes

__all__ = ["ENGINES", "STANDARD_NAMES", "Raw", "load", "read"]

ENGINES = {b"\x89HDF\r\n\x1a\n": "netcdf4", b"CDF\x01": "scipy", b"CDF\x02": "scipy"}

STANDARD_NAMES = (
    *("time", "latitude", "longitude", "realization", "height", "forecast_reference_time", "forecast_period"),
    *("wind_speed", "wind_from_direction", "eastward_wind", "northward_wind", "wind_speed_of_gust"),
    *("air_temperature", "dew_point_temperature", "relative_humidity", "surface_air_pressure"),
    *("precipitation_amount", "precipitation_flux", "lwe_thickness_of_precipitation_amount", "lwe_precipitation_rate"),
    *("visibility_in_air", "surface_altitude"),
)


REFUSED = 3


class Raw(NamedTuple):
    """Undecoded content of a file: its name, the wanted variables, and the names of all variables in it."""

    file: str
    variables: dict[str, xr.Variable]
    names: tuple[str, ...]


def read(path: Path, engine: str) -> Raw:
    """Read the wanted variables of a file, undecoded, with only the attributes that are understood.

    Errors: InputError if the reader fails, takes too long, or the file declares more data than allowed.
    Source: CF conventions (read).
    """
    with tempfile.TemporaryDirectory(prefix="glasshaul-") as folder:
        out = Path(folder) / "feed.npz"
        _run(path, engine, out)
        return load(out, path.name)


def _run(path: Path, engine: str, out: Path) -> None:
    limit_bytes = round(figure("weather_feed_size_MB") * 1e6)
    script = Path(__file__).with_name("extract.py")
    command = [
        sys.executable,
        "-I",
        str(script),
        str(path.resolve()),
        engine,
        str(out),
        str(limit_bytes),
        *STANDARD_NAMES,
    ]
    single = {"HDF5_USE_FILE_LOCKING": "FALSE", "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}
    limit_s = figure("weather_feed_time_s")
    try:
        done = subprocess.run(  # noqa: S603 - our own script, the file name is an argument and never a command
            command,
            env=os.environ | single,
            stdin=subprocess.DEVNULL,
            capture_output=True,
            timeout=limit_s,
            check=False,
        )
    except subprocess.TimeoutExpired:
        raise InputError(
            Fault(path.name, "", f"the reader was still busy after {limit_s:g} s and was stopped; fetch the file again")
        ) from None
    if done.returncode != 0:
        raise InputError(Fault(path.name, "", _reason(done)))


def _reason(done: subprocess.CompletedProcess[bytes]) -> str:
    lines = clean(done.stderr.decode(errors="replace")).strip().splitlines()
    if done.returncode == REFUSED:
        return lines[-1] if lines else "is refused"
    crashed = f"the reader crashed with signal {-done.returncode}" if done.returncode < 0 else "cannot be read"
    return f"{crashed}: the file is broken, or was cut on its way; fetch it again"


def load(npz: Path, file: str) -> Raw:
    """Take up what the child process wrote."""
    with np.load(npz, allow_pickle=False) as arrays:
        header = json.loads(arrays["header"].tobytes())
        variables = {
            str(entry["name"]): xr.Variable(entry["dims"], arrays[f"v{number}"], entry["attrs"])
            for number, entry in enumerate(header["variables"])
        }
    for name, variable in variables.items():
        check_attributes(variable, file, name)
    return Raw(file, variables, tuple(header["names"]))
