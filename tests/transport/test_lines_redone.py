"""Every calculation line of both samples, worked again from what is printed, by arithmetic of its own.

A pocket calculator knows no program: it is given the printed digits and the printed formula, once as plain text and
once as mathematics. Angles in degrees; implicit products and quotients from left to right.
"""

import math
import re
import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
import xarray as xr

from shared.calculation import Line, attach, lines_of
from transport.reports.formulas import printed_lines
from transport.window.assess import assess, calculation, plan_of

SAMPLES = Path(__file__).parents[2] / "samples"
AS_OF = datetime(2026, 3, 9, 6, tzinfo=UTC)
IN_WINTER = datetime(2026, 8, 11, 6, tzinfo=UTC)
TOKEN = re.compile(
    r"""\s+|\d+(?:\.\d+)?|(?:[A-Za-z][A-Za-z0-9]*|"[^"]*")(?:_(?:"[^"]*"|\([^()]*\)|\w+))?|[-+*/^(),;=|]"""
)
FUNCTIONS: dict[str, Callable[..., float]] = {
    "sqrt": math.sqrt,
    "sin": math.sin,
    "cos": math.cos,
    "tan": math.tan,
    "asin": math.asin,
    "acos": math.acos,
    "atan": math.atan,
    "arcsin": math.asin,
    "arctan": math.atan,
    "exp": math.exp,
    "ln": math.log,
    "abs": abs,
    "max": lambda *values: max(values) if not any(map(math.isnan, values)) else math.nan,
    "min": lambda *values: min(values) if not any(map(math.isnan, values)) else math.nan,
    "ceil": math.ceil,
}
DIGITS_COUNT = 4
WORDS = {"unknown": math.nan, "infinite": math.inf, "-infinite": -math.inf}
CONSTANTS = {"pi": math.pi, "infinity": math.inf}


def plain_symbol(name: str) -> str:
    """R_c, Rc and R_"c" are one symbol."""
    return re.sub(r"[\s_\"()]", "", name)


@dataclass
class Reader:
    """Recursive descent over one formula; `tight` binds a fraction to its two neighbours, as mathematics is set."""

    text: str
    known: dict[str, float]
    tight: bool
    used: set[str] = field(default_factory=set)

    def __post_init__(self) -> None:
        found = [match[0] for match in TOKEN.finditer(self.text)]
        assert "".join(found) == self.text, f"not a formula: {self.text}"
        self.words = [word for word in found if word.strip() and word != "quad"]
        self.place, self.open_bars = 0, 0

    @property
    def head(self) -> str:
        return self.words[self.place] if self.place < len(self.words) else ""

    def take(self, word: str = "") -> str:
        assert self.head and (not word or self.head == word), f"{self.text}: {self.head!r} where {word!r} was due"
        self.place += 1
        return self.words[self.place - 1]

    def equations(self) -> Iterator[tuple[str, float]]:
        """Symbol and value of each equation; one that comes later may define what an earlier one needs."""
        while self.head:
            symbol = plain_symbol(self.take())
            self.take("=")
            yield symbol, self.sum()
            if self.head:
                assert self.take() in {";", ","}, self.text

    def sum(self) -> float:
        value = self.product()
        while self.head in {"+", "-"}:
            value += self.product() if self.take() == "+" else -self.product()
        return value

    def product(self) -> float:
        turn = 1.0
        while self.head == "-":
            self.take()
            turn = -turn
        value = self.item()
        while self.starts() or self.head in {"*", "/"}:
            if self.head == "/":
                self.take()
                value /= self.item()
            else:
                value *= self.take("*") == "*" and self.item() if self.head == "*" else self.item()
        return turn * value

    def starts(self) -> bool:
        return bool(re.match(r"[\w(]", self.head)) or (self.head == "|" and not self.open_bars)

    def item(self) -> float:
        """A power, and in set mathematics a fraction of two of them."""
        value = self.power()
        while self.tight and self.head == "/":
            self.take()
            value /= self.power()
        return value

    def power(self) -> float:
        base = self.atom()
        if self.head != "^":
            return base
        self.take()
        turn = -1.0 if self.head == "-" and self.take() else 1.0
        return float(base ** (turn * self.atom()))

    def atom(self) -> float:
        word = self.take()
        if word[0].isdigit():
            return float(word)
        if word == "(":
            return self.until(")")
        if word == "|":
            self.open_bars += 1
            value = abs(self.sum())
            self.open_bars -= 1
            self.take("|")
            return value
        return self.called(word) if word in FUNCTIONS else self.symbol(word)

    def until(self, last: str) -> float:
        value = self.sum()
        self.take(last)
        return value

    def called(self, name: str) -> float:
        if self.head != "(":
            return float(FUNCTIONS[name](self.item()))
        self.take("(")
        values = [self.sum()]
        while self.head == ",":
            self.take()
            values.append(self.sum())
        self.take(")")
        return float(FUNCTIONS[name](*values))

    def symbol(self, word: str) -> float:
        name = plain_symbol(word)
        if name in CONSTANTS and name not in self.known:
            return CONSTANTS[name]
        self.used.add(name)
        assert name in self.known, f"{self.text}: {name} is not among the values"
        return self.known[name]


