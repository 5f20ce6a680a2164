"""Beaufort words for the driver's sheet."""

import math

import numpy as np

from shared.tables import published

__all__ = ["BEAUFORT_NOTE", "beaufort"]

BEAUFORT_NOTE = (
    "The words name the Beaufort force whose mean wind is as strong as the gust limit. "
    "Gusts are stronger than the mean: where the signs of that force are seen, the limit has already been passed. "
    "The anemometer decides, not the look."
)


def beaufort(speed_mps: float) -> str:
    """Force and word of a speed rounded to 0.1 m/s.

    Source: WMO-No. 306, code table 1100 (status in the table).
    """
    if not math.isfinite(speed_mps):
        return ""
    table = published("beaufort")
    row = int(np.searchsorted(table.numbers("from_mps"), round(speed_mps, 1), side="right")) - 1
    return f"{table.column('number')[row]} {table.column('name')[row]}"
