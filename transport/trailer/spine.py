"""Bending of the deck's spine between load and wheels: a concept to see the size of it, no check of the deck."""

import numpy as np
from numpy.typing import ArrayLike

from shared.arrays import Array

__all__ = ["spine_moments_kNm", "supported_length_m"]


def supported_length_m(line_x_m: ArrayLike) -> float:
    """Length over which the wheels support the deck: N times the mean pitch of the axle lines.

    Shapes: line_x (line,). Source: one pitch to each line (practice).
    """
    x_m = np.asarray(line_x_m, dtype=float)
    return float((x_m.max() - x_m.min()) * x_m.size / (x_m.size - 1))


def spine_moments_kNm(load_kN: ArrayLike, length_m: float, saddle_from_middle_m: ArrayLike) -> Array:
    """Moments of the spine at the saddles and at mid-length: w (L/2 - a)^2 / 2 and w L^2 / 8 - F a / 2, w = F / L.

    The load F stands on two saddles at a to either side of mid-length, the wheels push up evenly.
    Shapes broadcast, the last axis of the result is saddle, middle. Validity: a up to L / 2, further out NaN; three or
    four groups push less evenly. Source: statics of a beam (algebra).
    """
    load, a_m = np.broadcast_arrays(np.asarray(load_kN, dtype=float), np.asarray(saddle_from_middle_m, dtype=float))
    even = load / length_m
    moments = [even * np.square(length_m / 2.0 - a_m) / 2.0, even * length_m**2 / 8.0 - load * a_m / 2.0]
    inside = (a_m >= 0.0) & (a_m <= length_m / 2.0)
    return np.where(inside[..., None], np.stack(moments, axis=-1), np.nan)
