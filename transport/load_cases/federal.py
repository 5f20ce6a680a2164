"""Counting rules of the United States that go with the accelerations of 49 CFR 393.102."""

import numpy as np
from numpy.typing import NDArray

from shared.arrays import Array
from shared.tables import Table, figure

__all__ = [
    "aggregate_kg",
    "counting_use_ratio",
    "downforce_kN",
    "least_count",
    "tiedown_count",
    "working_load_limit_kg",
]


def working_load_limit_kg(table: Table, size: str, grade: str) -> float:
    """Working load limit of a chain by size in mm and grade; an unmarked chain counts as grade 30.

    Source: 49 CFR 393.108, table (read).
    """
    return float(table.row(size_mm=size, grade=grade)["wll_kg"])


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


def counting_use_ratio(
    limit_kg: Array,
    over_load: NDArray[np.bool_],
    hold_down_kN: float,
    mass_t: float,
    least_count: int,
) -> dict[str, float]:
    """How much of each counting rule is used.

    m / 2 over the aggregate working load limit; 0.2 W over the hold-down of the tiedowns; least number over number.
    Limits (n,), one row a line from the load to the deck; over_load (n,): legs over the load, each half a tiedown.
    Source: 49 CFR 393.102(b), 393.106(d), 393.110, 393.130 (read).
    """
    weight_kN = mass_t * figure("securing_gravity_mps2")
    needed_kg = figure("load_cases_us_aggregate_ratio") * mass_t * 1000.0
    down_kN = downforce_kN(weight_kN, figure("load_cases_us_downforce_ratio"))
    return {
        "393.106(d)": needed_kg / aggregate_kg(limit_kg),
        "393.102(b)": down_kN / hold_down_kN,
        "393.110, 393.130": least_count / float(np.sum(np.where(over_load, 0.5, 1.0))),
    }