@dataclass(frozen=True)
class Redone:
    """What a line gives when it is worked again from its printed digits, and by how much those may be out."""

    symbol: str
    found: float
    printed: float
    tolerance: float

    @property
    def agrees(self) -> bool:
        if math.isnan(self.printed) or math.isinf(self.printed):
            return repr(self.found) == repr(self.printed)
        return abs(self.found - self.printed) <= self.tolerance


def typed(shown: str) -> str:
    """A printed power of ten as it is typed into a calculator."""
    mantissa, _, exponent = shown.partition(" · 10")
    sign = "-" if "⁻" in exponent else ""
    power = "".join(str("⁰¹²³⁴⁵⁶⁷⁸⁹".index(digit)) for digit in exponent.strip("⁻"))
    return f"{mantissa}e{sign}{power}" if exponent else shown


def half_step(text: str, exact: float) -> float:
    """Half a unit of the last digit that counts, nothing where what is printed is the whole number."""
    if not math.isfinite(exact) or float(typed(text)) == exact:
        return 0.0
    count = max(DIGITS_COUNT, len(re.sub(r"e.*|\D", "", typed(text)).lstrip("0")))
    last = math.floor(math.log10(abs(exact))) - count + 1
    return 0.5000001 * 10.0 ** (last if abs(exact) < 1e-4 else min(0, last))


def angle(value: float, unit: str) -> float:
    return math.radians(value) if unit == "deg" else value


def number(text: str) -> float:
    return WORDS[text] if text in WORDS else float(typed(text))


def worked(formula: str, known: dict[str, float], *, tight: bool) -> list[tuple[str, float]]:
    return list(Reader(formula, known, tight).equations())


def redone(line: Line, shown: dict[str, Any], formula: str, *, tight: bool) -> list[Redone]:
    """Every equation of the line from the printed values; each may be out by what its digits leave open."""
    rows = [*line.values, (*line.result, "")]
    digits = [value["value"] for value in (*shown["values"], shown["result"])]
    names = [plain_symbol(row[0]) for row in rows]
    assert len(set(names)) == len(names), f"{names}: a symbol stands twice"
    unit = {name: math.radians(1.0) if row[2] == "deg" else 1.0 for name, row in zip(names, rows, strict=True)}
    printed = {name: unit[name] * number(text) for name, text in zip(names, digits, strict=True)}
    reach = {name: unit[name] * half_step(text, row[1]) for name, row, text in zip(names, rows, digits, strict=True)}
    known = {name: printed[name] for name in names[:-1]}
    first = worked(formula, known, tight=tight)
    assert first[0][0] == names[-1], f"{formula}: does not begin with its result {line.result[0]}"
    spread = dict.fromkeys((symbol for symbol, _ in first), 0.0)
    for name in known:
        if reach[name] > 0.0:
            ends = [worked(formula, known | {name: known[name] + s * reach[name]}, tight=tight) for s in (1.0, -1.0)]
            for (symbol, middle), *moved in zip(first, *ends, strict=True):
                spread[symbol] += max(abs(value - middle) for _, value in moved)
    return [
        Redone(symbol, value, printed[symbol], 1.01 * spread[symbol] + reach[symbol] + 1e-9 * abs(printed[symbol]))
        for symbol, value in first
    ]


@dataclass(frozen=True)
class Case:
    """One line of one check of one sample, as it is kept and as it is printed."""

    place: str
    line: Line
    shown: dict[str, Any]


@pytest.fixture(scope="module")
def cases() -> list[Case]:
    found = []
    clocks = {"sheltered_morning": AS_OF, "windy_saddle": AS_OF, "measured_winter": IN_WINTER}
    for sample, as_of in clocks.items():
        result = assess(SAMPLES / sample / "move.toml", as_of=as_of)
        data: dict[str, xr.Dataset] = {**result.checks, "weather": result.forecast}
        for name, check in data.items():
            for line, shown in zip(lines_of(check), printed_lines(check), strict=True):
                found.append(Case(f"{sample}, {name}: {line.check}: {line.title}", line, shown))
    return found


CHANGED = {
    "open cover, no pretension, crossfall not levelled": {
        r'^underside = "closed"': 'underside = "open"',
        r"^stf_kN = 16.0\n": "",
        r"^levels_crossfall = true": "levels_crossfall = false",
    },
    "no hem, another code, slow deck": {
        r"^free_hem_m = .*": "free_hem_m = 0.0",
        r'^code = "EN 12195-1"': 'code = "49 CFR 393"\nunit_length_m = 6.0',
        r"^capacity_divisor = 1.5": "capacity_divisor = 2.0",
        r"^horizontal_frequency_hz = 2.0": "horizontal_frequency_hz = 0.6",
        r"^vertical_frequency_hz = 2.0": "vertical_frequency_hz = 0.35",
    },
    "weak chains on a trailer that falls over": {
        r"^lc_kN = 160.0": "lc_kN = 30.0",
        r"^stf_kN = 16.0": "stf_kN = 8.0",
        r"^roll_stiffness_MNm_per_rad = .*": "roll_stiffness_MNm_per_rad = 0.5",
    },
}


