"""Counting rules of the United States that go with the accelerations of 49 CFR 393.102."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from shared.arrays import Array
from shared.tables import figure

__all__ = ["Rule", "aggregate_kg", "counting_rules", "downforce_kN", "least_count", "tiedown_count", "used_ratio"]


@dataclass(frozen=True)
class Rule:
    """One counting rule: what it asks for and what the tiedowns give, both in the unit."""

    name: str
    clause: str
    needed: float
    provided: float
    unit: str

    @property
    def use_ratio(self) -> float:
        """Needed over provided."""
        return used_ratio(self.needed, high=self.provided)


def used_ratio(value: float, *, high: float) -> float:
    """How much of the most that is held a value uses: infinite where nothing is held, NaN where it is not known.

    u = value / high.
    Source: utilisation = action / resistance, EN 1990:2002, 6.4.2 (memory).
    """
    return float(value / high) if high > 0.0 else (np.nan if np.isnan(high) else np.inf)


def aggregate_kg(limit_kg: Array) -> float:
    """Aggregate working load limit: half of each tiedown from the vehicle to the load, all of each one over the load.

    sum(WLL / 2) over rows (n,): a tiedown over the load is two rows, its two legs, and has its WLL only once.
    Source: 49 CFR 393.106(d), secondary text (read).
    """
    return float(np.sum(limit_kg)) / 2.0


def downforce_kN(weight_kN: float, part_ratio: float) -> float:
    """Downward force that the securing must provide when the load is not fully contained.

    F = 0.2 W.
    Source: 49 CFR 393.102(b) (read).
    """
    return weight_kN * part_ratio


def tiedown_count(length_m: float, each_m: float, *, blocked: bool) -> int:
    """Least number of tiedowns by the length of an article above 1100 lb.

    Blocked ahead: one for each 10 ft or part. Not blocked: 2 for the first 10 ft and one more for each further 10 ft
    or part; each_m is 10 ft.
    Source: 49 CFR 393.110, secondary texts (read).
    """
    parts = int(np.ceil(length_m / each_m))
    return max(1, parts) if blocked else 1 + max(1, parts)


def least_count(length_m: float, mass_t: float, *, blocked: bool) -> int:
    """Least number of tiedowns: by length, and four for machinery on wheels or tracks from 10 000 lb.

    Source: 49 CFR 393.110 and 393.130, secondary texts (read).
    """
    by_length = tiedown_count(length_m, figure("load_cases_us_length_m"), blocked=blocked)
    heavy = mass_t >= figure("load_cases_us_heavy_t")
    return max(by_length, int(figure("load_cases_us_heavy_count"))) if heavy else by_length


def counting_rules(
    limit_kg: Array,
    over_load: NDArray[np.bool_],
    hold_down_kN: float,
    mass_t: float,
    least_count: int,
) -> list[Rule]:
    """What each counting rule asks for and what the tiedowns give.

    m / 2 over the aggregate working load limit; 0.2 W over the hold-down of the tiedowns; least number over number.
    Limits (n,), one row a line from the load to the deck; over_load (n,): legs over the load, each half a tiedown.
    Source: 49 CFR 393.102(b), 393.106(d), 393.110, 393.130 (read).
    """
    needed_kg = figure("load_cases_us_aggregate_ratio") * mass_t * 1000.0
    down_kN = downforce_kN(mass_t * figure("securing_gravity_mps2"), figure("load_cases_us_downforce_ratio"))
    number = float(np.sum(np.where(over_load, 0.5, 1.0)))
    return [
        Rule("aggregate working load limit", "393.106(d)", needed_kg, aggregate_kg(limit_kg), "kg"),
        Rule("downward force of the tiedowns", "393.102(b)", down_kN, hold_down_kN, "kN"),
        Rule("number of tiedowns", "393.110, 393.130", float(least_count), number, ""),
    ]
