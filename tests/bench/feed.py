"""Time and memory of reading one site from a large forecast: 50 members, 240 h, 100 x 100 nodes, 480 MB a variable.

Run: python tests/bench/feed.py [folder for the files, about 3 GB; default a temporary one]
Each file holds one field. Ours is the reading script of a feed, in its own process as always, for the box of a short
road (two cells around it, so 6 x 6 nodes). Beside it, in a process of its own too:
  raw      the bytes of every chunk that the 6 x 6 nodes touch, read from the file at their offsets and unpacked where
           they are compressed, nothing more; a contiguous run counts as one chunk for each row of each field
  xarray   open_dataset or open_zarr, and isel of the same 6 x 6 nodes
Times are the least of three and without the start of the process (imports), which is printed beside; the page cache is
warm. Memory is the highest of the process less that after its imports: for the site, where the libraries themselves are
most of it, and for 61 x 61 nodes, against the selected numbers (179 MB). A Zarr folder is also checked against the list
of its files, all of them: that is printed beside and not counted.
"""

import json
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import h5py
import netCDF4
import numpy as np
import zarr
from numcodecs import Zlib, Zstd

from transport.weather.feeds.manifest import check_manifest

MEMBERS, HOURS, NODES, SITE = 50, 240, 100, slice(40, 46)
SHAPE = (MEMBERS, HOURS, NODES, NODES)
LAYOUTS = {"by time": (1, 1, NODES, NODES), "by space": (1, HOURS, 10, 10)}
SELECTED_BYTES = MEMBERS * HOURS * 36 * 4
AXES = ("realization", "time", "latitude", "longitude")
WIDE = "-20.0,-14.5,-41.0,-35.5"
HERE = Path(__file__).resolve().parent
SCRIPTS = HERE.parents[1] / "transport" / "weather" / "feeds"
BOX = "-17.75,-17.75,-38.75,-38.75"  # in the cell of nodes 42 and 43: with two cells around it nodes 40 to 45

IN_CHILD = """
import importlib.util, json, re, sys, time
def peak_MB(): return int(re.search(r"VmHWM:\\s+(\\d+)", open("/proc/self/status").read())[1]) / 1024.0
begin = time.perf_counter()
{imports}
start_s, start_MB = time.perf_counter() - begin, peak_MB()
took_s, cpu_s = [], []
for _ in range(3):
    begin, clock = time.perf_counter(), time.process_time()
    {work}
    took_s.append(time.perf_counter() - begin)
    cpu_s.append(time.process_time() - clock)
print(json.dumps({{"start_s": start_s, "took_s": min(took_s), "cpu_s": min(cpu_s), "peak_MB": peak_MB() - start_MB}}))
"""


def field() -> np.ndarray:
    """A wind with two decimals, seeded."""
    return np.round(8.0 + 2.0 * np.random.default_rng(20260309).standard_normal(SHAPE, dtype="f4"), 2)


def axes() -> dict[str, tuple[np.ndarray, dict[str, str]]]:
    """Plain axes, latitude from -43 and longitude from -22 by 0.1 degrees."""
    grid = 0.1 * np.arange(NODES)
    return {
        "realization": (np.arange(MEMBERS), {"standard_name": "realization"}),
        "time": (np.arange(HOURS), {"standard_name": "time", "units": "hours since 2026-03-09"}),
        "latitude": (-43.0 + grid, {"standard_name": "latitude", "units": "degrees_north"}),
        "longitude": (-22.0 + grid, {"standard_name": "longitude", "units": "degrees_east"}),
    }


def write_netcdf(path: Path, values: np.ndarray, chunks: tuple[int, ...] | None, packed: bool) -> None:
    """One field in the wanted chunks, or contiguous."""
    with netCDF4.Dataset(path, "w") as data:
        for name, (numbers, attrs) in axes().items():
            data.createDimension(name, len(numbers))
            data.createVariable(name, numbers.dtype, (name,))[:] = numbers
            data[name].setncatts(attrs)
        how: dict[str, Any] = {"chunksizes": chunks} if chunks else {"contiguous": True}
        wind = data.createVariable("wind", "f4", AXES, zlib=packed, complevel=1, shuffle=False, **how)
        wind.setncatts({"standard_name": "eastward_wind", "units": "m s-1"})
        wind[:] = values


