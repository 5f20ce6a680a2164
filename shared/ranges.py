"""Validity ranges: outside one is an error that names the range, never a mask."""

from typing import TypeVar

import numpy as np
from numpy.typing import ArrayLike

from shared.errors import OutOfRangeError

__all__ = ["require"]

Value = TypeVar("Value", bound=ArrayLike)


def require(value: Value, low: float, high: float, *, name: str, what: str) -> Value:
    """Return the value if all of it lies in [low, high]; NaN counts as outside.

    Errors: OutOfRangeError that names the first bad value, the range and what the range belongs to.
    Source: house rule, a table or equation is not used outside its range (practice).
    """
    flat = np.asarray(value, dtype=float).ravel()
    bad = flat[~((flat >= low) & (flat <= high))]
    if bad.size:
        raise OutOfRangeError(f"{name} = {bad[0]:g} lies outside {low:g} to {high:g}, {what}")
    return value
