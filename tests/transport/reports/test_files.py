"""The folder of results."""

from pathlib import Path

import pytest

from shared.assessment import Assessment
from transport.reports import files


def test_six_files_are_written(result: Assessment, tmp_path: Path) -> None:
    written = files.write(result, tmp_path / "out")
    assert tuple(path.name for path in written) == files.NAMES
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == sorted(files.NAMES)


def test_a_fault_leaves_the_earlier_result(result: Assessment, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    files.write(result, tmp_path)
    before = {path.name: path.read_bytes() for path in tmp_path.iterdir()}

    def fail(*_: object) -> None:
        raise RuntimeError("disk gone")

    monkeypatch.setattr(files, "write_netcdf", fail)
    with pytest.raises(RuntimeError, match="disk gone"):
        files.write(result, tmp_path)
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == before


@pytest.mark.parametrize("kind", ["closed", "undecided", "hostile"])
def test_every_kind_of_answer_can_be_written(kind: str, request: pytest.FixtureRequest, tmp_path: Path) -> None:
    files.write(request.getfixturevalue(kind), tmp_path)
