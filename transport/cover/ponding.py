"""Water on a flat cover: whether its own weight makes the pond grow."""

import numpy as np
from scipy.special import jn_zeros

from shared.tables import figure
from shared.units import STANDARD_GRAVITY_MPS2

__all__ = ["ponding_tension_N_per_m", "ponds", "strip_span_m"]


def ponding_tension_N_per_m(
    radius_m: float, water_density_kg_per_m3: float, gravity_mps2: float = STANDARD_GRAVITY_MPS2
) -> float:
    """Tension above which a flat round cover sheds a pond: T = rho_w g R^2 / j01^2.

    Source: T lap(w) + rho_w g w = 0 with w(R) = 0 (own)
    """
    return water_density_kg_per_m3 * gravity_mps2 * radius_m**2 / float(jn_zeros(0, 1)[0]) ** 2


def strip_span_m(
    tension_N_per_m: float, water_density_kg_per_m3: float, gravity_mps2: float = STANDARD_GRAVITY_MPS2
) -> float:
    """Widest flat strip between ribs that sheds a pond: L = pi sqrt(T / (rho_w g)).

    Source: T w'' + rho_w g w = 0 with held edges (own)
    """
    return float(np.pi * np.sqrt(tension_N_per_m / (water_density_kg_per_m3 * gravity_mps2)))


def ponds(tension_N_per_m: float, radius_m: float, *, crowned: bool, drained: bool) -> bool:
    """Whether rain or wet snow closes the road: neither crowned nor drained, too slack to shed a pond.

    Source: gate on flat covers (practice)
    """
    needed = ponding_tension_N_per_m(radius_m, figure("cover_water_density_kg_per_m3"))
    return not (crowned or drained or tension_N_per_m > needed)