def write_zarr(path: Path, values: np.ndarray, chunks: tuple[int, ...], packed: bool) -> None:
    """One field in the wanted chunks with its list."""
    group = zarr.open_group(path, mode="w", zarr_format=3)
    how = {} if packed else {"compressors": None}
    for name, (numbers, attrs) in axes().items():
        one = group.create_array(name, shape=numbers.shape, dtype=numbers.dtype, dimension_names=(name,))
        one[:] = numbers
        one.attrs.update(attrs)
    wind = group.create_array("wind", shape=SHAPE, dtype="f4", chunks=chunks, dimension_names=AXES, **how)
    wind.attrs.update({"standard_name": "eastward_wind", "units": "m s-1"})
    wind[:] = values
    command = "find . -type f -print0 | LC_ALL=C sort -z | xargs -0 sha256sum"
    lines = subprocess.run(["sh", "-c", command], cwd=path, capture_output=True, check=True).stdout
    path.with_name(f"{path.name}.sha256").write_bytes(lines)


def touched(path: Path) -> list[tuple[Path, int, int]]:
    """File, offset and size of every chunk that the site touches."""
    if path.suffix == ".zarr":
        shape = zarr.open_group(path, mode="r")["wind"].chunks
        files = [path / "wind" / "c" / "/".join(map(str, number)) for number in _numbers(shape)]
        return [(file, 0, file.stat().st_size) for file in files]
    with h5py.File(path) as data:
        wind = data["wind"]
        if wind.chunks is None:
            begin, row = wind.id.get_offset(), 4 * NODES
            rows = range(begin + SITE.start * row, begin + wind.size * 4, NODES * row)
            return [(path, first, (SITE.stop - SITE.start) * row) for first in rows]
        corners = [tuple(np.multiply(number, wind.chunks)) for number in _numbers(wind.chunks)]
        found = [wind.id.get_chunk_info_by_coord(corner) for corner in corners]
        return [(path, one.byte_offset, one.size) for one in found]


