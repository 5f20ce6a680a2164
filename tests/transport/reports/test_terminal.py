"""What goes to standard output."""

import pytest

from shared.assessment import Assessment
from transport.reports import terminal


@pytest.mark.parametrize("columns", ["80", "120"])
def test_every_start_stands_on_one_line(
    result: Assessment, columns: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", columns)
    terminal.show(terminal.Starts(result))
    lines = capsys.readouterr().out.splitlines()
    begin = lines.index("Starts; util. = action over its limit, in the hour that ends at 'when'")
    rows = lines[begin + 3 : begin + 3 + result.window.sizes["start"]]
    assert rows[12].split() == ["Tue", "10", "07:00", "go", "0.86", "cover", "clearance", "Tue", "10", "10:00"]
    assert all(row.split()[3] in {"go", "no-go", "undecided"} for row in rows)
    assert max(map(len, rows)) <= 80


def test_no_blanks_at_the_ends_of_lines(result: Assessment, capsys: pytest.CaptureFixture[str]) -> None:
    terminal.show(terminal.Starts(result))
    lines = capsys.readouterr().out.split("\n")
    assert lines[-1] == ""
    assert not [line for line in lines if line != line.rstrip()]


def test_a_terminal_is_left_to_itself(
    result: Assessment, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("FORCE_COLOR", "1")
    terminal.show(terminal.Starts(result))
    assert "\x1b[" in capsys.readouterr().out
