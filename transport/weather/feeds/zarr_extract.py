"""Read the wanted variables of a Zarr folder, undecoded. Runs by itself in a child process: imports nothing of ours.

Call: python -I zarr_extract.py FOLDER OUT SIZE_LIMIT_BYTES BOX FORMAT STANDARD_NAME...
FORMAT is 2 or 3; the rest is as in extract.py. The metadata of each array are read, never the consolidated copy.
"""

import importlib.util
import math
import sys
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import xarray as xr
import zarr

__all__ = ["extract", "main"]

CODECS = {
    *("bytes", "transpose", "sharding_indexed", "blosc", "zstd", "gzip", "zlib", "lz4", "lzma", "bz2", "shuffle"),
    *("crc32", "crc32c", "adler32", "fletcher32"),
}
BATCH_BYTES, MOST_AT_ONCE = 16_000_000, 256
QUICK = {"threading.max_workers": 2, "async.concurrency": 4}


def _extracting() -> Any:
    spec = importlib.util.spec_from_file_location("extract", Path(__file__).with_name("extract.py"))
    if spec is None or spec.loader is None:
        raise ImportError("extract")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


extracting = _extracting()
selection = extracting.selection


def extract(folder: str, out: str, size_limit_bytes: int, box: str, version: str, standard_names: list[str]) -> None:
    """Copy the wanted part of the wanted variables of a store into a .npz without pickles.

    Chunks of a forecast are many and small; the library is quicker when it takes them by the hundred.
    Errors: RefusedError for a codec that is not a plain one, too much data, or a chunk that is not there.
    """
    arrays, variables = _opened(folder, version)
    names = selection.chosen(variables, {*standard_names, "latitude", "longitude"})
    held = [name for name in names if "grid_mapping_name" not in variables[name].attrs]
    for name in held:
        _check_codecs(name, arrays[name])
    largest_bytes = max((_chunk_bytes(arrays[name]) for name in held), default=1)
    if largest_bytes > size_limit_bytes:
        what = f"has chunks of {largest_bytes / 1e6:.0f} MB, allowed are {size_limit_bytes / 1e6:.0f} MB"
        raise selection.RefusedError(f"{what}; write it in smaller chunks")
    count = min(max(BATCH_BYTES // max(largest_bytes, 1), 1), MOST_AT_ONCE)
    with zarr.config.set(QUICK | {"codec_pipeline.batch_size": count}):
        arrays, variables = _opened(folder, version)
        parts = selection.parts_around(variables, extracting.box_of(box), size_limit_bytes)
        for name in held:
            _check_chunks(Path(folder), name, arrays[name], variables[name], parts)
        extracting.copy(variables, names, parts, out, size_limit_bytes)


class Direct(zarr.storage.LocalStore):
    """A folder whose files are read where they are asked for: a thread for each of thousands takes longer than it."""

    async def get(self, key: str, prototype: Any = None, byte_range: Any = None) -> Any:
        """The content of a file, None if it is not there."""
        if prototype is None or byte_range is not None:
            return await super().get(key, prototype, byte_range)
        try:
            return prototype.buffer.from_bytes((self.root / key).read_bytes())
        except (FileNotFoundError, IsADirectoryError, NotADirectoryError):
            return None


def _opened(folder: str, version: str) -> tuple[Mapping[str, Any], dict[str, xr.Variable]]:
    local = Direct(folder, read_only=True)
    store = xr.backends.ZarrStore.open_group(local, mode="r", consolidated=False, zarr_format=int(version))
    return store.members, {str(name): selection.bare(variable) for name, variable in store.load()[0].items()}


def _chunk_bytes(array: Any) -> int:
    return int(math.prod(array.shards or array.chunks) * array.dtype.itemsize)


def _check_codecs(name: str, array: Any) -> None:
    """Only codecs that give back the very bytes that were written; one that runs a pickle could run anything."""
    held = array.metadata.to_dict()
    listed = held["codecs"] if "codecs" in held else (*(held["filters"] or ()), held["compressor"])
    unknown = sorted(set(_codec_names(listed)) - CODECS)
    if unknown:
        allowed = ", ".join(sorted(CODECS))
        raise selection.RefusedError(f"{name}: codec {', '.join(unknown)} is not read, allowed are {allowed}")


def _codec_names(listed: Any) -> Iterator[str]:
    for codec in listed:
        if codec is not None:
            yield str(codec.get("id", codec.get("name"))).removeprefix("numcodecs.")
            inner = codec.get("configuration") or {}
            yield from _codec_names((*inner.get("codecs", ()), *inner.get("index_codecs", ())))


def _check_chunks(folder: Path, name: str, array: Any, variable: xr.Variable, parts: dict[str, list[slice]]) -> None:
    """A chunk that is not there reads as the fill value, which must then mean missing and never be a number."""
    fill = array.fill_value
    if fill is not None and (fill != fill or fill == variable.attrs.get("_FillValue")):
        return
    shown = "0" if fill is None else fill
    if array.shards is not None:
        what = f"{name}: lies in shards, where a lost chunk reads as {shown}"
        raise selection.RefusedError(f"{what}; write it without shards, or with a fill value that means missing")
    for numbers in selection.pieces(variable, parts, array.chunks):
        key = array.metadata.encode_chunk_key(numbers)
        if not (folder / name / key).is_file():
            what = f"{name}/{key} is not there and would read as {shown}"
            raise selection.RefusedError(f"{what}; write the store with write_empty_chunks=True")


def main(arguments: list[str]) -> int:
    """Read a Zarr folder."""
    return int(extracting.run(extract, arguments))


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
