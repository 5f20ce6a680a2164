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

__all__ = ["Job", "Raw", "extracted", "extracted_many", "load"]

MANY = str(Path(__file__).with_name("extract_many.py"))
REFUSED = 3
LATE = "fetch the file again, or a smaller one: the road, the hours and the fields needed"
SINGLE = {"HDF5_USE_FILE_LOCKING": "FALSE", "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}


class Raw(NamedTuple):
    """Undecoded content of a file: its name, the wanted variables, and the names of all variables in it."""

    file: str
    variables: dict[str, xr.Variable]
    names: tuple[str, ...]


class Job(NamedTuple):
    """A file to read, and what its reading script is told beside it."""

    path: Path
    rest: tuple[str, ...]


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


def extracted_many(script: Path, jobs: Sequence[Job]) -> list[Raw | InputError]:
    """As `extracted` for many files, in the order of the jobs; a file that fails leaves the others alone.

    Each file is read in a fork of one child process, which has loaded the libraries; where a system cannot fork, or
    that process fails, in a child process of its own.
    """
    limit_text = str(round(figure("weather_feed_size_MB") * 1e6))
    with tempfile.TemporaryDirectory(prefix="glasshaul-") as folder:
        outs = [Path(folder) / f"{number}.npz" for number in range(len(jobs))]
        lists = [
            [str(job.path.resolve()), str(out), limit_text, *job.rest] for job, out in zip(jobs, outs, strict=True)
        ]
        ended = zip(jobs, outs, _forked(script, lists), strict=True)
        return [_taken(script, job, out, status) for job, out, status in ended]


def _forked(script: Path, lists: Sequence[list[str]]) -> list[int] | list[None]:
    """Exit status of each, None where it has to be read in a process of its own."""
    limit_s = figure("weather_feed_time_s")
    if not hasattr(os, "fork") or len(lists) < 2:
        return [None] * len(lists)
    try:
        done = subprocess.run(  # noqa: S603 - our own scripts, file names go in as data
            [sys.executable, "-I", MANY, str(script), str(limit_s)],
            env=os.environ | SINGLE,
            input=json.dumps(lists).encode(),
            capture_output=True,
            timeout=limit_s * (len(lists) + 1),
            check=False,
        )
    except subprocess.TimeoutExpired:
        return [None] * len(lists)
    if done.returncode != 0:
        return [None] * len(lists)
    statuses: list[int] = json.loads(done.stdout)
    return statuses


def _taken(script: Path, job: Job, out: Path, status: int | None) -> Raw | InputError:
    try:
        if status is None:
            return extracted(job.path, script, *job.rest)
        if status != 0:
            raise InputError(Fault(job.path.name, "", _reason(status, out.with_name(f"{out.name}.err").read_bytes())))
        return load(out, job.path.name)
    except InputError as problem:
        return problem


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
        raise InputError(Fault(name, "", _late())) from None
    if done.returncode != 0:
        raise InputError(Fault(name, "", _reason(done.returncode, done.stderr)))


def _reason(status: int, stderr: bytes) -> str:
    lines = clean(stderr.decode(errors="replace")).strip().splitlines()
    if status == REFUSED:
        return lines[-1] if lines else "is refused"
    if status == -signal.SIGALRM:
        return _late()
    crashed = f"the reader crashed with {_signal(-status)}" if status < 0 else "cannot be read"
    return f"{crashed}: the file is broken, or was cut on its way; fetch it again"


def _late() -> str:
    return f"the reader was still busy after {figure('weather_feed_time_s'):g} s and was stopped; {LATE}"


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
