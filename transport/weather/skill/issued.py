"""What a forecast says about each case, in the one form in which every kind of forecast is scored."""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from shared.arrays import Array
from transport.weather.skill.crps import crps_energy_mps, crps_fair_mps, crps_truncated_mps
from transport.weather.skill.rank import place_counts, rank_counts
from transport.weather.skill.truncated import exceedance_ratio, moments_mps, quantile_mps

__all__ = ["Issued", "Rule", "from_members", "from_truncated"]

Flags = NDArray[np.bool_]


class Rule(NamedTuple):
    """When the move would not go: the share of members above the limit that is no longer allowed, or a factor.

    `above_ratio`: warned where the chance is above it; -1 where nobody would ever go. `alpha_ratio` with the place of
    the control member among the members: warned where that one is above alpha times the limit.
    """

    above_ratio: float
    alpha_ratio: float | None = None
    control: int | None = None


class Issued(NamedTuple):
    """A forecast of every case. Shapes (case,); `chance` and `warned` take a threshold, `ranks` takes (case,) flags.

    `high_mps` is the highest value the forecast held possible: the highest member, or the quantile of the rule.
    """

    crps_mps: Array
    crps_fair_mps: Array
    mean_mps: Array
    variance_mps2: Array
    high_mps: Array
    members_count: float
    chance: Callable[[float], Array]
    warned: Callable[[float], Flags]
    ranks: Callable[[Flags], Array]


def from_members(members_mps: Array, observed_mps: Array, rule: Rule) -> Issued:
    """An ensemble: the chance is the share of its members above the threshold.

    Shapes: (case, m) and (case,). Nothing may be unknown.
    """
    count = members_mps.shape[1]
    single = count < 2

    def chance(threshold_mps: float) -> Array:
        return np.asarray((members_mps > threshold_mps).mean(axis=1))

    def warned(threshold_mps: float) -> Flags:
        if rule.alpha_ratio is None or rule.control is None:
            return np.asarray(chance(threshold_mps) > rule.above_ratio)
        return np.asarray(members_mps[:, rule.control] > rule.alpha_ratio * threshold_mps)

    return Issued(
        crps_mps=crps_energy_mps(members_mps, observed_mps),
        crps_fair_mps=crps_fair_mps(members_mps, observed_mps),
        mean_mps=members_mps.mean(axis=1),
        variance_mps2=np.full(observed_mps.shape, np.nan) if single else members_mps.var(axis=1, ddof=1),
        high_mps=members_mps.max(axis=1),
        members_count=float(count),
        chance=chance,
        warned=warned,
        ranks=lambda chosen: rank_counts(members_mps[chosen], observed_mps[chosen]),
    )


def from_truncated(
    location_mps: Array, scale_mps: Array, observed_mps: Array, above_ratio: float, ranks_count: int
) -> Issued:
    """A normal distribution cut off at 0 for each case, as calibration gives it; warned where its chance is too high.

    Shapes: (case,). Nothing may be unknown.
    """

    def chance(threshold_mps: float) -> Array:
        return exceedance_ratio(location_mps, scale_mps, np.asarray(threshold_mps))

    mean_mps, variance_mps2 = moments_mps(location_mps, scale_mps)
    place_ratio = 1.0 - exceedance_ratio(location_mps, scale_mps, observed_mps)
    return Issued(
        crps_mps=crps_truncated_mps(location_mps, scale_mps, observed_mps),
        crps_fair_mps=np.full(observed_mps.shape, np.nan),
        mean_mps=mean_mps,
        variance_mps2=variance_mps2,
        high_mps=quantile_mps(location_mps, scale_mps, np.asarray(1.0 - above_ratio)),
        members_count=np.inf,
        chance=chance,
        warned=lambda threshold_mps: np.asarray(chance(threshold_mps) > above_ratio),
        ranks=lambda chosen: place_counts(place_ratio[chosen], ranks_count),
    )
