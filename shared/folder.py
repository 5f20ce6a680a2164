"""Files that a move names: ordinary ones inside its own folder, nothing else."""

from pathlib import Path

from shared.errors import Fault, InputError

__all__ = ["inside"]


def inside(folder: Path, name: str, field: str) -> Path:
    """The path of a named file, which must lie in the folder also after every link is followed.

    Errors: InputError with the field for a file elsewhere, or for a pipe, a device or a folder.
    """
    path = folder / name
    found = path.resolve()
    if not found.is_relative_to(folder.resolve()):
        raise InputError(Fault("", field, f"'{name}' lies outside the folder of the move; copy it there"))
    if found.exists() and not found.is_file():
        raise InputError(Fault("", field, f"'{name}' is not an ordinary file"))
    return path
