"""A draft beside the copy: what comes in is moved over the copy only when it is whole and has been read."""

import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from shared.errors import Fault, InputError

__all__ = ["drafted", "settle"]


@contextmanager
def drafted(path: Path) -> Iterator[Path]:
    """A file of the same name in a hidden folder beside the copy, gone at the end.

    Errors: InputError when the folder cannot be written.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        folder = Path(tempfile.mkdtemp(prefix=".fetching-", dir=path.parent))
    except OSError as problem:
        reason = f"cannot be written ({problem.strerror}); make the folder writable, or use --offline"
        raise InputError(Fault(path.name, "", reason)) from None
    try:
        yield folder / path.name
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def settle(draft: Path, path: Path) -> None:
    """Move the draft over the copy in one step, after its bytes have reached the disk.

    Source: POSIX rename is atomic within one file system (memory).
    """
    with draft.open("rb+") as file:
        os.fsync(file.fileno())
    draft.replace(path)
