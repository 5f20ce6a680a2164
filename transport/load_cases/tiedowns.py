"""Tiedowns as 49 CFR 393 counts them: working load limit and breaking strength of each lashing line."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from shared.arrays import Array
from shared.tables import Table, figure, published
from transport.securing.arrangement import Arrangement
from transport.securing.inputs import Chain

__all__ = ["Tiedowns", "breaking_kN", "tiedowns", "working_limit_kN", "working_load_limit_kg"]


@dataclass(frozen=True)
class Tiedowns:
    """One row a line from the load to the deck, (n,); over_load: a leg of a line over the load, half a tiedown.

    weakest_kN: what each line may carry by its weakest part, LC or a rating; listed_kg is infinite where the table does
    not list the chain.
    """

    tags: tuple[str, ...]
    lc_kN: Array
    weakest_kN: Array
    listed_kg: Array
    limit_kN: Array
    breaking_kN: Array
    over_load: NDArray[np.bool_]

    @property
    def limit_kg(self) -> Array:
        """Working load limits as a mass."""
        return np.asarray(self.limit_kN / figure("securing_gravity_mps2") * 1000.0, dtype=float)


def working_load_limit_kg(table: Table, size: str, grade: str) -> float:
    """Working load limit of a chain by size in mm and grade; an unmarked chain counts as grade 30.

    It does not always rise with the grade: 5/16 in of grade 70 is listed above grade 80.
    Source: 49 CFR 393.108, table (read).
    """
    return float(table.row(size_mm=size, grade=grade)["wll_kg"])


def working_limit_kN(weakest_kN: Array, listed_kg: Array, gravity_mps2: float) -> Array:
    """Working load limit of lines: half of what the weakest part may carry, and not above the table.

    WLL = min(F / 2, g listed / 1000); all (n,), listed infinite where the table lists nothing.
    Valid for tags whose LC is half the breaking force, so that WLL is a quarter of it.
    Source: 49 CFR 393.108, component, tensioner and anchor, least governs (read); half of LC (practice).
    """
    return np.asarray(np.minimum(weakest_kN / 2.0, listed_kg * gravity_mps2 / 1000.0), dtype=float)


def breaking_kN(lc_kN: Array, rating_kN: Array) -> Array:
    """Breaking strength of lines: that of the chain, never above the rating of anchor, shackle and tensioner.

    F_b = min(2 LC, rating); (n,). A rating is not doubled: what lies between it and failure is not declared.
    Source: CSS Code annex 13, MSL = MBL / 2 (read); ratings not doubled (practice).
    """
    return np.asarray(np.minimum(lc_kN / figure("securing_capacity_of_breaking_ratio"), rating_kN), dtype=float)


def tiedowns(chains: Sequence[Chain], whole: Arrangement, doubled: Arrangement) -> Tiedowns:
    """The chains with their limits: whole, arranged with LC undivided; doubled, the same with twice the LC.

    Doubling LC alone leaves every rating as it is. A leg over the load, which has no direct capacity, goes by its LC
    and its ratings.
    """
    lc_kN, over = np.array([c.lc_kN for c in chains]), np.array([c.method == "frictional" for c in chains])
    rating_kN = np.array([_least_rating_kN(chain) for chain in chains])
    listed_kg = np.array([_listed_kg(f"{chain.size_mm:g}", str(10 * chain.grade)) for chain in chains])
    weakest_kN = np.where(over, np.minimum(lc_kN, rating_kN), whole.capacity_kN)
    return Tiedowns(
        tags=tuple(chain.tag for chain in chains),
        lc_kN=lc_kN,
        weakest_kN=weakest_kN,
        listed_kg=listed_kg,
        limit_kN=working_limit_kN(weakest_kN, listed_kg, figure("securing_gravity_mps2")),
        breaking_kN=np.where(over, breaking_kN(lc_kN, rating_kN), doubled.capacity_kN),
        over_load=over,
    )


def _least_rating_kN(chain: Chain) -> float:
    return min(float(value) for name, value in chain if name.endswith("_rating_kN") and value is not None)


def _listed_kg(size: str, grade: str) -> float:
    table = published("chain_wll_us")
    listed = any((row["size_mm"], row["grade"]) == (size, grade) for row in table.rows)
    return working_load_limit_kg(table, size, grade) if listed else np.inf
