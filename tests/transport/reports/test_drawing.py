"""SVG primitives."""

import math

import numpy as np
import pytest

from transport.reports import drawing


def test_text_and_attributes_are_escaped() -> None:
    made = drawing.element("text", "</svg><script>", class_='a"b', stroke_width=2.0)
    assert made == '<text class="a&#34;b" stroke-width="2">&lt;/svg&gt;&lt;script&gt;</text>'


@pytest.mark.parametrize(
    ("low", "high", "expected"),
    [
        (0.0, 10.0, [0, 2, 4, 6, 8, 10]),
        (640.0, 853.0, [650, 700, 750, 800, 850]),
        (0.0, 0.0, [0.0]),
        (math.nan, 1.0, []),
    ],
)
def test_ticks_are_round(low: float, high: float, expected: list[float]) -> None:
    assert drawing.ticks(low, high) == expected


def test_an_unknown_step_is_a_gap() -> None:
    edges, levels = np.array([0.0, 1.0, 2.0, 3.0]), np.array([5.0, np.nan, 7.0])
    assert drawing.step_path(edges, levels) == "M0.0 5.0H1.0M2.0 7.0H3.0"


def test_a_pool_keeps_the_least_and_the_unknown() -> None:
    first, least = drawing.pooled(np.array([3.0, 1.0, 2.0, np.nan, 5.0, 4.0]), 3)
    np.testing.assert_array_equal(first, [0, 2, 4])
    np.testing.assert_array_equal(least, [1.0, np.nan, 4.0])
