"""Words for narrow boxes: never nothing."""

import pytest

from transport.reports.strip_words import Words, fitted


@pytest.mark.parametrize(
    ("text", "room_pt", "words"),
    [
        ("up 12.2 %", 60.0, Words("↑ 12.2 %", 8.0, "normal")),
        ("up 12.2 %", 33.0, Words("↑12.2%", 8.0, "normal")),
        ("up 12.2 %", 26.0, Words("↑12.2", 8.0, "normal")),
        ("down 12.2 %", 20.0, Words("↓12.2", 6.0, "normal")),
        ("13.3", 14.0, Words("13.3", 6.0, "normal", upright=True)),
        ("down 12.2 %", 5.0, Words("↓12.2", 5.0, "normal", upright=True)),
        ("R 15 m", 12.0, Words("R15", 8.0, "normal", upright=True)),
        ("straight", 6.0, Words("–", 8.0, "normal")),
        ("closed", 14.0, Words("(3)", 7.0, "normal")),
        ("closed", 0.0, Words("(3)", 5.0, "normal", upright=True)),
    ],
)
def test_shorter_then_smaller_then_upright_then_a_reference(text: str, room_pt: float, words: Words) -> None:
    assert fitted(text, "(3)", room_pt, strong=False) == words


@pytest.mark.parametrize("room_pt", [0.0, 1.0, 3.0, 9.0, 30.0, 300.0])
@pytest.mark.parametrize("text", ["17.6 m/s", "no wind limit", "unknown", "level 0.0 %", "10"])
def test_a_box_is_never_blank(text: str, room_pt: float) -> None:
    assert fitted(text, "(3)", room_pt, strong=True).text
