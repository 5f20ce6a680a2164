"""Strength of the fabric under its highest pretension and the wind."""

import numpy as np

from shared.arrays import Array
from shared.tables import figure
from transport.cover.sag import Membrane, pressure_Pa

__all__ = ["allowable_tension_N_per_m", "fabric_bow_m", "fabric_pressure_Pa"]


def allowable_tension_N_per_m(strength_N_per_m: float) -> float:
    """Tension allowed in the fabric: strip strength / 5.

    Source: factor 4 to 7 on strip strength (memory)
    """
    return strength_N_per_m / figure("cover_fabric_safety_ratio")


def fabric_bow_m(allowable_N_per_m: float, membrane: Membrane) -> Array:
    """Bow of the centre at which its tension N = T + (c1 / K^2) Et (k w0 / R)^2 reaches the allowable.

    0 if T exceeds it. k = 1.01: the bow is 1 % larger than the cubic gives. Source: Foeppl-Hencky membrane (own)
    """
    known = membrane.stretching
    room = np.maximum(allowable_N_per_m - membrane.tension_N_per_m, 0.0)
    slope = np.sqrt(room / (known.centre_ratio / known.deflection_ratio**2 * membrane.stiffness_N_per_m))
    return np.asarray(slope * membrane.radius_m / figure("cover_sag_model_ratio"))


def fabric_pressure_Pa(allowable_N_per_m: float, membrane: Membrane) -> Array:
    """Pressure at which the tension of the centre reaches the allowable: that of its bow there.

    Source: Foeppl-Hencky membrane (own)
    """
    return pressure_Pa(fabric_bow_m(allowable_N_per_m, membrane), membrane)
