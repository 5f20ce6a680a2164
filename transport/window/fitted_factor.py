"""The factor on a limit that was fitted on the site: for each place and step another one."""

import numpy as np

from shared.arrays import Array
from shared.tables import figure

__all__ = ["lessened_mps", "shown_factor"]


def lessened_mps(limit_mps: Array, error_mps: Array) -> Array:
    """Limit times the fitted factor, alpha = min(1 - error / limit, greatest); 0 where the error takes all of it.

    Source: the factor alpha of marine operations (memory); greatest factor (practice).
    """
    greatest = figure("calibration_alpha_greatest_ratio")
    return np.maximum(np.minimum(limit_mps - error_mps, greatest * limit_mps), 0.0)


def shown_factor(part_mps: float, whole_mps: float) -> float:
    """The factor for words, three digits rounded down; 1 where there is no limit."""
    return float(np.floor(1000.0 * part_mps / whole_mps) / 1000.0) if 0.0 < whole_mps < np.inf else 1.0
