"""A copy is believed only while its record fits."""

import json
from datetime import UTC, datetime
from pathlib import Path

import pytest

from shared.folder import sha256_of
from transport.weather.fetching.record import Record, copy_of, record_path, write_record

URL = "https://example.invalid/forecast.nc"
MOMENT = datetime(2026, 3, 9, 5, 12, tzinfo=UTC)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A copy with its record."""
    path = tmp_path / "forecast.nc"
    path.write_bytes(b"abc")
    record = Record(url=URL, fetched_at=MOMENT, checked_at=MOMENT, etag='"1"', size_bytes=3, sha256=sha256_of(path))
    write_record(path, record)
    return path


def test_check_value_of_the_standard(path: Path) -> None:
    """Source: FIPS 180-4, example SHA-256 of "abc" (memory)."""
    record = copy_of(path, URL).record
    assert record is not None and record.sha256 == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


def test_a_record_is_read_back(path: Path) -> None:
    assert record_path(path).name == "forecast.nc.fetched.json"
    copy = copy_of(path, URL)
    assert copy.record is not None and copy.doubt == ""
    assert copy.record.fetched_at == MOMENT
    names = {"url", "fetched_at", "checked_at", "etag", "last_modified", "size_bytes", "sha256"}
    assert set(json.loads(record_path(path).read_text(encoding="utf-8"))) == names
    assert [file.name for file in sorted(path.parent.iterdir())] == ["forecast.nc", "forecast.nc.fetched.json"]


def test_no_copy_and_a_foreign_file(path: Path, tmp_path: Path) -> None:
    assert copy_of(tmp_path / "none.nc", URL) == (None, "there is no copy from before", False)
    record_path(path).unlink()
    doubt = "the file has no record forecast.nc.fetched.json, so it did not come from there"
    assert copy_of(path, URL) == (None, doubt, True)


def test_a_changed_file_and_another_address(path: Path) -> None:
    assert copy_of(path, f"{URL}?run=12").doubt == "the copy came from another address"
    path.write_bytes(b"abd")
    assert copy_of(path, URL).doubt.startswith("the copy was changed after it was fetched")


@pytest.mark.parametrize(
    "text",
    [
        "",
        "[]",
        "{",
        '{"url": 1}',
        '{"url": "https://example.invalid/forecast.nc", "fetched_at": "2026-03-09T05:12:00"}',
        200_000 * " ",
    ],
)
def test_a_broken_record(path: Path, text: str) -> None:
    record_path(path).write_text(text, encoding="utf-8")
    assert copy_of(path, URL) == (None, "the record forecast.nc.fetched.json of the copy cannot be read", False)


def test_a_time_without_zone_is_no_record(path: Path) -> None:
    text = record_path(path).read_text(encoding="utf-8")
    record_path(path).write_text(text.replace("05:12:00Z", "05:12:00"), encoding="utf-8")
    assert "05:12:00Z" in text and copy_of(path, URL).record is None
