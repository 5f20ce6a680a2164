"""Files and folders of a move: nothing outside, and a folder hashed as the ordinary tool would do it."""

import os
import subprocess
from pathlib import Path

import pytest

from shared.errors import InputError
from shared.folder import files_in, inside, listing, sha256_of
from shared.provenance import hashed


@pytest.fixture
def store(tmp_path: Path) -> Path:
    folder = tmp_path / "store"
    for name in ("a-b/c", "a/b", "a.b", ".hidden", "Z/ä/0.0"):
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(name.encode())
    (folder / "empty").mkdir()
    return folder


def test_listing_is_that_of_sha256sum(store: Path) -> None:
    """Reference: GNU find, sort and sha256sum."""
    command = "find . -type f -print0 | LC_ALL=C sort -z | xargs -0 sha256sum"
    lines = subprocess.run(["sh", "-c", command], cwd=store, capture_output=True, check=True).stdout
    assert os.fsencode(listing(store)) == lines
    (store.parent / "list").write_bytes(lines)
    (found,) = hashed([("store", store)])
    assert found.sha256 == sha256_of(store.parent / "list")


def test_every_change_below_a_folder_changes_its_hash(store: Path) -> None:
    before = sha256_of(store)
    (store / "a" / "b").rename(store / "a" / "c")
    moved = sha256_of(store)
    (store / "a" / "c").write_bytes(b"other")
    assert len({before, moved, sha256_of(store)}) == 3


def test_links_and_pipes_below_a_folder_are_refused(store: Path) -> None:
    (store / "link").symlink_to(store / "a.b")
    with pytest.raises(InputError, match=r"^store: link: is a link or no ordinary file; copy the file itself$"):
        list(files_in(store))
    (store / "link").unlink()
    os.mkfifo(store / "a" / "pipe")
    with pytest.raises(InputError, match=r"^store: a/pipe: is a link or no ordinary file; copy the file itself$"):
        sha256_of(store)


def test_a_folder_is_taken_only_where_it_is_asked_for_and_below(store: Path) -> None:
    assert inside(store.parent, "store", "weather.feed[0].path", or_folder=True) == store
    with pytest.raises(InputError, match=r"^weather.feed\[0\].path: 'store' is not an ordinary file$"):
        inside(store.parent, "store", "weather.feed[0].path")
    for name in (".", "store/.."):
        with pytest.raises(InputError, match="is not an ordinary file"):
            inside(store.parent, name, "path", or_folder=True)
    with pytest.raises(InputError, match=r"^path: '..' lies outside the folder of the move; copy it there$"):
        inside(store, "..", "path", or_folder=True)
    (store / "way").symlink_to(store.parent)
    with pytest.raises(InputError, match="'way' lies outside the folder of the move"):
        inside(store, "way", "path", or_folder=True)
