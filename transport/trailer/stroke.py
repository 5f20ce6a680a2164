"""Stroke of the axle compensation: what crossfall and the profile of the road take of it."""

import numpy as np
from numpy.typing import ArrayLike

from shared.arrays import Array

__all__ = ["crossfall_stroke_m", "grade_change_ratio", "kink_loss_m"]


def kink_loss_m(length_m: ArrayLike, grade_change_ratio: ArrayLike) -> Array:
    """Greatest distance between the road and the chord of a supported length: L A / 4.

    Exact for one kink of total grade change A at the middle, an upper bound for every profile whose grades differ by
    A within L. Shapes broadcast; metres. Source: geometry; agrees with the low-clearance vehicle of Eck and Kang,
    TRR 1356, p. 80 (read).
    """
    return np.asarray(np.asarray(length_m) * np.asarray(grade_change_ratio) / 4.0)


def grade_change_ratio(station_m: Array, grade_ratio: Array, length_m: float) -> Array:
    """Greatest less least grade under a length centred on each station, with up to one station more at each end.

    Shapes: (station,). NaN under the length gives NaN. Source: geometry.
    """
    steps = np.diff(station_m)
    reach = int(np.ceil(length_m / 2.0 / steps.min())) if steps.size else 0
    padded = np.pad(grade_ratio, reach, mode="edge")
    under = np.lib.stride_tricks.sliding_window_view(padded, 2 * reach + 1)
    return np.asarray(under.max(axis=1) - under.min(axis=1))


def crossfall_stroke_m(track_m: float, crossfall_ratio: ArrayLike, crossfall_se_ratio: ArrayLike) -> Array:
    """Stroke that levelling across takes: b (|c| + se), b between the bogie pivots.

    `crossfall_se_ratio` is the whole allowance, already times the count of standard errors. Shapes broadcast; metres.
    Source: geometry.
    """
    return np.asarray(track_m * (np.abs(crossfall_ratio) + np.asarray(crossfall_se_ratio)))
