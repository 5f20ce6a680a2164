"""Formulas in pieces."""

import pytest

from transport.reports.mathematics import equations, key_of, marked, tokens


def keys(formula: str, *symbols: str) -> list[str]:
    return [token.key for token in marked(tokens(formula), symbols) if token.kind == "symbol"]


@pytest.mark.parametrize(
    ("formula", "expected"),
    [
        ("F_x = m (a - g sin theta)", ["F_x", "m", "a", "g", "theta"]),
        ('G_"lim" a_(g R) "LC" w_0', ["G_lim", "a_gR", "LC", "w_0"]),
        ("x_(a(b)) + sqrt(pi)", ["x_ab"]),
        ("a_", ["a"]),
        ("a_(b", ["a_b"]),
    ],
)
def test_symbols_hold_their_subscripts(formula: str, expected: list[str]) -> None:
    assert keys(formula) == expected


def test_symbols_of_several_pieces_are_joined_longest_first() -> None:
    assert keys("arctan(b / h) + s(a) - s", "b / h", "s(a)", "s", "b") == ["b/h", "sa", "s"]
    assert key_of("s(a)") == "sa"


def test_equations_side_by_side_and_bounds() -> None:
    first, second = equations(tokens("a = max(b, c) <= d, quad e = f"))
    assert "".join(token.text for token in first.right).strip() == "max(b, c)"
    assert "".join(token.text for token in first.bound).strip() == "<= d"
    assert "".join(token.text for token in second.left).strip() == "e"


@pytest.mark.parametrize("formula", ["a + b", "a = b = c", "= b", "a ="])
def test_what_is_no_equation_is_left_alone(formula: str) -> None:
    assert equations(tokens(formula)) == ()
