"""Many files in one go: the same as one by one, and whatever one of them does to its reader stays its own fault."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import xarray as xr

from shared.tables import figure
from transport.weather.feeds import feed, netcdf, raw
from transport.weather.feeds.inputs import Feed

Write = Callable[..., Path]
SCRIPT = """
import os, signal, sys, time
def prepare(): pass
def main(arguments):
    file = os.path.basename(arguments[0])
    if "crash" in file: os.kill(os.getpid(), signal.SIGSEGV)
    if "hang" in file: time.sleep(60)
    sys.stderr.write("is refused, said the script")
    return 3
"""


def files(content: xr.Dataset, write: Write, count: int) -> list[Path]:
    made = []
    for number in range(count):
        content["run"].attrs["units"] = f"hours since 2026-03-{10 - number} 00:00:00"
        made.append(write(content.drop_vars("lead"), f"run{number}.nc"))
    return made


def test_together_is_the_same_as_one_by_one(content: xr.Dataset, write: Write) -> None:
    made = files(content, write, 3)
    alike = [Feed(path=path.name, role="forecast") for path in made]
    together = feed.read_many(made, alike)
    for path, one, found in zip(made, alike, together, strict=True):
        assert isinstance(found, xr.Dataset)
        xr.testing.assert_identical(found, feed.read(path, one))
    references = [found.attrs["forecast_reference_time"] for found in together if isinstance(found, xr.Dataset)]
    assert references == [f"2026-03-{day}T00:00:00Z" for day in ("10", "09", "08")]


def test_a_broken_file_leaves_the_others_alone(content: xr.Dataset, write: Write, tmp_path: Path) -> None:
    made = files(content, write, 2)
    cut = tmp_path / "cut.nc"
    cut.write_bytes(made[0].read_bytes()[:3000])
    text, gone = tmp_path / "text.nc", tmp_path / "gone.nc"
    text.write_text("no weather", encoding="utf-8")
    paths = [made[0], cut, text, gone, made[1]]
    found = feed.read_many(paths, [Feed(path=path.name, role="forecast") for path in paths])
    assert [isinstance(one, xr.Dataset) for one in found] == [True, False, False, False, True]
    said = [str(one) for one in found[1:4]]
    assert said[0] == "cut.nc: cannot be read: the file is broken, or was cut on its way; fetch it again"
    assert said[1].startswith("text.nc: is no weather file that can be read")
    assert said[2].startswith("gone.nc: there is no such file")


def test_a_crash_and_a_hang_are_the_fault_of_their_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    script = tmp_path / "script.py"
    script.write_text(SCRIPT, encoding="utf-8")
    jobs = [raw.Job(tmp_path / name, ()) for name in ("plain.nc", "crash.nc", "hang.nc", "other.nc")]
    monkeypatch.setattr(raw, "figure", lambda name: 0.5 if name == "weather_feed_time_s" else figure(name))
    broken = "the file is broken, or was cut on its way"
    assert [str(one) for one in raw.extracted_many(script, jobs)] == [
        "plain.nc: is refused, said the script",
        f"crash.nc: the reader crashed with signal 11 (SIGSEGV): {broken}; fetch it again",
        f"hang.nc: the reader was still busy after 0.5 s and was stopped; {raw.LATE}",
        "other.nc: is refused, said the script",
    ]


@pytest.mark.parametrize("broken", ["no fork", "no helper"])
def test_where_it_cannot_be_done_together_each_file_is_read_alone(
    broken: str, content: xr.Dataset, write: Write, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = files(content, write, 2)
    together = netcdf.read_many([(path, "netcdf4") for path in made])
    if broken == "no fork":
        monkeypatch.delattr(raw.os, "fork")
    else:
        monkeypatch.setattr(raw, "MANY", "none.py")
    alone = netcdf.read_many([(path, "netcdf4") for path in made])
    for one, other in zip(together, alone, strict=True):
        assert isinstance(one, raw.Raw) and isinstance(other, raw.Raw)
        np.testing.assert_array_equal(one.variables["u10"], other.variables["u10"])
