"""Broken GRIB files by the hundred: each is refused, or read in full shape; the C library may crash, this process not.

What no reader can see: a flipped bit in the packed values, in their reference value, scale or bit count, or in the
bitmap, that leaves believable numbers. A flip in a header makes a message that is another one or none, and then the
full product of members and steps is broken. A file cut where one field ends and the next begins is a smaller file: what
it lacks then shuts a gate (gust, coverage in time, members). `sha256` of [[weather.feed]] closes the hole.
"""

import json
import os
import subprocess
import sys
from collections import Counter
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from shared.errors import InputError
from transport.weather.feeds import raw
from transport.weather.feeds.grib import extract as grib_extract
from transport.weather.feeds.grib.fields import as_json, rules
from transport.weather.feeds.grib.raw import Found
from transport.weather.feeds.grib.read import assembled
from transport.weather.feeds.grib.scan import scan
from transport.weather.feeds.inputs import Feed
from transport.weather.feeds.normal_form import normal_form

KINDS = ("trunc", "boundary", "flip1", "flip16", "zero")
CASES = 100
PLACES = {"latitude", "longitude", "x", "y"}


def broken(whole: bytes, kind: str, ends: list[int], rng: np.random.Generator) -> bytes:
    data, end = bytearray(whole), len(whole)
    if kind == "boundary":
        return bytes(data[: int(rng.choice(ends))])
    cut = int(rng.integers(16, end))
    if kind in ("trunc", "zero"):
        return bytes(data[:cut]) + (bytes(end - cut) if kind == "zero" else b"")
    for _ in range(16 if kind == "flip16" else 1):
        data[rng.integers(0, end)] ^= 1 << int(rng.integers(8))
    return bytes(data)


def decoded(files: list[Path]) -> list[int]:
    helper = Path(__file__).with_name("grib_extract_many.py")
    command = [sys.executable, str(helper), str(grib_extract.__file__), json.dumps([*map(as_json, rules())])]
    environment = os.environ | {"OPENBLAS_NUM_THREADS": "1"}
    done = subprocess.run([*command, *map(str, files)], env=environment, capture_output=True, text=True, check=True)
    return [int(line) for line in done.stdout.split()]


def passes_scan(file: Path) -> bool:
    try:
        scan(file)
    except InputError:
        return False
    return True


def found_after(file: Path, status: int) -> Found | None:
    """What the parent makes of it; None: refused, in words of ours."""
    if status != 0:
        return None
    try:
        return assembled(raw.load(Path(f"{file}.npz"), "forecast.grib2"), scan(file))
    except InputError as refusal:
        assert str(refusal).startswith("forecast.grib2: ")
        return None


def compared(found: Found, whole: Found) -> set[str]:
    """Names of what differs; nodes may stand a metre off, since a bit of the last millimetre cannot be told."""
    held, true = found.raw.variables, whole.raw.variables
    same = {name for name in set(true) & set(held) if held[name].identical(true[name])}
    same |= {
        name
        for name in PLACES & set(true) & set(held)
        if held[name].shape == true[name].shape and np.allclose(held[name], true[name], rtol=1e-6, atol=1e-5)
    }
    return (set(true) | set(held)) - same


@pytest.mark.skipif(not hasattr(os, "fork"), reason="each case runs in its own fork")
@pytest.mark.parametrize("name", ["ensemble", "nam_excerpt"])
def test_broken_files(small: Any, data: Path, tmp_path: Path, name: str) -> None:
    """An ensemble of ours in simple packing, and a real file with complex packing and fields that share a message."""
    intact = tmp_path / "forecast.grib2"
    messages = b"".join(small.messages().values())
    intact.write_bytes(messages if name == "ensemble" else (data / "cfgrib" / "nam_excerpt.grib2").read_bytes())
    whole_bytes, rng = intact.read_bytes(), np.random.default_rng(20260310)
    ends = [message.offset for message in scan(intact)[1:]]
    kinds = [KINDS[number % len(KINDS)] for number in range(CASES)]
    files = [tmp_path / f"{number}.grib2" for number in range(CASES)]
    for file, kind in zip(files, kinds, strict=True):
        file.write_bytes(broken(whole_bytes, kind, ends, rng))
    passed = [file for file in files if passes_scan(file)]
    statuses = dict(zip([intact, *passed], decoded([intact, *passed]), strict=True))
    whole = found_after(intact, statuses[intact])
    assert whole is not None
    counts: Counter[tuple[str, str]] = Counter()
    fields = {f"{field}{part}" for field in whole.raw.names for part in ("", "_intervals")}
    for file, kind in zip(files, kinds, strict=True):
        found = found_after(file, statuses[file]) if file in statuses else None
        differs = set() if found is None else compared(found, whole)
        counts[kind, "refused" if found is None else "changed" if differs else "same"] += 1
        if found is not None and kind in ("flip1", "flip16"):
            assert differs <= fields, (kind, differs)
            assert all(found.raw.variables[field].shape == whole.raw.variables[field].shape for field in differs)
    assert not [key for key in counts if key[0] in ("trunc", "zero") and key[1] != "refused"], counts
    assert ("boundary", "same") not in counts
    assert name == "nam_excerpt" or counts["flip1", "refused"] > 0, "nearly all bits of the real file are packed values"
    assert sum(counts.values()) == CASES


def test_a_flip_that_is_read_has_its_full_shape(small: Any, tmp_path: Path) -> None:
    """Every bit of the headers of one message in turn: no member and no step is ever lost in silence."""
    messages = small.messages()
    victim = messages["10v", 1, 2]
    data_section = victim.rindex(b"7777") - 50 - 5
    files = []
    for bit in range(0, 8 * data_section, 7):
        flipped = bytearray(victim)
        flipped[bit // 8] ^= 1 << bit % 8
        files.append(tmp_path / f"{bit}.grib2")
        files[-1].write_bytes(b"".join({**messages, ("10v", 1, 2): bytes(flipped)}.values()))
    passed = [file for file in files if passes_scan(file)]
    results = [found_after(file, status) for file, status in zip(passed, decoded(passed), strict=True)]
    read = [result for result in results if result is not None]
    assert 0 < len(read) < len(files)
    for result in read:
        data = normal_form(result.raw, Feed(path="forecast.grib2", role="forecast"))
        assert dict(data.sizes) == {"realization": 3, "time": 4, "latitude": 4, "longitude": 5}
        np.testing.assert_allclose(data["gust_mps"][:, 1:], small.fields["10fg"][:, 1:], rtol=1e-5)
        np.testing.assert_allclose(data["eastward_wind_mps"], small.fields["10u"], atol=1e-4)
