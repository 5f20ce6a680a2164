"""Where a result comes from: version, inputs with their hashes, clock, options, and the numbers nobody has read."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from importlib.metadata import version
from pathlib import Path

from shared.folder import sha256_of
from shared.inputs import Default
from shared.tables import Used

__all__ = ["InputFile", "Provenance", "hashed", "tool_version"]


@dataclass(frozen=True)
class InputFile:
    """An input as it was read: path as the user wrote it, and its SHA-256; of a folder, that of its listing."""

    path: str
    sha256: str


@dataclass(frozen=True)
class Provenance:
    """All that is needed to repeat a result and to doubt it; published numbers, by whether anybody read them."""

    version: str
    as_of: datetime
    inputs: tuple[InputFile, ...]
    options: Mapping[str, str] = field(default_factory=dict)
    unread: tuple[Used, ...] = ()
    read: tuple[Used, ...] = ()
    defaults: tuple[Default, ...] = ()


def hashed(files: Iterable[tuple[str, Path]]) -> tuple[InputFile, ...]:
    """Hash the inputs, in the given order; a folder by `shared.folder.listing`."""
    return tuple(InputFile(shown, sha256_of(path)) for shown, path in files)


def tool_version() -> str:
    """The installed version of glasshaul."""
    return version("glasshaul")
