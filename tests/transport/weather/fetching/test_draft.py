"""A draft leaves nothing behind, and the copy is whole at any moment."""

import os
from pathlib import Path

import pytest

from shared.errors import InputError
from transport.weather.fetching.draft import drafted, settle


def test_a_draft_takes_the_place_of_the_copy(tmp_path: Path) -> None:
    path = tmp_path / "feeds" / "forecast.nc"
    with drafted(path) as draft:
        assert draft.name == path.name and draft.parent.parent == path.parent
        draft.write_bytes(b"new")
        settle(draft, path)
    assert path.read_bytes() == b"new"
    assert list(path.parent.iterdir()) == [path]


def test_an_interrupted_draft_leaves_the_copy(tmp_path: Path) -> None:
    path = tmp_path / "forecast.nc"
    path.write_bytes(b"old")
    with pytest.raises(KeyboardInterrupt), drafted(path) as draft:
        draft.write_bytes(b"ne")
        raise KeyboardInterrupt
    assert path.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [path]


def test_bytes_reach_the_disk_before_the_name(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path, order = tmp_path / "forecast.nc", []
    monkeypatch.setattr(os, "fsync", lambda _: order.append(path.exists()))
    with drafted(path) as draft:
        draft.write_bytes(b"new")
        settle(draft, path)
    assert order == [False] and path.exists()


def test_where_nothing_can_be_written(tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("", encoding="utf-8")
    said = r"forecast.nc: cannot be written \(.+\); make the folder writable"
    with pytest.raises(InputError, match=said), drafted(tmp_path / "taken" / "forecast.nc"):
        pytest.fail("a file is no folder")
