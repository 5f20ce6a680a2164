"""A formula with its numbers: every symbol replaced by its value as it is printed, then the result."""

import math
from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

from shared.calculation import Line
from transport.reports.mathematics import Equation, Token, equations, key_of, marked, tokens
from transport.reports.notation import plain
from transport.reports.pocket import calculated

__all__ = ["DIGITS", "digits_needed", "follows", "substituted"]

DIGITS = 4
NOTHING_RATIO = 1e-9
MOST_DIGITS = 9
AGREES_RATIO = 1e-4
OPENING = {"", "(", ",", "=", "/", "^"}

Written = Callable[[float, str], str]


class _Value(NamedTuple):
    value: float
    unit: str


def substituted(line: Line, written: Written) -> tuple[str, ...]:
    """The equations of the line with numbers, as mathematics to be set: the main one first.

    Nothing where a symbol of the main one has no single finite number; a side equation that lacks one is left out.
    """
    values, made = _values(line), _equations(line)
    if values is None or not made or not math.isfinite(line.result[1]):
        return ()
    results = [_Value(*line.result[1:]), *(values.get(_key(one)) for one in made[1:])]
    texts = [_equation(one, values, result, written) for one, result in zip(made, results, strict=True)]
    return tuple(text for text in texts if text) if texts[0] else ()


def digits_needed(line: Line) -> int:
    """Significant digits of the values, 4 or more, with which a pocket calculator gives the first 4 of the result.

    4 where the formula does not give the result even with all digits. A result that is nothing but the rest of a sum is
    wanted as closely as 4 digits of the greatest value of its unit.
    """
    if not follows(line):
        return DIGITS
    same = [abs(value) for _, value, measure, _ in line.values if measure == line.result[2] and math.isfinite(value)]
    greatest = max(same, default=0.0)
    wanted = greatest if abs(line.result[1]) < NOTHING_RATIO * greatest else abs(line.result[1])
    half = 0.5 * 10.0 ** (math.floor(math.log10(wanted)) - DIGITS + 1) if wanted else 0.0
    return next((digits for digits in range(DIGITS, MOST_DIGITS) if _misses(line, digits) <= half), MOST_DIGITS)


def follows(line: Line) -> bool:
    """Whether the formula of the line, with its own numbers, gives its result."""
    value, result = _result_of(line, None), line.result[1]
    return value is not None and math.isfinite(result) and math.isclose(value, result, rel_tol=AGREES_RATIO)


def _misses(line: Line, digits: int) -> float:
    """How far a pocket calculator ends from the result, with the values as printed to so many digits."""
    value = _result_of(line, digits)
    return math.inf if value is None else abs(value - line.result[1])


def _result_of(line: Line, digits: int | None) -> float | None:
    values, made = _values(line), _equations(line)
    if values is None or not made or not all(math.isfinite(one.value) for one in values.values()):
        return None
    numbers = {key: _radians(_rounded(one.value, digits), one.unit) for key, one in values.items()}
    value = calculated(made[0].right, numbers)
    return math.degrees(value) if value is not None and line.result[2] == "deg" else value


def _rounded(value: float, digits: int | None) -> float:
    return value if digits is None else float(plain(value, digits))


def _radians(value: float, unit: str) -> float:
    return math.radians(value) if unit == "deg" else value


def _values(line: Line) -> dict[str, _Value] | None:
    """The numbers by symbol; None where one symbol has two."""
    found: dict[str, _Value] = {}
    for symbol, value, unit, _ in line.values:
        key, one = key_of(symbol), _Value(value, unit)
        if found.get(key, one) != one:
            return None
        found[key] = one
    return found


def _equations(line: Line) -> tuple[Equation, ...]:
    return equations(marked(tokens(line.formula), (value[0] for value in line.values)))


def _key(one: Equation) -> str:
    return key_of("".join(token.text for token in one.left))


def _equation(one: Equation, values: Mapping[str, _Value], result: _Value | None, written: Written) -> str | None:
    left = "".join(token.text for token in one.left).strip()
    right, bound = (_replaced(part, values, written) for part in (one.right, one.bound))
    if right is None or bound is None or (result and not math.isfinite(result.value)):
        return None
    number = _number(result, written) if result else ""
    end = f" = {number}" if number and number != right.strip() else ""
    return " ".join(f"{left} = {right.strip()}{end} {bound.strip()}".split())


def _replaced(found: Sequence[Token], values: Mapping[str, _Value], written: Written) -> str | None:
    """The tokens with numbers, and a point between factors that would run together."""
    parts: list[str] = []
    last = Token("", "sign")
    for order, token in enumerate(found):
        if token.kind == "symbol" and token.key not in values:
            return None
        if token.kind == "symbol" and not math.isfinite(values[token.key].value):
            return None
        if _touch(last, token):
            parts.append(" dot ")
        raised = next((one.text for one in found[order + 1 :] if one.kind != "space"), "") == "^"
        parts.append(_piece(token, values, written, last.text, raised) if token.kind == "symbol" else token.text)
        last = token if token.kind != "space" else last
    return "".join(parts)


def _touch(last: Token, token: Token) -> bool:
    """Whether a factor ends and a number begins, or an angle ends and a bracket begins."""
    ends = last.kind in {"number", "symbol", "constant"} or last.text == ")"
    return ends and (token.kind in {"number", "symbol"} or (token.text == "(" and last.kind == "symbol"))


def _piece(token: Token, values: Mapping[str, _Value], written: Written, before: str, raised: bool) -> str:
    one = values[token.key]
    text = _number(one, written)
    bare = one.value >= 0.0 and "dot" not in text
    if bare and not (raised and one.unit in {"deg", "rad"}) and before != "^":
        return text
    return text if not raised and before in OPENING - {"/", "^"} else f"({text})"


def _number(one: _Value, written: Written) -> str:
    text = written(one.value, one.unit)
    mantissa, _, exponent = text.partition("e")
    if exponent:
        text = f"{mantissa} dot 10^({int(exponent)})"
    return text + {"deg": "°", "rad": ' "rad"'}.get(one.unit, "")
