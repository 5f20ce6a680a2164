"""A pocket calculator: checked against arithmetic of Python and rules of operator precedence."""

import math

import pytest

from transport.reports.mathematics import tokens
from transport.reports.pocket import calculated


@pytest.mark.parametrize(
    ("formula", "expected"),
    [
        ("2 a + 3", 11.0),
        ("a b / c d", 4.0 * (5.0 / 2.0) * 10.0),  # a fraction takes only its neighbours
        ("-a^2", -16.0),
        ("a^(-1)", 0.25),
        ("a^-1", 0.25),
        ("2 - 3 - 4", -5.0),
        ("sqrt(a) + abs(2 - b)", 5.0),
        ("max(a, b) - min(a, b, c)", 3.0),
        ("cos theta sin theta", math.cos(0.5) * math.sin(0.5)),
        ("arctan(a / b)", math.atan(0.8)),
        ("exp(-(a / b))", math.exp(-0.8)),
        ("2 pi c", 4.0 * math.pi),
        ("ln(b) / ln(c)", math.log(5.0) / math.log(2.0)),
    ],
)
def test_arithmetic(formula: str, expected: float) -> None:
    values = {"a": 4.0, "b": 5.0, "c": 2.0, "d": 10.0, "theta": 0.5}
    assert calculated(tokens(formula), values) == pytest.approx(expected, rel=1e-12)


WRONG = ("x", "1 / 0", "sqrt(-1)", "(1", "1 )", "max 3", "+", "(-8)^(1/3)", "2 dot 3", "max(1")


@pytest.mark.parametrize("formula", WRONG)
def test_what_cannot_be_followed_is_none(formula: str) -> None:
    assert calculated(tokens(formula), {}) is None
