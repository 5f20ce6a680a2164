"""The likely slip behind a number that cannot be right: units confused by 10, 100 or 1000.

A strength that is too high would credit what is not there: it is refused. A strength that is too low for its size lies
on the cautious side of the calculation: it is taken, with a remark.
"""

from collections.abc import Callable, Sequence

import numpy as np

from shared.arrays import Array
from shared.units import STANDARD_GRAVITY_MPS2

__all__ = ["LENGTH", "LINK", "MASS", "SHARE", "TOO_STRONG", "TOO_WEAK", "Slip", "looks_like", "off_deck", "within"]

Slip = tuple[str, float]

TOO_STRONG: tuple[Slip, ...] = (
    ("{0} daN are {1} kN", 0.01),
    ("{0} kg are {1} kN", STANDARD_GRAVITY_MPS2 / 1000.0),
    ("{0} N are {1} kN", 0.001),
    ("half of a breaking load of {0} kN is {1} kN", 0.5),
    ("a tenth of it is {1} kN", 0.1),
)
TOO_WEAK: tuple[Slip, ...] = (
    ("{0} t are {1} kN", STANDARD_GRAVITY_MPS2),
    ("{0} MN are {1} kN", 1000.0),
    ("a hundred times as much is {1} kN", 100.0),
)
MASS: tuple[Slip, ...] = (("{0} kg are {1} t", 0.001),)
LENGTH: tuple[Slip, ...] = (("{0} mm are {1} m", 0.001), ("{0} cm are {1} m", 0.01), ("a tenth of it is {1} m", 0.1))
LINK: tuple[Slip, ...] = (("{0} cm are {1} mm", 10.0), ("{0} in are {1} mm", 25.4), ("{0} m are {1} mm", 1000.0))
SHARE: tuple[Slip, ...] = (("{0} % are {1}", 0.01),)


def looks_like(value: float, slips: tuple[Slip, ...], low: float, high: float) -> str:
    """Words for every slip that would bring a value into its plausible range, or nothing.

    Source: slips of the trade, common practice, no source (practice).
    """
    meant = ((words, factor * value) for words, factor in slips)
    found = [words.format(f"{value:g}", f"{right:.4g}") for words, right in meant if low <= abs(right) <= high]
    return f"; likely slip: {', or '.join(found)}" if found else ""


def off_deck(point_m: Sequence[float], deck_m: Array) -> str:
    """Words for the slip that would bring the worse of x and y back onto a deck of some length and width.

    Source: slips of the trade, common practice, no source (practice).
    """
    half_m = deck_m / 2.0
    worst = int(np.argmax(np.abs(point_m[:2]) / half_m))
    return looks_like(point_m[worst], LENGTH, 0.2 * half_m[worst], half_m[worst])


def within(
    low: float, high: float, words: str, slips: tuple[Slip, ...], plausible: tuple[float, float]
) -> Callable[[float], float]:
    """Check of a field that says the value, what is allowed and why, and the likely slip.

    Words follow the range, beginning with its unit. Errors: ValueError outside the range, ends included.
    Source: house rule, an error shows the way out (practice).
    """

    def check(value: float) -> float:
        if not low <= value <= high:
            raise ValueError(f"is {value:g}, allowed {low:g} to {high:g} {words}{looks_like(value, slips, *plausible)}")
        return value

    return check
