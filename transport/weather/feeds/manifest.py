"""The list of a store's files, without which a lost chunk would read as a number and a flipped bit as another wind.

The list of `forecast.zarr` is `forecast.zarr.sha256` beside it, as `sha256sum` writes and checks it, run in the store:

    find . -type f -print0 | LC_ALL=C sort -z | xargs -0 sha256sum > ../forecast.zarr.sha256

It is to be made where the store was written. A SHA-256 that fits also holds the size of the file.
"""

import re
from collections.abc import Iterable
from itertools import islice
from pathlib import Path, PurePosixPath

from shared.errors import Fault, InputError
from shared.folder import files_in, sha256_of
from shared.tables import figure

__all__ = ["check_manifest", "manifest_of"]

LINE = re.compile(r"([0-9a-fA-F]{64}) [ *](.+)")
SHOWN, SIZE_LIMIT_BYTES = 5, 100_000_000


def manifest_of(store: Path) -> Path:
    """Where the list of a store's files has to stand."""
    return store.with_name(f"{store.name}.sha256")


def check_manifest(store: Path) -> None:
    """Every listed file must be there and fit, and no other may be there.

    Errors: InputError with the first faults: no list, a line that is not understood, a path twice or out of the store,
    a link, a file that is missing, not listed, or does not fit, or a store too large to be checked.
    Source: format of sha256sum, as its manual gives it (memory); house rule on stores (practice).
    """
    listed, there = _listed(store), set(files_in(store))
    name = manifest_of(store).name
    _check_size(store, there)
    lost, extra = sorted(set(listed) - there), sorted(there - set(listed))
    _refuse(
        Fault(store.name, path, f"is listed in {name} but not there; fetch the store again, and all of it")
        for path in lost
    )
    _refuse(
        Fault(store.name, path, f"is there but not listed in {name}; fetch both again, into an empty folder")
        for path in extra
    )
    _refuse(
        Fault(store.name, path, f"does not fit its SHA-256 in {name}: it was changed or cut on its way, fetch it again")
        for path, digest in listed.items()
        if sha256_of(store / path) != digest
    )


def _listed(store: Path) -> dict[str, str]:
    found: dict[str, str] = {}
    faults: list[Fault] = []
    for number, line in enumerate(_text(store).splitlines(), start=1):
        match = LINE.fullmatch(line)
        path = str(PurePosixPath(match[2])) if match else ""
        if (said := _fault(line, match, path, found)) is not None:
            faults.append(Fault(f"{manifest_of(store).name}:{number}", "", said))
        elif match is not None:
            found[path] = match[1].lower()
    _refuse(faults)
    return found


def _fault(line: str, match: re.Match[str] | None, path: str, found: dict[str, str]) -> str | None:
    if match is None:
        return f"{line[:80]!r} is not understood, allowed is 'SHA-256  path' as sha256sum writes it"
    if path.startswith("/") or ".." in path.split("/") or path == "." or re.search(r"[\\\0]|^[A-Za-z]:", path):
        return f"{match[2]!r} lies outside the store, allowed are paths from the store downwards"
    return f"{match[2]!r} stands twice; make the list again" if path in found else None


def _text(store: Path) -> str:
    file = manifest_of(store)
    command = f"find . -type f -print0 | LC_ALL=C sort -z | xargs -0 sha256sum > ../{file.name}"
    if file.is_symlink() or not file.is_file():
        what = f"lacks {file.name} beside it, the list of its files: a lost chunk would read as a number"
        raise InputError(Fault(store.name, "", f"{what}; make it where the store was written, in the store: {command}"))
    if (size_bytes := file.stat().st_size) > SIZE_LIMIT_BYTES:
        raise InputError(Fault(file.name, "", f"has {size_bytes} bytes, allowed up to {SIZE_LIMIT_BYTES}"))
    try:
        return file.read_text(encoding="utf-8")
    except UnicodeDecodeError:
        raise InputError(Fault(file.name, "", "is not UTF-8 text; make it again with sha256sum")) from None


def _check_size(store: Path, names: Iterable[str]) -> None:
    size_bytes = sum((store / name).stat().st_size for name in names)
    limit_bytes = 1e9 * figure("weather_store_size_GB")
    if not size_bytes <= limit_bytes:
        what = f"holds {size_bytes / 1e9:.1f} GB, allowed are {limit_bytes / 1e9:g} GB"
        raise InputError(Fault(store.name, "", f"{what}; cut it to the surroundings of the road"))


def _refuse(faults: Iterable[Fault]) -> None:
    first = list(islice(faults, SHOWN))
    if first:
        raise InputError.of(first)
