"""Zarr folders: the same numbers as the NetCDF file, or a refusal; what the library does by itself is shown first."""

import json
import pickle
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import xarray as xr
import zarr

from shared.errors import InputError
from shared.folder import sha256_of
from transport.weather.feeds import extract, feed, raw, zarr_extract, zarr_store
from transport.weather.feeds.inputs import Feed

Store = Callable[..., Path]
Listed = Callable[[Path], Path]
ONLY = ".".join("0000")  # the one chunk of four axes, as version 2 names it
FIELDS = ("u10", "v10", "fg10", "t2", "d2", "ps", "tp", "vis")


def refused(path: Path, model: Feed) -> str:
    with pytest.raises(InputError) as caught:
        feed.read(path, model)
    return str(caught.value)


@pytest.mark.parametrize("version", [2, 3])
@pytest.mark.parametrize("chunks", [(6, 31, 4, 5), (1, 1, 4, 5), (2, 31, 3, 2)])
def test_both_formats_hold_what_the_netcdf_file_holds(
    content: xr.Dataset, store: Store, model: Feed, normal: xr.Dataset, version: int, chunks: tuple[int, ...]
) -> None:
    path = store(content, version, **{name: {"chunks": chunks} for name in FIELDS})
    found = feed.read(path, model)
    assert (found.attrs["source_kind"], normal.attrs["source_kind"]) == ("Zarr", "NetCDF")
    expected = normal.assign_attrs(source_kind="Zarr", file="forecast.zarr")
    xr.testing.assert_identical(found, expected)


@pytest.mark.parametrize("version", [2, 3])
def test_packed_numbers_and_missing_ones(
    content: xr.Dataset, store: Store, write: Callable[..., Path], model: Feed, version: int
) -> None:
    attrs = content["fg10"].attrs | {"scale_factor": 0.01, "_FillValue": np.int16(-32768)}
    packed = np.round(content["fg10"].to_numpy() * 100).astype("i2")
    packed[2, 10, 1, 1] = -32768
    content["fg10"] = content["fg10"].dims, packed, attrs
    content["t2"][1, 3, 2, 2] = np.nan
    there, found = feed.read(write(content), model), feed.read(store(content, version), model)
    assert np.isnan(found["gust_mps"][2, 10, 1, 1])
    xr.testing.assert_equal(found, there)


@pytest.mark.parametrize("version", [2, 3])
def test_flipped_bit_reads_as_another_wind_in_the_library(
    content: xr.Dataset, store: Store, model: Feed, version: int
) -> None:
    path = store(content, version)
    chunk = path / "fg10" / ("c/0/0/0/0" if version == 3 else ONLY)
    data = bytearray(chunk.read_bytes())
    data[-5] ^= 64
    chunk.write_bytes(data)
    with xr.open_zarr(path, consolidated=False, decode_times=False) as opened:
        assert (opened["fg10"].to_numpy() != content["fg10"].to_numpy()).any()
    name = chunk.relative_to(path).as_posix()
    assert refused(path, model) == (
        f"forecast.zarr: {name}: does not fit its SHA-256 in forecast.zarr.sha256: it was changed or cut on its way, "
        "fetch it again"
    )


@pytest.mark.parametrize(("version", "lost"), [(2, "time/0"), (3, "time/c/0")])
def test_lost_times_read_as_the_epoch_even_if_the_list_was_made_too_late(
    content: xr.Dataset, store: Store, listed: Listed, model: Feed, version: int, lost: str
) -> None:
    path = store(content, version)
    (path / lost).unlink()
    with xr.open_zarr(path, consolidated=False, decode_times=False) as opened:
        assert (opened["time"].to_numpy() == 0).all()
    listed(path)
    assert refused(path, model) == (
        f"forecast.zarr: {lost} is not there and would read as 0; write the store with write_empty_chunks=True"
    )