def _numbers(shape: tuple[int, ...]) -> list[tuple[int, ...]]:
    spans = (slice(0, MEMBERS), slice(0, HOURS), SITE, SITE)
    ranges = [range(span.start // size, (span.stop - 1) // size + 1) for span, size in zip(spans, shape, strict=True)]
    return [tuple(int(n) for n in number) for number in np.array(np.meshgrid(*ranges, indexing="ij")).reshape(4, -1).T]


def raw_read(chunks: list[tuple[Path, int, int]], decode: Callable[[bytes], Any] | None) -> int:
    """Read and unpack every chunk; the count of bytes keeps it honest."""
    count, number, before = 0, -1, None
    for path, offset, size in chunks:
        if path != before:
            if before is not None:
                os.close(number)
            number, before = os.open(path, os.O_RDONLY), path
        data = os.pread(number, size, offset)
        count += len(decode(data)) if decode else len(data)
    os.close(number)
    return count


def least_s(work: Callable[[], object]) -> tuple[float, float]:
    """Least time of three, by the clock and of the processor."""
    took = []
    for _ in range(3):
        begin, clock = time.perf_counter(), time.process_time()
        work()
        took.append((time.perf_counter() - begin, time.process_time() - clock))
    return min(one for one, _ in took), min(one for _, one in took)


def in_child(imports: str, work: str) -> dict[str, float]:
    """Times and memory of a piece of code in a fresh process."""
    code = IN_CHILD.format(imports=imports, work=work)
    done = subprocess.run(
        [sys.executable, "-I", "-W", "ignore", "-c", code], capture_output=True, text=True, check=True
    )
    return dict(json.loads(done.stdout))


def ours(path: Path, out: Path, box: str) -> dict[str, float]:
    """The reading script of the feed."""
    script, kind = ("zarr_extract", "3") if path.suffix == ".zarr" else ("extract", "netcdf4")
    imports = (
        f"spec = importlib.util.spec_from_file_location('script', {str(SCRIPTS / f'{script}.py')!r})\n"
        "script = importlib.util.module_from_spec(spec); spec.loader.exec_module(script)\n"
        "import netCDF4"
    )
    names = ["time", "latitude", "longitude", "realization", "eastward_wind"]
    return in_child(imports, f"script.extract({str(path)!r}, {str(out)!r}, 10**9, {box!r}, {kind!r}, {names!r})")


def plain(path: Path) -> dict[str, float]:
    """A short xarray script."""
    how = "open_zarr({0!r}, consolidated=False)" if path.suffix == ".zarr" else "open_dataset({0!r}, engine='netcdf4')"
    part = f"isel(latitude=slice({SITE.start}, {SITE.stop}), longitude=slice({SITE.start}, {SITE.stop}))"
    more = ", zarr" if path.suffix == ".zarr" else ", netCDF4"
    return in_child(f"import xarray{more}", f"xarray.{how.format(str(path))}['wind'].{part}.values")


def report(title: str, path: Path, packed: bool, out: Path) -> None:
    """One line: times, ratios, memory."""
    decode = (Zstd().decode if path.suffix == ".zarr" else Zlib().decode) if packed else None
    chunks = touched(path)
    count = raw_read(chunks, decode)
    (base_s, base_cpu_s), mine, script = least_s(lambda: raw_read(chunks, decode)), ours(path, out, BOX), plain(path)
    with np.load(out) as found:
        assert max(found[name].nbytes for name in found.files) == SELECTED_BYTES
    wide = ours(path, out, WIDE)
    with np.load(out) as found:
        wide_bytes = max(found[name].nbytes for name in found.files)
    told = (
        f"{title:24} {count / 1e6:5.1f} MB in {len(chunks):5d} pieces: raw {base_s:.3f} s, ours {mine['took_s']:.3f} s",
        f"{mine['took_s'] / base_s:.1f} x raw by the clock, {mine['cpu_s'] / base_cpu_s:.1f} x of the processor",
        f"{mine['took_s'] / script['took_s']:.2f} x xarray",
        f"peak {mine['peak_MB']:.0f} MB, xarray's {script['peak_MB']:.0f} MB",
        f"wide {wide['peak_MB']:.0f} MB = {wide['peak_MB'] * 1e6 / wide_bytes:.1f} x selected",
        f"start {mine['start_s']:.2f} s",
    )
    print("; ".join(told))  # noqa: T201


def main(folder: Path) -> None:
    """Write the files that are not there yet, and measure."""
    values, out = field(), folder / "out.npz"
    for packed in (False, True):
        for name, chunks in LAYOUTS.items():
            title = f"{name}, {'packed' if packed else 'plain'}"
            for kind, write in ((".nc", write_netcdf), (".zarr", write_zarr)):
                path = folder / f"{title.replace(', ', '_').replace(' ', '_')}{kind}"
                if not path.exists():
                    write(path, values, chunks, packed)
                report(f"{'NetCDF4' if kind == '.nc' else 'Zarr v3'} {title}", path, packed, out)
                if kind == ".zarr":
                    print(f"{'':24} its list is checked in {least_s(lambda p=path: check_manifest(p))[0]:.2f} s")  # noqa: T201
    path = folder / "contiguous.nc"
    if not path.exists():
        write_netcdf(path, values, None, False)
    report("NetCDF4 contiguous", path, False, out)


if __name__ == "__main__":
    if len(sys.argv) > 1:
        main(Path(sys.argv[1]))
    else:
        with tempfile.TemporaryDirectory() as temporary:
            main(Path(temporary))
