"""Surveyed points as they stand in a file, and how a file and a number are read without trust."""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from shared.arrays import Array
from shared.errors import Fault, InputError

__all__ = ["POINT_LIMIT_COUNT", "Points", "content", "number", "refuse"]

SIZE_LIMIT_BYTES = 20_000_000
POINT_LIMIT_COUNT = 50_000
SHOWN_FAULTS_COUNT = 20
NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?", re.ASCII)


@dataclass(frozen=True)
class Points:
    """Points in file order; `line` is where each stands. Shapes: (point). NaN = not given."""

    file: str
    line: tuple[int, ...]
    first_axis: Array  # easting_m or longitude_deg
    second_axis: Array  # northing_m or latitude_deg
    is_geographic: bool
    elevation_m: Array
    crossfall_ratio: Array
    width_left_m: Array
    width_right_m: Array
    surface: tuple[str, ...]


def content(path: Path) -> bytes:
    """The bytes of a survey file; a missing, unreadable or too large one is an InputError."""
    try:
        size_bytes = path.stat().st_size
        if size_bytes > SIZE_LIMIT_BYTES:
            raise InputError(
                f"{path.name}: the file has {size_bytes} bytes, allowed up to {SIZE_LIMIT_BYTES}"
            )
        return path.read_bytes()
    except FileNotFoundError:
        raise InputError(f"{path.name}: there is no such file in {path.parent.name or '.'}") from None
    except (OSError, ValueError) as problem:
        raise InputError(f"{path.name}: cannot be read ({getattr(problem, 'strerror', problem)})") from None


def number(text: str, low: float, high: float) -> float:
    """A finite number in [low, high], written with digits and a point; ValueError says what is wrong.

    Source: own, numbers that a spreadsheet may write are not guessed at.
    """
    shown = repr(text if len(text) <= 40 else text[:37] + "...")
    if not NUMBER.fullmatch(text):
        if re.fullmatch(r"[+-]?\d+,\d+", text):
            raise ValueError(f"is {shown}, a decimal comma; write a decimal point")
        if re.fullmatch(r"[+-]?(nan|inf(inity)?)", text, re.IGNORECASE):
            raise ValueError(f"is {shown}, not a finite number; survey the point again or delete the line")
        raise ValueError(f"is {shown}, not a number; write digits and a decimal point")
    value = float(text)
    if not (math.isfinite(value) and low <= value <= high):
        raise ValueError(f"is {text[:40]}, allowed {low:g} to {high:g}")
    return value


def refuse(faults: Sequence[Fault]) -> None:
    """Raise InputError if there are faults; of very many the first are shown, with the count of the rest."""
    if faults:
        rest = len(faults) - SHOWN_FAULTS_COUNT
        more = [Fault("", "", f"and {rest} more faults of this kind")] if rest > 0 else []
        raise InputError.of([*faults[:SHOWN_FAULTS_COUNT], *more])