@pytest.mark.parametrize(("version", "lost"), [(2, "tp/0.1.0.0"), (3, "tp/c/0/1/0/0")])
def test_lost_rain_reads_as_dry_or_as_missing(
    content: xr.Dataset, store: Store, listed: Listed, model: Feed, version: int, lost: str
) -> None:
    chunks = {"tp": {"chunks": (6, 10, 4, 5)}}
    path = store(content, version, **chunks)
    if version == 3:
        held = json.loads((path / "tp" / "zarr.json").read_text())
        (path / "tp" / "zarr.json").write_text(json.dumps(held | {"fill_value": 0.0}))
    (path / lost).unlink()
    listed(path)
    assert zarr.open_group(path, mode="r", use_consolidated=False)["tp"][0, 12, 0, 0] == 0.0
    shown = "0" if version == 2 else "0.0"
    assert refused(path, model) == (
        f"forecast.zarr: {lost} is not there and would read as {shown}; write the store with write_empty_chunks=True"
    )
    masked = content.assign(tp=content["tp"].assign_attrs(_FillValue=np.float32(np.nan)))
    other = store(masked, version, "masked.zarr", **chunks)
    (other / lost).unlink()
    listed(other)
    rain = feed.read(other, model)["precipitation_mm_per_h"]
    assert np.isnan(rain[:, 10:20]).all()
    assert not np.isnan(rain[:, 20:]).any()


def test_shards_are_read_only_if_a_lost_part_reads_as_missing(
    content: xr.Dataset, store: Store, model: Feed, normal: xr.Dataset
) -> None:
    sharded = {"tp": {"shards": (6, 31, 4, 6), "chunks": (1, 31, 2, 3)}}
    masked = content.assign(tp=content["tp"].assign_attrs(_FillValue=np.float32(np.nan)))
    xr.testing.assert_equal(feed.read(store(masked, 3, **sharded), model), normal)
    dry = (content["tp"] * 0).astype("i4").assign_attrs(content["tp"].attrs | {"_FillValue": np.int32(-1)})
    assert refused(store(content.assign(tp=dry), 3, "dry.zarr", **sharded), model) == (
        "dry.zarr: tp: lies in shards, where a lost chunk reads as 0; write it without shards, or with a fill value "
        "that means missing"
    )


def test_consolidated_metadata_are_not_believed(
    content: xr.Dataset, store: Store, listed: Listed, model: Feed, normal: xr.Dataset
) -> None:
    path = store(content, 2)
    file = path / ".zmetadata"
    file.write_text(file.read_text().replace('"m s-1"', '"knots"'))
    listed(path)
    with xr.open_zarr(path, decode_times=False) as opened:
        assert opened["fg10"].attrs["units"] == "knots"
    xr.testing.assert_equal(feed.read(path, model), normal)


class Hurt:
    """What a pickle may do when it is opened."""

    def __reduce__(self) -> Any:
        return Path.touch, (Path("hurt"),)


