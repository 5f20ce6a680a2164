"""LC4, accidental: operation after any one chain or anchor is lost, with the whole LC of the others."""

import numpy as np

from shared.arrays import Array
from transport.load_cases.envelope import Envelope

__all__ = ["CLAUSE", "NAME", "REMEDY", "lost_envelope"]

NAME = "securing one part lost (LC4)"
CLAUSE = "project load case: LC2 after the loss of any one chain or anchor, divisor 1; EN 1990:2002, 3.2"
REMEDY = "at least two chains for each direction and corner, or a keyed stop"


def lost_envelope(vertical_ratio: Array, force_kN: Array, moment_kNm: Array, weight_kN: float) -> Envelope:
    """What is left whichever member is lost: the least over the losses.

    R = min over losses; forces (losses, f, d), moments (losses, f, 3).
    Source: EN 1990:2002, 3.2, accidental design situation (memory).
    """
    return Envelope(vertical_ratio, np.min(force_kN, axis=0), np.min(moment_kNm, axis=0), weight_kN)