@pytest.mark.parametrize("name", CHANGED)
def test_the_lines_of_other_moves_can_be_worked_again_too(tmp_path: Path, name: str) -> None:
    folder = tmp_path / "move"
    shutil.copytree(SAMPLES / "sheltered_morning", folder)
    text = (folder / "move.toml").read_text(encoding="utf-8")
    for pattern, new in CHANGED[name].items():
        text, count = re.subn(pattern, new, text, flags=re.M)
        assert count, pattern
    (folder / "move.toml").write_text(text, encoding="utf-8")
    for check in calculation(plan_of(folder / "move.toml")).values():
        for line, shown in zip(lines_of(check), printed_lines(check), strict=True):
            for formula, tight in both(Case(name, line, shown)):
                wrong = [one for one in redone(line, shown, formula, tight=tight) if not one.agrees]
                assert not wrong, f"{line.check}: {line.title}: {formula}"


def both(case: Case) -> Iterator[tuple[str, bool]]:
    yield case.line.spoken, False
    yield case.line.formula, True


def test_every_line_can_be_worked_again(cases: list[Case]) -> None:
    """As plain text and as mathematics, the result and whatever the formula defines on the way."""
    wrong = [
        f"{case.place}: {formula}: {one}"
        for case in cases
        for formula, tight in both(case)
        for one in redone(case.line, case.shown, formula, tight=tight)
        if not one.agrees
    ]
    assert not wrong
    assert len(cases) > 180


def largest(line: Line) -> float:
    """The largest of the values that have the unit of the result."""
    return max((abs(value) for _, value, unit, _ in line.values if unit == line.result[2] != ""), default=0.0)


def test_four_digits_are_enough(cases: list[Case]) -> None:
    """They leave 3 per cent of the result open at most; of a sum that is nothing, 2 thousandths of its largest part."""
    loose = [
        f"{case.place}: {one}"
        for case in cases
        for one in redone(case.line, case.shown, case.line.spoken, tight=False)
        if one.tolerance > max(0.03 * abs(one.printed), 0.002 * largest(case.line))
    ]
    assert not loose


def test_plain_text_and_mathematics_speak_of_the_same(cases: list[Case]) -> None:
    for case in cases:
        assert case.shown["formula"] == case.line.formula, f"{case.place}: it cannot be set"
        names = [plain_symbol(name) for name, _, _, _ in case.line.values]
        known = {name: number(value["value"]) for name, value in zip(names, case.shown["values"], strict=True)}
        used = []
        for formula, tight in both(case):
            reader = Reader(formula, known, tight)
            begins, *_ = (symbol for symbol, _ in reader.equations())
            assert begins == plain_symbol(case.line.result[0]), case.place
            used.append(reader.used)
        assert used[0] == used[1], case.place


def test_the_calculator_itself() -> None:
    """Worked by hand: precedence, implied products, what a set fraction binds, angles, and a nested definition."""
    known = {"a": 6.0, "b": 3.0, "c": 2.0, "t": math.radians(30.0)}
    plain = {"y = a / b c": 4.0, "y = -a b^c": -54.0, "y = max(a - b, c) |b - a|": 9.0, "y = 2 sin t cos t": 0.75**0.5}
    for formula, value in plain.items():
        assert worked(formula, known, tight=False) == [("y", pytest.approx(value))]
    assert worked("y = c a / b", known, tight=True) == [("y", pytest.approx(4.0))]
    assert worked("y = sin t / c", known, tight=True) == [("y", pytest.approx(math.sin(math.radians(15.0))))]
    assert worked("y = sin t / c", known, tight=False) == [("y", pytest.approx(0.25))]
    with pytest.raises(AssertionError, match="d is not among the values"):
        worked("y = a d", known, tight=False)
    with pytest.raises(AssertionError, match="not a formula"):
        worked("y = a <= b", known, tight=False)


def test_a_wrong_line_is_found() -> None:
    """A line that says one thing and holds another is told from one whose digits were rounded."""
    line = Line(
        "c", "t", "y = a / b", "y = a / b", (("a", 2.0, "m", ""), ("b", 3.0, "m", "")), ("y", 2 / 3, ""), "", "", "own"
    )
    wrong = Line("c", "t", "y = a b", "y = a b", line.values, line.result, "", "", "own")
    shown = printed_lines(attach(xr.Dataset(), [line]))[0]
    assert redone(line, shown, line.spoken, tight=False)[0].agrees
    assert not redone(wrong, shown, wrong.spoken, tight=False)[0].agrees
