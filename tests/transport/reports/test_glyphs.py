"""Characters the papers can show."""

import logging

import pytest

from transport.reports.glyphs import printable, shown


@pytest.mark.parametrize("text", ["Łódź ąęśżźćń", "Καθρέφτης", "Зеркало", "µ ρ ≤ ² ⁻¹ ↑ – …", "naïve Ångström ß"])
def test_european_text_is_kept(text: str) -> None:
    assert shown(text) == text


def test_what_the_fonts_lack_is_written_as_code_point(caplog: pytest.LogCaptureFixture) -> None:
    with caplog.at_level(logging.WARNING):
        assert shown("主鏡 1") == "U+4E3B U+93E1  1"
    assert "U+4E3B, U+93E1" in caplog.text


def test_control_signs_are_dropped() -> None:
    assert shown("a\x1b[2J\u202eb\x00") == "a[2Jb"


def test_a_word_longer_than_a_line_may_be_broken_and_a_hash_is_not() -> None:
    assert shown("z" * 70).count("\u200b") == 2
    assert shown("f" * 64) == "f" * 64


def test_data_are_walked() -> None:
    assert printable({"a": ["\x07b", 1, None, ("c\x00",)]}) == {"a": ["b", 1, None, ["c"]]}
