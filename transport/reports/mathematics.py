"""The mathematics of a calculation line as tokens: symbols with their subscripts, numbers, functions, signs.

Only the part of the notation that calculation lines use; anything else is left to the typesetter.
"""

import re
from collections.abc import Iterable, Sequence
from typing import NamedTuple

__all__ = ["FUNCTIONS", "Equation", "Token", "equations", "key_of", "marked", "tokens"]

FUNCTIONS = frozenset(("sin", "cos", "tan", "arcsin", "arccos", "arctan", "sqrt", "abs", "max", "min", "exp", "ln"))
SPACES = frozenset(("quad", "thin", "med", "thick"))
COMPARISONS = frozenset(("<=", ">=", "<", ">"))
PATTERN = re.compile(r'\s+|"[^"]*"|[A-Za-z]+|\d+(?:\.\d+)?|<=|>=|.')


class Token(NamedTuple):
    """A piece of a formula as written, and what it is: space, number, symbol, function, constant or sign."""

    text: str
    kind: str
    key: str = ""


class Equation(NamedTuple):
    """Left side, right side, and a bound with its comparison where there is one."""

    left: tuple[Token, ...]
    right: tuple[Token, ...]
    bound: tuple[Token, ...]


def tokens(formula: str) -> tuple[Token, ...]:
    """The formula in pieces; a symbol holds its subscript."""
    pieces, found, at = PATTERN.findall(formula), [], 0
    while at < len(pieces):
        after = _symbol_end(pieces, at) if _named(pieces[at]) else at + 1
        text = "".join(pieces[at:after])
        found.append(_token(text, after - at))
        at = after
    return tuple(found)


def key_of(symbol: str) -> str:
    """A symbol without quotes, spaces and brackets, so that two ways of writing it are one."""
    return re.sub(r'["()\s]', "", symbol)


def marked(found: Sequence[Token], symbols: Iterable[str]) -> tuple[Token, ...]:
    """The same tokens with symbols of several pieces, such as s(a) or b / h, joined to one."""
    patterns = [_solid(tokens(symbol)) for symbol in symbols]
    longest = sorted((pattern for pattern in patterns if len(pattern) > 1), key=len, reverse=True)
    made, at = [], 0
    while at < len(found):
        taken = next((end for pattern in longest if (end := _match(found, at, pattern))), 0)
        if taken:
            text = "".join(token.text for token in found[at:taken])
            made.append(Token(text, "symbol", key_of(text)))
        else:
            made.append(found[at])
        at = taken or at + 1
    return tuple(made)


def equations(found: Sequence[Token]) -> tuple[Equation, ...]:
    """The equations of a formula, which stand side by side with commas between; none where a side is missing."""
    made = [_equation(part) for part in _split(found, {","}) if _solid(part)]
    return tuple(one for one in made if one) if all(made) else ()


def _equation(part: Sequence[Token]) -> Equation | None:
    sides = _split([token for token in part if token.text != "quad"], {"="})
    if len(sides) != 2 or not all(map(_solid, sides)):
        return None
    right = _split(sides[1], COMPARISONS)
    bound = tuple(sides[1][len(right[0]) :])
    return Equation(tuple(sides[0]), tuple(right[0]), bound)


def _split(found: Sequence[Token], signs: Iterable[str]) -> list[list[Token]]:
    """Parts between signs that stand outside all brackets."""
    parts: list[list[Token]] = [[]]
    depth = 0
    for token in found:
        depth += {"(": 1, ")": -1}.get(token.text, 0)
        if depth == 0 and token.kind == "sign" and token.text in signs:
            parts.append([])
        else:
            parts[-1].append(token)
    return parts


def _named(piece: str) -> bool:
    return piece[0].isalpha() or piece[0] == '"'


def _symbol_end(pieces: Sequence[str], at: int) -> int:
    """Index after a symbol and its subscript."""
    if pieces[at + 1 : at + 2] != ["_"] or at + 2 >= len(pieces):
        return at + 1
    if pieces[at + 2] != "(":
        return at + 3
    depth = 0
    for end in range(at + 2, len(pieces)):
        depth += {"(": 1, ")": -1}.get(pieces[end], 0)
        if depth == 0:
            return end + 1
    return len(pieces)


def _token(text: str, count: int) -> Token:
    if text.isspace() or text in SPACES:
        return Token(text, "space")
    if text[0].isdigit():
        return Token(text, "number")
    if count == 1 and (text in FUNCTIONS or text == "pi"):
        return Token(text, "function" if text in FUNCTIONS else "constant")
    return Token(text, "symbol", key_of(text)) if _named(text) else Token(text, "sign")


def _solid(found: Iterable[Token]) -> list[Token]:
    return [token for token in found if token.kind != "space"]


def _match(found: Sequence[Token], at: int, pattern: Sequence[Token]) -> int:
    """Index after the pattern where it begins at this token, else 0."""
    end = at
    for wanted in pattern:
        while end < len(found) and end > at and found[end].kind == "space":
            end += 1
        if end >= len(found) or (found[end].key or found[end].text) != (wanted.key or wanted.text):
            return 0
        end += 1
    return end
