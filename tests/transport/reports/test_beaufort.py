"""Beaufort words."""

import math

import pytest

from transport.reports.beaufort import beaufort


# WMO-No. 306, code table 1100, as printed at delta-s.org/weer/beaufort.html (read): limits of the forces in m/s.
@pytest.mark.parametrize(
    ("speed", "words"),
    [
        (0.0, "0 calm"),
        (1.5, "1 light air"),
        (1.6, "2 light breeze"),
        (5.4, "3 gentle breeze"),
        (10.7, "5 fresh breeze"),
        (10.8, "6 strong breeze"),
        (20.7, "8 gale"),
        (32.7, "12 hurricane"),
    ],
)
def test_force_and_word(speed: float, words: str) -> None:
    assert beaufort(speed) == words


@pytest.mark.parametrize("speed", [math.nan, math.inf])
def test_no_word_without_a_speed(speed: float) -> None:
    assert beaufort(speed) == ""