def test_a_codec_that_runs_a_pickle_is_refused(
    content: xr.Dataset, store: Store, listed: Listed, model: Feed, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    path = store(content, 2)
    held = json.loads((path / "fg10" / ".zarray").read_text())
    (path / "fg10" / ".zarray").write_text(json.dumps(held | {"compressor": {"id": "pickle"}}))
    (path / "fg10" / ONLY).write_bytes(pickle.dumps(Hurt()))
    listed(path)
    assert refused(path, model).startswith("forecast.zarr: cannot be read")
    assert not Path("hurt").exists()


@pytest.mark.parametrize("version", [2, 3])
def test_a_codec_that_changes_numbers_is_refused(
    content: xr.Dataset, store: Store, listed: Listed, model: Feed, version: int
) -> None:
    path = store(content, version)
    file = path / "fg10" / ("zarr.json" if version == 3 else ".zarray")
    held, how = json.loads(file.read_text()), {"dtype": "<f4", "astype": "<i2", "scale": 1, "offset": 0}
    added = (
        {"codecs": [{"name": "numcodecs.fixedscaleoffset", "configuration": how}, *held["codecs"]]}
        if version == 3
        else {"filters": [{"id": "fixedscaleoffset"} | how]}
    )
    file.write_text(json.dumps(held | added))
    listed(path)
    assert refused(path, model) == (
        "forecast.zarr: fg10: codec fixedscaleoffset is not read, allowed are adler32, blosc, bytes, bz2, crc32, "
        "crc32c, fletcher32, gzip, lz4, lzma, sharding_indexed, shuffle, transpose, zlib, zstd"
    )


def test_too_large_is_refused_by_the_metadata(
    content: xr.Dataset, store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Any
) -> None:
    path, out = str(store(content, 3)), str(tmp_path / "out.npz")
    monkeypatch.setattr(zarr_extract.extracting, "_limit_memory", lambda limit_bytes: None)
    assert zarr_extract.main([path, out, "1000000000", "all", "3", "eastward_wind"]) == 0
    assert zarr_extract.main([path, out, "15000", "all", "3", "eastward_wind"]) == raw.REFUSED
    assert "declares 0 MB of data, allowed are 0 MB" in capsys.readouterr().err
    assert zarr_extract.main([path, out, "10000", "all", "3", "eastward_wind"]) == raw.REFUSED
    assert "has chunks of 0 MB, allowed are 0 MB; write it in smaller chunks" in capsys.readouterr().err
    assert zarr_extract.main([path, out, "1000000000", "all", "2", "eastward_wind"]) == 4


def test_both_scripts_write_the_same_for_the_same_content(content: xr.Dataset, store: Store, write: Any) -> None:
    by_file, by_store = Path(f"{write(content)}.npz"), Path(f"{store(content, 3)}.npz")
    names = ["eastward_wind", "latitude", "longitude"]
    extract.extract(str(by_file.with_suffix("")), str(by_file), 10**9, "all", "netcdf4", names)
    zarr_extract.extract(str(by_store.with_suffix("")), str(by_store), 10**9, "all", "3", names)
    first, second = raw.load(by_file, "a"), raw.load(by_store, "a")
    assert set(first.variables) == set(second.variables)
    for name, variable in first.variables.items():
        xr.testing.assert_identical(variable, second.variables[name])


def test_kinds_of_folder(content: xr.Dataset, store: Store, model: Feed) -> None:
    path = store(content, 3)
    (path / ".zgroup").write_text('{"zarr_format": 2}')
    assert refused(path, model) == "forecast.zarr: holds both zarr.json and .zgroup; write it anew in one format"


def test_the_package_is_named_when_it_is_missing(
    content: xr.Dataset, store: Store, model: Feed, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = store(content, 3)
    monkeypatch.setattr(zarr_store, "find_spec", lambda name: None)
    assert refused(path, model) == (
        "forecast.zarr: is a Zarr store, and the package that reads it is not installed; pip install 'glasshaul[zarr]'"
    )


def test_archives_and_addresses_are_refused(model: Feed, tmp_path: Path) -> None:
    (tmp_path / "forecast.zarr.zip").write_bytes(b"PK\x03\x04" + bytes(30))
    assert (
        refused(tmp_path / "forecast.zarr.zip", model) == "forecast.zarr.zip: the file is an archive; unpack it first"
    )
    said = refused(Path("https://example.invalid/forecast.zarr"), model)
    assert said.endswith("is an address; weather is read from files only, fetch it first")


def test_checksum_of_the_move_is_that_of_the_list(content: xr.Dataset, store: Store, normal: xr.Dataset) -> None:
    path = store(content, 3)
    file = path.with_name("forecast.zarr.sha256")
    right = Feed(path="forecast.zarr", role="forecast", sha256=sha256_of(file))
    xr.testing.assert_equal(feed.read(path, right), normal)
    file.write_text(file.read_text().replace("  ./", " *./"))
    assert refused(path, right) == (
        "forecast.zarr.sha256: sha256: does not fit the file: it was changed or cut on its way, fetch it again"
    )
    file.unlink()
    assert "forecast.zarr.sha256: sha256: does not fit" in refused(path, right)
