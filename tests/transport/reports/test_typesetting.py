"""The typesetter."""

import pytest

from transport.reports.typesetting import formula_works


@pytest.mark.parametrize(
    ("formula", "works"),
    [
        ("w_0 = (p R^2) / (4 T)", True),
        ('eta = (gamma F_C) / "LC"', True),
        ("LC = 3", False),
        ("a = (b", True),
        ("x = )) #eval(", False),
    ],
)
def test_whether_mathematics_can_be_set(formula: str, works: bool) -> None:
    assert formula_works(formula) is works
