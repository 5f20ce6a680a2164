"""The cover in SI, as it stands or with one fastening lost, ready for the equations."""

from dataclasses import dataclass, replace
from typing import NamedTuple, Self

import numpy as np

from shared.arrays import Array
from shared.tables import figure
from transport.cover.pressure import Coefficients, coefficients
from transport.cover.sag import Membrane, stretching

__all__ = ["Factors", "Situation", "accidental", "persistent"]


class Factors(NamedTuple):
    """Factors of a fastening check: on the wind, on the share of one fastening, divisor on its capacity."""

    wind_ratio: float
    load_ratio: float
    divisor_ratio: float


def persistent() -> Factors:
    """Factors with every fastening in place.

    Source: EN 1990:2002, table A1.2(B) (memory); divisor on the working capacity (practice)
    """
    return Factors(figure("cover_wind_factor_ratio"), 1.0, figure("cover_fastening_safety_ratio"))


def accidental() -> Factors:
    """Factors with one fastening lost: its neighbours carry more, up to their working capacity.

    Source: EN 1990:2002, 6.4.3.3 (memory); share of the neighbours (practice)
    """
    return Factors(1.0, figure("cover_lost_neighbour_ratio"), figure("cover_lost_divisor_ratio"))


@dataclass(frozen=True)
class Situation:
    """Geometry, tension, strength and surroundings of the cover in one design situation."""

    underside: str
    radius_m: float
    mirror_radius_m: float
    curvature_radius_m: float
    height_m: float
    kept_free_m: float
    areal_mass_kg_per_m2: float
    tension_low_N_per_m: float | Array
    tension_high_N_per_m: float
    stiffness_N_per_m: float
    ring_is_stiff: bool
    poisson_ratio: float
    strength_N_per_m: float
    bending_stiffness_Nm: float
    free_hem_m: float
    pitch_m: float
    hem_span_m: float
    fastener_capacity_N: float
    factors: Factors
    fasteners_missing_count: int
    vented: bool
    air_density_kg_per_m3: float

    @property
    def pressure(self) -> Coefficients:
        """Pressure coefficients of the underside."""
        return coefficients(self.underside)

    @property
    def slack(self) -> Membrane:
        """The membrane at its lowest tension, stretching counted only on a stiff ring; tension as (n, 1)."""
        stiffness_N_per_m = self.stiffness_N_per_m if self.ring_is_stiff else 0.0
        tension_N_per_m = np.asarray(self.tension_low_N_per_m)[..., None]
        return Membrane(self.radius_m, tension_N_per_m, stiffness_N_per_m, stretching(self.poisson_ratio))

    @property
    def taut(self) -> Membrane:
        """The membrane at its highest tension, stretching always counted: it adds to the tension."""
        known = stretching(self.poisson_ratio)
        return Membrane(self.radius_m, self.tension_high_N_per_m, self.stiffness_N_per_m, known)

    def one_lost(self) -> Self:
        """The same cover with one fastening lost: an accidental situation.

        Tension x 0.7 nearby, the neighbours carry x 1.5, the hem spans two pitches.
        Source: figures.csv, cover_lost_tension_ratio, cover_lost_neighbour_ratio (practice)
        """
        return replace(
            self,
            tension_low_N_per_m=figure("cover_lost_tension_ratio") * self.tension_low_N_per_m,
            hem_span_m=2.0 * self.pitch_m,
            factors=accidental(),
        )
