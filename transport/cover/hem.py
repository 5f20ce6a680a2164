"""The free hem: the part that flaps first; and the hem under its rope between two fastenings."""

from typing import NamedTuple

import numpy as np

from shared.arrays import Array
from shared.tables import figure, published

__all__ = ["LEAST_LENGTH_M", "Between", "between", "flutter_speed_mps", "speed_ratio"]

LEAST_LENGTH_M = 0.001


class Between(NamedTuple):
    """The two rows of the table between which a mass ratio lies."""

    lower_mass_ratio: float
    lower_speed_ratio: float
    upper_mass_ratio: float
    upper_speed_ratio: float


def between(mass_ratio: float) -> Between:
    """Look up the rows around the mass ratio rho L / m; no speed ratio is above that of a lighter mass ratio.

    The table reaches from 0.00005, below any hem of 1 mm or more that the inputs allow, to 20; outside is an error.
    Its rows below 0.05 were computed for this tool as those above: two-dimensional linear theory, unsteady thin
    aerofoil with Theodorsen's function, modes of a beam clamped in front (10 modes, 1500 reduced frequencies). Below
    0.018 the second mode flutters by itself, at 28.7 in very light air, rising to 31.5; above 0.6 the numbers rise too.
    Neither rise is used, so that air lighter than declared never lowers the limit.
    Source: hem_flutter.csv (own)
    """
    table = published("hem_flutter")
    table.interpolate("mass_ratio", "speed_ratio", mass_ratio)
    known = table.numbers("mass_ratio")
    speeds = np.minimum.accumulate(table.numbers("speed_ratio"))
    upper = min(int(np.searchsorted(known, mass_ratio, side="right")), known.size - 1)
    return Between(*(float(part[row]) for row in (upper - 1, upper) for part in (known, speeds)))


def speed_ratio(mass_ratio: float) -> float:
    """Reduced flutter speed U L sqrt(m / D) at the mass ratio rho L / m, log-log in the table, less 3 %.

    u = u1 (u2 / u1)^(ln(mu / mu1) / ln(mu2 / mu1)) / 1.03. Outside the table is an error.
    Source: hem_flutter.csv (own)
    """
    rows = between(mass_ratio)
    share = np.log(mass_ratio / rows.lower_mass_ratio) / np.log(rows.upper_mass_ratio / rows.lower_mass_ratio)
    ratio = (rows.upper_speed_ratio / rows.lower_speed_ratio) ** share
    return float(rows.lower_speed_ratio * ratio / figure("cover_hem_interpolation_ratio"))


def flutter_speed_mps(
    length_m: float, areal_mass_kg_per_m2: float, bending_stiffness_Nm: float, air_density_kg_per_m3: float
) -> Array:
    """Onset of flutter of a hem clamped at its windward edge: U = U* sqrt(D / m) / L; inf below 1 mm.

    Two-dimensional linear theory, lower than measured onsets.
    Source: hem_flutter.csv (own); Kornecki, Dowell and O'Brien 1976 (memory)
    """
    if length_m < LEAST_LENGTH_M:
        return np.asarray(np.inf)
    reduced = speed_ratio(air_density_kg_per_m3 * length_m / areal_mass_kg_per_m2)
    return np.asarray(reduced * np.sqrt(bending_stiffness_Nm / areal_mass_kg_per_m2) / length_m)
