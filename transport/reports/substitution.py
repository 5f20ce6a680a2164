"""A formula with its numbers: every symbol replaced by its value as it is printed, then the result."""

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import NamedTuple

from shared.calculation import Line
from transport.reports.mathematics import Equation, Token, equations, key_of, marked, tokens
from transport.reports.notation import plain
from transport.reports.pocket import calculated

__all__ = ["DIGITS", "digits_needed", "follows", "substituted"]

DIGITS = 4
NOTHING_RATIO = 1e-9
MOST_DIGITS = 8
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
    """Significant digits of the values, 4 to 8, with which a pocket calculator gives every result as it is printed.

    To the last printed place but one unit: of the result, which has 4 digits, and of what a side equation gives, which
    has as many as the values; where no number of digits does that, of the first 4 digits of a side result. 4 where the
    formula does not give the result even with all digits. A result that is nothing but the rest of a sum is wanted as
    closely as 4 digits of the greatest value of its unit.
    """
    if not follows(line):
        return DIGITS
    tried = range(DIGITS, MOST_DIGITS + 1)
    strict = next((digits for digits in tried if _agrees(line, digits, digits)), None)
    return strict or next((digits for digits in tried if _agrees(line, digits, DIGITS)), MOST_DIGITS)


def follows(line: Line) -> bool:
    """Whether the formula of the line, with its own numbers, gives its result."""
    value, result = _result_of(line, None), line.result[1]
    return value is not None and math.isfinite(result) and math.isclose(value, result, rel_tol=AGREES_RATIO)


def _agrees(line: Line, digits: int, side_digits: int) -> bool:
    """Whether the values as printed to so many digits give the results as printed, but one unit of the last place."""
    values, made = _values(line) or {}, _equations(line)
    whole = _result_of(line, digits)
    result = _Value(*line.result[1:])
    if whole is None or not abs(whole - _rounded(result.value, DIGITS)) <= _allowed(result, values.values(), DIGITS):
        return False
    sides = [(one, values[_key(one)]) for one in made[1:] if _key(one) in values]
    return all(_side_agrees(one, result, values, (digits, side_digits)) for one, result in sides)


def _side_agrees(one: Equation, result: _Value, values: Mapping[str, _Value], digits: tuple[int, int]) -> bool:
    """True as well where the side equation does not give its value even with all digits."""
    exact, found = (_calculated(one, values, result.unit, count) for count in (None, digits[0]))
    if exact is None or not math.isclose(exact, result.value, rel_tol=AGREES_RATIO):
        return True
    allowed = _allowed(result, values.values(), digits[1])
    return found is not None and abs(found - _rounded(result.value, digits[0])) <= allowed


def _allowed(result: _Value, values: Iterable[_Value], digits: int) -> float:
    """One unit of the last place of a result, or half of that of the greatest value where it is nothing beside it."""
    same = [abs(one.value) for one in values if one.unit == result.unit and math.isfinite(one.value)]
    greatest = max(same, default=0.0)
    if abs(result.value) < NOTHING_RATIO * greatest:
        return 0.5 * _step(greatest, digits)
    return _step(result.value, digits) * (1.0 + NOTHING_RATIO)


def _step(value: float, digits: int) -> float:
    """One unit of the last place of a value as it is printed: whole numbers keep all their places."""
    if not value:
        return 0.0
    place = math.floor(math.log10(abs(value))) - digits + 1
    return float(10.0 ** (min(place, 0) if 1e-4 <= abs(value) < 1e9 else place))


def _result_of(line: Line, digits: int | None) -> float | None:
    values, made = _values(line), _equations(line)
    if values is None or not made:
        return None
    return _calculated(made[0], values, line.result[2], digits)


def _calculated(one: Equation, values: Mapping[str, _Value], unit: str, digits: int | None) -> float | None:
    """The right side on a pocket calculator, with the values as printed to so many digits, or with all of them."""
    if not all(math.isfinite(each.value) for each in values.values()):
        return None
    numbers = {key: _radians(_rounded(each.value, digits), each.unit) for key, each in values.items()}
    value = calculated(one.right, numbers)
    return math.degrees(value) if value is not None and unit == "deg" else value


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
