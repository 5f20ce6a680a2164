"""What a forecast says about each case, in the one form in which every kind of forecast is scored."""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from shared.arrays import Array
from transport.weather.skill.crps import crps_energy_mps, crps_fair_mps
from transport.weather.skill.rank import rank_counts

__all__ = ["Flags", "Issued", "Warned", "from_members"]

Flags = NDArray[np.bool_]
Warned = Callable[[float], Flags]


class Issued(NamedTuple):
    """A forecast of every case. Shapes (case,); `chance` and `warned` take a threshold.

    `warned` is where the rule of the move would not go if the threshold were its limit.
    """

    members_mps: Array
    crps_mps: Array
    crps_fair_mps: Array
    mean_mps: Array
    variance_mps2: Array
    high_mps: Array
    rank_counts: Array
    warned: Warned

    def chance(self, threshold_mps: float) -> Array:
        """Share of the members above a threshold."""
        return np.asarray((self.members_mps > threshold_mps).mean(axis=1))


def from_members(members_mps: Array, observed_mps: Array, warned: Warned) -> Issued:
    """An ensemble. Shapes: (case, m) and (case,); nothing may be unknown.

    The highest member is the highest value that the forecast held possible; one member has no variance.
    """
    single = members_mps.shape[1] < 2
    return Issued(
        members_mps=members_mps,
        crps_mps=crps_energy_mps(members_mps, observed_mps),
        crps_fair_mps=crps_fair_mps(members_mps, observed_mps),
        mean_mps=members_mps.mean(axis=1),
        variance_mps2=np.full(observed_mps.shape, np.nan) if single else members_mps.var(axis=1, ddof=1),
        high_mps=members_mps.max(axis=1),
        rank_counts=rank_counts(members_mps, observed_mps),
        warned=warned,
    )
