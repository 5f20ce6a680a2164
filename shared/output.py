"""Files written whole or not at all: an interrupted run leaves the earlier result as it was."""

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from shared.errors import InputError

__all__ = ["replacing", "write_atomic"]


@contextmanager
def replacing(path: Path) -> Iterator[Path]:
    """Give a temporary path beside the target; move it over the target when the block ends well.

    Errors: InputError when the folder cannot be written.
    Source: POSIX rename is atomic within one file system (memory).
    """
    draft = _draft_beside(path)
    try:
        yield draft
        with draft.open("rb+") as file:
            os.fsync(file.fileno())
        draft.chmod(0o644)
        draft.replace(path)
    finally:
        draft.unlink(missing_ok=True)


def write_atomic(path: Path, content: bytes) -> None:
    """Write the bytes to the path, whole or not at all."""
    with replacing(path) as draft:
        draft.write_bytes(content)


def _draft_beside(path: Path) -> Path:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(prefix=f".{path.name}.", suffix=path.suffix, dir=path.parent)
    except OSError as problem:
        raise InputError(f"{path}: cannot be written ({problem.strerror}); choose another --out folder") from None
    os.close(handle)
    return Path(name)
