"""Broken files by the hundred: each is refused, read unchanged, or stopped by a gate; never another exception.

What no reader can see: one flipped bit in the raw numbers of an uncompressed file that leaves a believable number. The
compressed file has a check value in each block and none gets through there; a checksum from the provider
(`sha256` of [[weather.feed]]) closes the hole for every kind.
"""

import os
import subprocess
import sys
from collections import Counter
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import xarray as xr

from shared.errors import InputError
from transport.weather.assess import assess
from transport.weather.feeds import netcdf, raw
from transport.weather.feeds.inputs import Feed
from transport.weather.feeds.normal_form import normal_form
from transport.weather.inputs import Site, Weather

KINDS = ("trunc", "flip1", "flip16", "header", "zero")
CASES = 40


def broken(whole: bytes, kind: str, rng: np.random.Generator) -> bytes:
    data, end = bytearray(whole), len(whole)
    if kind == "trunc":
        return bytes(data[: rng.integers(16, end)])
    if kind == "zero":
        start = int(rng.integers(16, end))
        return bytes(data[:start]) + bytes(end - start)
    for _ in range(16 if kind == "flip16" else 1):
        data[rng.integers(16, min(8192, end) if kind == "header" else end)] ^= 1 << int(rng.integers(8))
    return bytes(data)


def extracted(engine: str, files: list[Path]) -> list[int]:
    helper, script = Path(__file__).with_name("extract_many.py"), Path(netcdf.__file__).with_name("extract.py")
    command = [sys.executable, str(helper), str(script), engine, *map(str, files)]
    names = {"NAMES": " ".join(netcdf.STANDARD_NAMES), "OPENBLAS_NUM_THREADS": "1"}
    done = subprocess.run(command, env=os.environ | names, capture_output=True, text=True, check=True)
    return [int(line) for line in done.stdout.split()]


def outcome(npz: Path, status: int, whole: xr.Dataset, usual: xr.Dataset, run: Any) -> str:
    if status != 0:
        return "refused"
    try:
        feed = normal_form(raw.load(npz, "whole.nc"), Feed(path="whole.nc", role="forecast"))
        found = run(feed)
    except InputError:
        return "refused"
    if feed.identical(whole):
        return "same"
    return "gate" if found.attrs["refusals"] != usual.attrs["refusals"] else "changed"


@pytest.mark.skipif(not hasattr(os, "fork"), reason="each case runs in its own fork")
@pytest.mark.parametrize(("engine", "compressed"), [("netcdf4", True), ("netcdf4", False), ("scipy", False)])
def test_broken_files(
    make_content: Any,
    write: Any,
    tmp_path: Path,
    site: Site,
    weather: Weather,
    road: dict[str, Any],
    engine: str,
    compressed: bool,
) -> None:
    content = make_content(members=5, hours=21, rows=3, columns=4)
    if compressed:
        content.to_netcdf(
            tmp_path / "whole.nc",
            engine=engine,
            encoding={name: {"zlib": True, "_FillValue": None} for name in content.variables if content[name].ndim},
        )
    else:
        write(content, "whole.nc", engine=engine)
    whole_bytes, rng = (tmp_path / "whole.nc").read_bytes(), np.random.default_rng(20260310)
    kinds = [KINDS[number % len(KINDS)] for number in range(CASES)]
    files = [tmp_path / f"{number}.nc" for number in range(CASES)]
    for file, kind in zip(files, kinds, strict=True):
        file.write_bytes(broken(whole_bytes, kind, rng))
    whole = normal_form(netcdf.read(tmp_path / "whole.nc", engine), Feed(path="whole.nc", role="forecast"))

    def run(feed: xr.Dataset) -> xr.Dataset:
        return assess(feed, site, weather, **road)

    usual = run(whole)
    counts = Counter(
        (kind, outcome(Path(f"{file}.npz"), status, whole, usual, run))
        for file, kind, status in zip(files, kinds, extracted(engine, files), strict=True)
    )
    changed = {kind for kind, result in counts if result == "changed"}
    assert changed <= (set() if compressed else {"flip1", "flip16", "header"}), counts
    assert all(result in {"refused", "same", "gate"} for kind, result in counts if kind in {"trunc", "zero"})
    assert sum(counts.values()) == CASES
