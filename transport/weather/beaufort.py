"""Beaufort numbers, the words in which drivers and crews talk about the mean wind."""

import numpy as np

from shared.tables import published
from transport.weather.fields import Values

__all__ = ["beaufort_number"]


def beaufort_number(mean_mps: Values) -> Values:
    """Beaufort number of a 10 min mean wind at 10 m, decided on the speed rounded to 0.1 m/s; NaN stays NaN.

    Source: Beaufort scale (read); rounding as the printed class edges need it (practice).
    """
    rounded_mps = np.round(np.asarray(mean_mps, dtype=np.float64), 1)
    number = np.searchsorted(published("beaufort").numbers("from_mps"), rounded_mps + 1e-9, side="right") - 1.0
    return np.where(rounded_mps >= 0.0, number, np.nan)
