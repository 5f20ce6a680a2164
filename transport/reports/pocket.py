"""A calculation line on a pocket calculator: what its formula gives with the numbers as they are printed."""

import math
from collections.abc import Callable, Mapping, Sequence

from transport.reports.mathematics import Token

__all__ = ["calculated"]

ONE: Mapping[str, Callable[[float], float]] = {
    "sin": math.sin,
    "cos": math.cos,
    "tan": math.tan,
    "arcsin": math.asin,
    "arccos": math.acos,
    "arctan": math.atan,
    "sqrt": math.sqrt,
    "abs": abs,
    "exp": math.exp,
    "ln": math.log,
}
SEVERAL: Mapping[str, Callable[..., float]] = {"max": max, "min": min}


def calculated(found: Sequence[Token], values: Mapping[str, float]) -> float | None:
    """The right side of an equation with the values by key, angles in radians; None where it cannot be followed."""
    reader = _Reader([token for token in found if token.kind != "space"], values)
    try:
        value = reader.sum()
    except (LookupError, ValueError, ArithmeticError):
        return None
    return value if reader.done() and isinstance(value, float | int) else None


class _Reader:
    """Reads sums of products of quotients of powers, as the typesetter groups them."""

    def __init__(self, found: Sequence[Token], values: Mapping[str, float]) -> None:
        self.found, self.values, self.at = found, values, 0

    def done(self) -> bool:
        return self.at == len(self.found)

    def sum(self) -> float:
        sign = -1.0 if self._take("-") else 1.0
        total = sign * self._product()
        while not self.done() and self.found[self.at].text in {"+", "-"}:
            sign = -1.0 if self._next().text == "-" else 1.0
            total += sign * self._product()
        return total

    def _product(self) -> float:
        value = self._quotient()
        while not self.done() and (self.found[self.at].kind != "sign" or self.found[self.at].text == "("):
            value *= self._quotient()
        return value

    def _quotient(self) -> float:
        value = self._power()
        while self._take("/"):
            value /= self._power()
        return value

    def _power(self) -> float:
        base = self._one()
        if not self._take("^"):
            return base
        value = base ** (-self._one() if self._take("-") else self._one())
        if isinstance(value, complex):
            raise ValueError("root of a negative number")
        return float(value)

    def _one(self) -> float:
        token = self._next()
        if token.kind == "number":
            return float(token.text)
        if token.kind == "symbol":
            return self.values[token.key]
        if token.text == "pi":
            return math.pi
        if token.kind == "function":
            return self._applied(token.text)
        if token.text != "(":
            raise ValueError(token.text)
        value = self.sum()
        self._close()
        return value

    def _applied(self, name: str) -> float:
        if name in SEVERAL:
            self._open()
            values = [self.sum()]
            while self._take(","):
                values.append(self.sum())
            self._close()
            return SEVERAL[name](values)
        return ONE[name](self._power())

    def _open(self) -> None:
        if not self._take("("):
            raise ValueError("no opening bracket")

    def _close(self) -> None:
        if not self._take(")"):
            raise ValueError("no closing bracket")

    def _next(self) -> Token:
        token = self.found[self.at]
        self.at += 1
        return token

    def _take(self, text: str) -> bool:
        if self.done() or self.found[self.at].text != text:
            return False
        self.at += 1
        return True
