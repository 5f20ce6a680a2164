"""Files that a move names: ordinary ones inside its own folder, nothing else; and what is in a folder, hashed."""

import hashlib
import os
from collections.abc import Iterator
from pathlib import Path

from shared.errors import Fault, InputError

__all__ = ["files_in", "inside", "listing", "sha256_of"]


def inside(folder: Path, name: str, field: str, *, or_folder: bool = False) -> Path:
    """The path of a named file, or with `or_folder` of a folder, inside the folder also after every link is followed.

    Errors: InputError with the field for a file elsewhere, or for a pipe, a device or a folder that is not asked for.
    """
    path = folder / name
    found = path.resolve()
    if not found.is_relative_to(folder.resolve()):
        raise InputError(Fault("", field, f"'{name}' lies outside the folder of the move; copy it there"))
    below = or_folder and found.is_dir() and found != folder.resolve()
    if found.exists() and not found.is_file() and not below:
        raise InputError(Fault("", field, f"'{name}' is not an ordinary file"))
    return path


def files_in(folder: Path) -> Iterator[str]:
    """Every file below a folder, as its path from there with forward slashes, in no order.

    Errors: InputError for a link, a pipe or a device, which may lead anywhere.
    """
    left = [folder]
    while left:
        with os.scandir(left.pop()) as entries:
            for entry in entries:
                if entry.is_dir(follow_symlinks=False):
                    left.append(Path(entry.path))
                elif entry.is_file(follow_symlinks=False):
                    yield Path(entry.path).relative_to(folder).as_posix()
                else:
                    name = Path(entry.path).relative_to(folder).as_posix()
                    raise InputError(Fault(folder.name, name, "is a link or no ordinary file; copy the file itself"))


def listing(folder: Path) -> str:
    """Hash and path of every file below a folder, a line each, in the order of the bytes of the paths.

    The text is that of `find . -type f -print0 | LC_ALL=C sort -z | xargs -0 sha256sum`, run in the folder.
    """
    names = sorted(files_in(folder), key=lambda name: b"./" + os.fsencode(name))
    return "".join(f"{sha256_of(folder / name)}  ./{name}\n" for name in names)


def sha256_of(path: Path) -> str:
    """SHA-256 of a file; of a folder, that of its listing."""
    if path.is_dir():
        return hashlib.sha256(os.fsencode(listing(path))).hexdigest()
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
