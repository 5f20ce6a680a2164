"""Text of a station: size, encoding, control characters."""

from collections.abc import Callable
from pathlib import Path

import pytest

from shared.errors import InputError
from transport.weather.feeds.stations import plain_text
from transport.weather.feeds.stations.plain_text import lines_of

Put = Callable[[str | bytes], Path]


def test_line_ends_marks_and_control_characters(put: Put) -> None:
    """A control character becomes a space: 2, NUL, 5 must not be read as 25."""
    path = put(b"\xef\xbb\xbf\x01TAF YUDO\r\r\n2\x005 \x1b[2J\tx\ry\xe2\x80\xae")
    assert lines_of(path) == [" TAF YUDO", "2 5  [2J\tx", "y "]


def test_refusals(put: Put, monkeypatch: pytest.MonkeyPatch) -> None:
    path = put(b"12 \xb0C\n")
    assert lines_of(path, "latin-1") == ["12 °C", ""]
    with pytest.raises(InputError) as caught:
        lines_of(path)
    assert str(caught.value) == "s.txt: the file is not utf-8 text (byte 4); save it as UTF-8, or fetch it again"
    monkeypatch.setattr(plain_text, "figure", lambda name: 1e-6)
    with pytest.raises(InputError) as caught:
        lines_of(path)
    assert str(caught.value) == "s.txt: the file has 0.0 MB, allowed are 0 MB; cut it to the time that matters"
    with pytest.raises(InputError, match=r"gone.txt: cannot be read \(No such file or directory\)"):
        lines_of(path.with_name("gone.txt"))
