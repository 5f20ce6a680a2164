"""LC1, statutory: the accelerations of the code, one direction at a time, level deck, no wind."""

from dataclasses import dataclass

import numpy as np

from shared.arrays import Array
from shared.tables import Table

__all__ = ["CLAUSE", "NAME", "REMEDY", "Row", "rows"]

NAME = "securing statutory (LC1)"
CLAUSE = {
    "EN 12195-1": "EN 12195-1:2010, table 2, 5.2 to 5.5, blocking or direct lashing, never their sum; LC / divisor",
    "49 CFR 393": "49 CFR 393.102(a)(2) and (b), 393.106(d), 393.110, 393.130; working load limits",
}
REMEDY = "more or flatter chains in the direction that governs, or a stop; see the force needed in each chain"


@dataclass(frozen=True)
class Row:
    """One direction of the code: its two coefficients, what holds, and how much of it is used."""

    direction: str
    angle_deg: float
    sliding_ratio: float
    tipping_ratio: float
    sliding_kN: float
    tipping_kN: float
    use_ratio: float


def rows(table: Table, code: str, by_model_kN: Array, direction_deg: Array, weight_kN: float) -> list[Row]:
    """Each direction of the code against the resistances, (models, directions) with the tipping model second.

    use = max(c_sliding W / min(sliding, elastic share, equilibrium), c_tipping W / tipping).
    Source: EN 12195-1:2010, table 2, or 49 CFR 393.102, directions one at a time (read).
    """
    found = []
    for row in table.rows:
        if row["code"] == code:
            angle_deg, sliding, tipping = (float(row[n]) for n in ("angle_deg", "sliding_ratio", "tipping_ratio"))
            held_kN = by_model_kN[:, int(np.flatnonzero(direction_deg == angle_deg)[0])]
            slides_kN, tips_kN = float(np.min(np.delete(held_kN, 1))), float(held_kN[1])
            use = max(sliding * weight_kN / slides_kN, tipping * weight_kN / tips_kN)
            found.append(Row(row["direction"], angle_deg, sliding, tipping, slides_kN, tips_kN, use))
    return found
