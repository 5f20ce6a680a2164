"""The record beside a copy, PATH.fetched.json: where it came from, when, and the check value of its content.

A copy is believed only while its record fits: same address, same SHA-256.
"""

import json
from pathlib import Path
from typing import NamedTuple

from pydantic import AwareDatetime, BaseModel, ConfigDict, Field, ValidationError

from shared.folder import sha256_of
from shared.output import write_atomic

__all__ = ["Arrival", "Copy", "Record", "copy_of", "record_path", "write_record"]

LONGEST_RECORD_BYTES = 100_000


class Record(BaseModel):
    """What is known of a copy. `fetched_at`: when its bytes came; `checked_at`: when the server last confirmed them."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    url: str
    fetched_at: AwareDatetime
    checked_at: AwareDatetime
    etag: str | None = None
    last_modified: str | None = None
    size_bytes: int = Field(ge=0)
    sha256: str = Field(pattern=r"^[0-9a-f]{64}$")


class Arrival(NamedTuple):
    """What came into a draft, and the marks by which the server knows it again."""

    size_bytes: int
    sha256: str
    etag: str | None = None
    last_modified: str | None = None


class Copy(NamedTuple):
    """A copy with its record, or without one and the reason why it is not believed."""

    record: Record | None
    doubt: str
    foreign: bool = False


def record_path(path: Path) -> Path:
    """Where the record of a copy lies."""
    return path.with_name(f"{path.name}.fetched.json")


def copy_of(path: Path, url: str) -> Copy:
    """The copy at a path as far as it can be believed to be what the address once gave.

    A file without any record is foreign: nobody fetched it, and it is not ours to overwrite.
    """
    beside = record_path(path)
    if not path.exists():
        return Copy(None, "there is no copy from before")
    if not beside.exists():
        return Copy(None, f"the file has no record {beside.name}, so it did not come from there", foreign=True)
    try:
        record = Record.model_validate_json(_text(beside))
    except (OSError, ValueError, ValidationError):
        return Copy(None, f"the record {beside.name} of the copy cannot be read")
    if record.url != url:
        return Copy(None, "the copy came from another address")
    if sha256_of(path) != record.sha256:
        return Copy(None, "the copy was changed after it was fetched (its SHA-256 does not fit its record)")
    return Copy(record, "")


def write_record(path: Path, record: Record) -> None:
    """Write the record of a copy, whole or not at all."""
    text = json.dumps(record.model_dump(mode="json"), indent=1, sort_keys=True)
    write_atomic(record_path(path), f"{text}\n".encode())


def _text(path: Path) -> str:
    if path.stat().st_size > LONGEST_RECORD_BYTES:
        raise ValueError("too large for a record")
    return path.read_text(encoding="utf-8")
