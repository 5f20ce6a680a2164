"""Undecoded content of a file, read in a child process with limits, because a broken file can hang, crash or lie."""

import json
import os
import signal
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

import numpy as np
import xarray as xr

from shared.errors import Fault, InputError
from shared.tables import figure
from shared.text import clean
from transport.weather.feeds.packing import check_attributes

__all__ = ["Raw", "extracted", "load"]

REFUSED = 3
LATE = "fetch the file again, or a smaller one: the road, the hours and the fields needed"
SINGLE = {"HDF5_USE_FILE_LOCKING": "FALSE", "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}


class Raw(NamedTuple):
    """Undecoded content of a file: its name, the wanted variables, and the names of all variables in it."""

    file: str
    variables: dict[str, xr.Variable]
    names: tuple[str, ...]


def extracted(path: Path, script: Path, *arguments: str) -> Raw:
    """Run a reading script of ours on a file, `script FILE OUT SIZE_LIMIT_BYTES ARGUMENTS...`, and take what it wrote.

    Exit status 0: OUT is a .npz as `load` takes it; 3: refused, the reason on stderr; anything else: broken.
    Errors: InputError if the script fails, crashes, takes too long, or refuses.
    Source: house rule, readers that can crash or hang run in a process of their own (practice).
    """
    limit_bytes = round(figure("weather_feed_size_MB") * 1e6)
    with tempfile.TemporaryDirectory(prefix="glasshaul-") as folder:
        out = Path(folder) / "feed.npz"
        _run(path.name, [str(script), str(path.resolve()), str(out), str(limit_bytes), *arguments])
        return load(out, path.name)


def _run(name: str, arguments: Sequence[str]) -> None:
    limit_s = figure("weather_feed_time_s")
    try:
        done = subprocess.run(  # noqa: S603 - our own script, the file name is an argument and never a command
            [sys.executable, "-I", *arguments],
            env=os.environ | SINGLE,
            stdin=subprocess.DEVNULL,
            capture_output=True,
            timeout=limit_s,
            check=False,
        )
    except subprocess.TimeoutExpired:
        raise InputError(
            Fault(name, "", f"the reader was still busy after {limit_s:g} s and was stopped; {LATE}")
        ) from None
    if done.returncode != 0:
        raise InputError(Fault(name, "", _reason(done)))


def _reason(done: subprocess.CompletedProcess[bytes]) -> str:
    lines = clean(done.stderr.decode(errors="replace")).strip().splitlines()
    if done.returncode == REFUSED:
        return lines[-1] if lines else "is refused"
    crashed = f"the reader crashed with {_signal(-done.returncode)}" if done.returncode < 0 else "cannot be read"
    return f"{crashed}: the file is broken, or was cut on its way; fetch it again"


def _signal(number: int) -> str:
    known = {int(one): one.name for one in signal.Signals}
    return f"signal {number}" + (f" ({known[number]})" if number in known else "")


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
