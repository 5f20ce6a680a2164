"""The list of a store's files: what is refused, word for word. The list is written by the ordinary tool itself."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import xarray as xr

from shared.errors import InputError
from shared.folder import files_in
from transport.weather.feeds import manifest
from transport.weather.feeds.manifest import check_manifest

Store = Callable[..., Path]
Listed = Callable[[Path], Path]
FLIPS = 200


@pytest.fixture
def small(content: xr.Dataset, store: Store) -> Path:
    return store(content.isel(lat=slice(2), lon=slice(2), time=slice(4)), 3)


def refused(path: Path) -> str:
    with pytest.raises(InputError) as caught:
        check_manifest(path)
    return str(caught.value)


def rewritten(small: Path, change: Callable[[list[str]], list[str]]) -> str:
    file = manifest.manifest_of(small)
    file.write_text("\n".join(change(file.read_text().splitlines())) + "\n")
    return refused(small)


def test_a_whole_store_passes_however_the_list_is_sorted_or_marked(small: Path) -> None:
    check_manifest(small)
    file = manifest.manifest_of(small)
    lines = file.read_text().splitlines()
    file.write_text("\r\n".join(line.replace("  ./", " *").upper()[:64] + line[64:] for line in reversed(lines)))
    check_manifest(small)


def test_without_a_list_nothing_is_read(small: Path, tmp_path: Path) -> None:
    manifest.manifest_of(small).unlink()
    said = (
        "forecast.zarr: lacks forecast.zarr.sha256 beside it, the list of its files: a lost chunk would read as a "
        "number; make it where the store was written, in the store: find . -type f -print0 | LC_ALL=C sort -z | "
        "xargs -0 sha256sum > ../forecast.zarr.sha256"
    )
    assert refused(small) == said
    (tmp_path / "elsewhere").write_text("")
    manifest.manifest_of(small).symlink_to(tmp_path / "elsewhere")
    assert refused(small) == said


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("not a line", "'not a line' is not understood, allowed is 'SHA-256  path' as sha256sum writes it"),
        ("\\" + "0" * 64 + "  a", "is not understood, allowed is 'SHA-256  path' as sha256sum writes it"),
        ("", "'' is not understood, allowed is 'SHA-256  path' as sha256sum writes it"),
        ("0" * 64 + "  ../move.toml", "'../move.toml' lies outside the store, allowed are paths from the store down"),
        ("0" * 64 + "  ./time/../../b", "'./time/../../b' lies outside the store, allowed are paths from the store"),
        (
            "0" * 64 + "  /etc/passwd",
            "'/etc/passwd' lies outside the store, allowed are paths from the store downwards",
        ),
        ("0" * 64 + "  C:\\a", "'C:\\\\a' lies outside the store, allowed are paths from the store down"),
        ("0" * 64 + "  .", "'.' lies outside the store, allowed are paths from the store down"),
        ("0" * 64 + "  ./zarr.json", "'./zarr.json' stands twice; make the list again"),
    ],
)
def test_lines_that_are_refused(small: Path, line: str, said: str) -> None:
    count = len(manifest.manifest_of(small).read_text().splitlines())
    assert rewritten(small, lambda lines: [*lines, line]).startswith(f"forecast.zarr.sha256:{count + 1}: ")
    assert said in rewritten(small, lambda lines: lines)


def test_a_list_that_is_no_text_or_endless(small: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    manifest.manifest_of(small).write_bytes(b"\xff\xfe" * 9)
    assert refused(small) == "forecast.zarr.sha256: is not UTF-8 text; make it again with sha256sum"
    monkeypatch.setattr(manifest, "SIZE_LIMIT_BYTES", 17)
    assert refused(small) == "forecast.zarr.sha256: has 18 bytes, allowed up to 17"


def test_every_file_that_is_lost_is_missed(small: Path) -> None:
    for name in sorted(files_in(small)):
        whole = (small / name).read_bytes()
        (small / name).unlink()
        assert refused(small) == (
            f"forecast.zarr: {name}: is listed in forecast.zarr.sha256 but not there; fetch the store again, and all "
            "of it"
        )
        (small / name).write_bytes(whole)
    check_manifest(small)


def test_lost_chunk_of_the_time_axis(small: Path) -> None:
    (small / "time" / "c" / "0").unlink()
    assert refused(small).startswith("forecast.zarr: time/c/0: is listed in forecast.zarr.sha256 but not there;")


def test_a_file_too_many_and_many_faults_at_once(small: Path) -> None:
    (small / "u10" / "c" / "9").mkdir()
    for number in range(7):
        (small / "u10" / "c" / "9" / f"{number}").write_bytes(b"x")
    lines = refused(small).splitlines()
    assert len(lines) == 5
    assert lines[0] == (
        "forecast.zarr: u10/c/9/0: is there but not listed in forecast.zarr.sha256; fetch both again, into an empty "
        "folder"
    )


@pytest.mark.parametrize("version", [2, 3])
def test_every_flipped_bit_is_seen(content: xr.Dataset, store: Store, version: int) -> None:
    path, rng = store(content.isel(lat=slice(2), lon=slice(2), time=slice(4)), version), np.random.default_rng(version)
    names = [name for name in sorted(files_in(path)) if (path / name).stat().st_size]
    for _ in range(FLIPS):
        name = names[rng.integers(len(names))]
        whole = (path / name).read_bytes()
        broken = bytearray(whole)
        broken[rng.integers(len(whole))] ^= 1 << int(rng.integers(8))
        (path / name).write_bytes(broken)
        assert refused(path) == (
            f"forecast.zarr: {name}: does not fit its SHA-256 in forecast.zarr.sha256: it was changed or cut on its "
            "way, fetch it again"
        )
        (path / name).write_bytes(whole)
    check_manifest(path)


def test_every_cut_file_is_seen(small: Path) -> None:
    rng = np.random.default_rng(5)
    for name in sorted(files_in(small)):
        whole = (small / name).read_bytes()
        (small / name).write_bytes(whole[: rng.integers(len(whole))])
        assert refused(small).startswith(f"forecast.zarr: {name}: does not fit its SHA-256 in forecast.zarr.sha256")
        (small / name).write_bytes(whole)


def test_a_link_in_the_store_is_refused(small: Path, tmp_path: Path, listed: Listed) -> None:
    (tmp_path / "outside").write_bytes((small / "time" / "c" / "0").read_bytes())
    (small / "time" / "c" / "0").unlink()
    (small / "time" / "c" / "0").symlink_to(tmp_path / "outside")
    listed(small)
    assert refused(small) == "forecast.zarr: time/c/0: is a link or no ordinary file; copy the file itself"
    (small / "time" / "c" / "0").unlink()
    (small / "time" / "c").rmdir()
    (small / "time" / "c").symlink_to(tmp_path)
    assert refused(small) == "forecast.zarr: time/c: is a link or no ordinary file; copy the file itself"


def test_a_store_too_large_to_be_checked(small: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(manifest, "figure", lambda name: 1e-6)
    assert refused(small).startswith("forecast.zarr: holds 0.0 GB, allowed are 1e-06 GB; cut it to the surroundings")
