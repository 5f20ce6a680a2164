"""Formulas with their numbers."""

from pathlib import Path

import pytest

from shared.calculation import Line, lines_of
from transport.reports.formulas import printed_lines
from transport.reports.mathematics import tokens
from transport.reports.notation import plain
from transport.reports.pocket import calculated
from transport.reports.substitution import digits_needed, follows, substituted
from transport.reports.typesetting import formula_works
from transport.window.assess import calculation, plan_of

SAMPLES = Path(__file__).parents[3] / "samples"
Value = tuple[str, float, str, str]


def line(formula: str, values: tuple[Value, ...], result: tuple[str, float, str]) -> Line:
    return Line("check", "title", formula, formula, values, result, "statics", "", "own")


def texts(made: Line) -> tuple[str, ...]:
    return substituted(made, lambda value, unit: plain(value))


def test_push_forward_with_its_numbers() -> None:
    made = line(
        "F_x = m (a - g sin theta)",
        (("m", 31.5, "t", ""), ("a", 0.8, "m/s2", ""), ("g", 9.81, "m/s2", ""), ("theta", 6.84, "deg", "")),
        ("F_x", -11.6, "kN"),
    )
    assert texts(made) == ("F_x = 31.5 dot (0.8 - 9.81 sin 6.84°) = -11.6",)


@pytest.mark.parametrize(
    ("formula", "value", "unit", "expected"),
    [
        ("y = 2 x", 3.0, "m", "y = 2 dot 3 = 1"),
        ("y = 1 - x", -0.7, "", "y = 1 - (-0.7) = 1"),
        ("y = (x - 1)", -0.7, "", "y = (-0.7 - 1) = 1"),
        ("y = x^2", -0.7, "", "y = (-0.7)^2 = 1"),
        ("y = 2^x", 3.0, "", "y = 2^(3) = 1"),
        ("y = 3 x", 2e-5, "", "y = 3 dot (2.000 dot 10^(-5)) = 1"),
        ("y = sin x", 0.5, "rad", 'y = sin 0.5 "rad" = 1'),
        ("y = x <= 2", 1.5, "", "y = 1.5 = 1 <= 2"),
        ("y = x", 1.0, "", "y = 1"),
    ],
)
def test_brackets_and_points_where_they_are_needed(formula: str, value: float, unit: str, expected: str) -> None:
    assert texts(line(formula, (("x", value, unit, ""),), ("y", 1.0, ""))) == (expected,)


@pytest.mark.parametrize(
    ("formula", "values", "result"),
    [
        ("y = a b", (("a", 1.0, "", ""),), 1.0),
        ("y = a", (("a", float("nan"), "", ""),), 1.0),
        ("y = a", (("a", 1.0, "", ""),), float("inf")),
        ("y = a", (("a", 1.0, "", ""), ("a", 2.0, "", "")), 1.0),
        ("a + b", (("a", 1.0, "", ""), ("b", 2.0, "", "")), 1.0),
    ],
)
def test_what_has_no_single_number_is_left_to_the_table(formula: str, values: tuple[Value, ...], result: float) -> None:
    assert texts(line(formula, values, ("y", result, ""))) == ()


def test_a_side_equation_that_lacks_a_number_is_left_out() -> None:
    made = line("y = 2 v, quad v = a b, quad c = 3 v", (("v", 2.0, "", ""), ("c", 6.0, "", "")), ("y", 4.0, ""))
    assert texts(made) == ("y = 2 dot 2 = 4", "c = 3 dot 2 = 6")


def test_as_many_digits_as_the_difference_of_two_large_numbers_needs() -> None:
    made = line("y = a - b", (("a", 155.5389, "", ""), ("b", 151.2263, "", "")), ("y", 4.3126, ""))
    assert digits_needed(made) == 6
    wrong = line("y = a - b", (("a", 1.0, "", ""), ("b", 2.0, "", "")), ("y", 4.0, ""))
    assert not follows(wrong)
    assert digits_needed(wrong) == 4
    nothing = line("y = a - b", (("a", 1.0, "", ""), ("b", 1.0, "", "")), ("y", 0.0, ""))
    assert digits_needed(nothing) == 4


def test_side_equations_have_the_digits_that_they_need_too() -> None:
    """Every equation of a line is worked again by hand from what is printed: sums of its digits, to one unit."""
    values = (("d_0", 1.2346, "m", ""), ("t", 0.05004, "m", ""), ("d", 1.28464, "m", ""))
    summed = line("y = 2 d, quad d = d_0 + t", values, ("y", 2.56928, "m"))
    assert digits_needed(summed) == 4
    values = (("a", 155.5389, "", ""), ("b", 151.2263, "", ""), ("v", 4.3126, "", ""))
    side = line("y = 2 v, quad v = a - b", values, ("y", 8.6252, ""))
    count = digits_needed(side)
    printed = [float(plain(value, count)) for _, value, *_ in values]
    assert count > 4
    assert printed[0] - printed[1] == pytest.approx(printed[2], abs=1.01 * 10.0 ** (1 - count))
    whole = line("y = a b", (("a", 12345.4, "", ""), ("b", 1.00012, "", "")), ("y", 12346.881448, ""))
    count = digits_needed(whole)
    assert abs(float(plain(12345.4, count)) * float(plain(1.00012, count)) - 12347) <= 1.0


def _typed(shown: str) -> str:
    """A printed power of ten as it is typed into a calculator."""
    mantissa, _, exponent = shown.partition(" · 10")
    power = "".join(str("⁰¹²³⁴⁵⁶⁷⁸⁹".index(sign)) for sign in exponent.strip("⁻"))
    return f"{mantissa}e-{power:0>2}" if exponent else shown


@pytest.mark.parametrize("sample", ["sheltered_morning", "windy_saddle"])
def test_every_line_of_the_samples_with_numbers_can_be_set_and_followed(sample: str) -> None:
    """The printed digits, put through a pocket calculator, give the printed result to its last place but one unit."""
    for check in calculation(plan_of(SAMPLES / sample / "move.toml")).values():
        for one, made in zip(lines_of(check), printed_lines(check), strict=True):
            assert all(map(formula_works, made["numbers"])), made["numbers"]
            if not follows(one):
                continue
            digits = digits_needed(one)
            for (_, value, *_), shown in zip(one.values, made["values"], strict=True):
                assert _typed(shown["value"]) in {plain(value, digits), "0"}
                assert shown["value"] != "0" or abs(value) < 1e-6
            assert digits <= 8, one.title


def test_the_numbers_as_printed_give_the_result_as_printed() -> None:
    made = line("y = 12 x + z", (("x", 1.23456, "", ""), ("z", 0.001, "", "")), ("y", 14.81572, ""))
    assert calculated(tokens("12 dot 3"), {}) is None
    assert texts(made) == ("y = 12 dot 1.235 + 0.001 = 14.82",)
