"""LC1: coefficients of the codes and the use they make."""

from collections.abc import Callable

import numpy as np
import pytest

from shared.tables import published
from transport.load_cases.statutory import rows

DIRECTION_DEG = np.arange(0.0, 360.0, 15.0)


@pytest.mark.parametrize(
    ("direction", "sliding", "tipping"),
    [("forward", 0.8, 0.8), ("rearward", 0.5, 0.6), ("to the left", 0.5, 0.6), ("to the right", 0.5, 0.6)],
)
def test_coefficients_of_en_12195(direction: str, sliding: float, tipping: float) -> None:
    """EN 12195-1 table 2, read in CTU training pages and an IRU lecture; tipping 0.6 in every direction but forward."""
    row = published("securing_acceleration").row(code="EN 12195-1", direction=direction)
    assert (float(row["sliding_ratio"]), float(row["tipping_ratio"])) == (sliding, tipping)


@pytest.mark.parametrize(("key", "direction"), [("CV21a", "forward"), ("CV21b", "rearward"), ("CV21c", "to the left")])
def test_forces_of_the_united_states(expected: Callable[[str], dict], key: str, direction: str) -> None:
    check = expected("united_states")[key]
    row = published("securing_acceleration").row(code="49 CFR 393", direction=direction)
    assert float(row["sliding_ratio"]) * 490.5 == pytest.approx(check.expected, abs=check.tolerance)


def test_use_is_the_worse_of_sliding_and_tipping() -> None:
    """By hand: forward 0.8 W over 400 kN, to the side 0.6 W over 250 kN of tipping."""
    held = np.full((4, 24), 400.0)
    held[0, 0], held[2, 0], held[1, 6] = 500.0, 400.0, 250.0
    found = {
        row.direction: row for row in rows(published("securing_acceleration"), "EN 12195-1", held, DIRECTION_DEG, 300.0)
    }
    assert list(found) == ["forward", "rearward", "to the left", "to the right"]
    assert found["forward"].use_ratio == pytest.approx(0.8 * 300 / 400)
    assert found["to the left"].use_ratio == pytest.approx(0.6 * 300 / 250)
    assert found["to the right"].use_ratio == pytest.approx(0.6 * 300 / 400)
