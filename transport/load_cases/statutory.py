"""LC1, statutory: the accelerations of each chosen code, one direction at a time, level deck, no wind."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from shared.arrays import Array
from shared.tables import published
from transport.load_cases.federal import used_ratio
from transport.load_cases.levels import (
    Level,
    frictionless_kN,
    lashing_rate_kN_per_m,
    slide_m,
    steady_kN,
    stops_kN,
    ways,
)
from transport.load_cases.ride import Masses
from transport.securing.arrangement import DIRECTION_DEG

__all__ = ["NAME", "REMEDY", "Row", "clause", "level_rows", "rows"]

NAME = "securing statutory (LC1)"
CLAUSE = {
    "EN 12195-1": "EN 12195-1:2010, table 2, 5.2 to 5.5, blocking or direct lashing, never their sum; LC / divisor",
    "CTU Code": "CTU Code 2014, chapter 5, road, and annex 7; MSL / divisor",
    "49 CFR 393": (
        "49 CFR 393.102(a)(1) on breaking strength, (a)(2) on working load limits, (b), 393.106(d), 393.108, 393.110, "
        "393.130; friction counted, on which the rule is silent"
    ),
}
REMEDY = "more or flatter chains in the direction that governs, or a stop; see the force needed in each chain"
TABLES = {
    "EN 12195-1": "securing_acceleration",
    "CTU Code": "securing_acceleration_ctu",
    "49 CFR 393": "securing_acceleration_us",
}


@dataclass(frozen=True)
class Row:
    """One direction of one code at one level: its coefficients, what holds, and how much of it is used.

    stop_needed_kN and stop_kN: what stops must and can bear if they hold alone; slide_m: movement before the direct
    chains hold what friction leaves over; frictionless_ratio: use for sliding if no friction were counted.
    """

    code: str
    level: str
    direction: str
    angle_deg: float
    sliding_ratio: float
    tipping_ratio: float
    sliding_kN: float
    tipping_kN: float
    use_ratio: float
    frictionless_ratio: float
    stop_needed_kN: float
    stop_kN: float
    slide_m: float
    way: str
    source: str

    @property
    def label(self) -> str:
        """Name of the row among all."""
        return f"{self.code}, {self.level}, {self.direction}"

    @property
    def remark(self) -> str:
        """What holds first, and whether a stop is missing."""
        slide = f"about {1000.0 * self.slide_m:.0f} mm" if np.isfinite(self.slide_m) else "without end"
        if self.stop_needed_kN <= 0.0:
            return "friction and top-over lashings hold alone"
        if self.stop_needed_kN <= self.stop_kN:
            return "stops hold alone, chains are the second line and hold down"
        lacking = "no stop" if self.stop_kN == 0.0 else "the stop is too weak to hold alone"
        return (
            f"{lacking}: chains alone let the load slide {slide} before they hold; "
            "use a stop as primary restraint (common practice, no source)"
        )


def clause(codes: Sequence[str]) -> str:
    """The clauses of the chosen codes in one text, in the given order."""
    return "; ".join(CLAUSE[code] for code in codes)


def rows(levels: Sequence[Level], masses: Masses) -> list[Row]:
    """Every direction of every level of the codes, the one that uses most first; an unknown use stands before all.

    Source: EN 12195-1:2010, table 2; CTU Code 2014, chapter 5; 49 CFR 393.102, directions one at a time (memory).
    """
    found = [row for level in levels for row in level_rows(level, masses)]
    return sorted(found, key=lambda row: (not np.isnan(row.use_ratio), -row.use_ratio))


def level_rows(level: Level, masses: Masses) -> list[Row]:
    """Each direction of one level against what it holds, forward first.

    use = max(c_sliding W / min(sliding, elastic share, equilibrium, elastic chains), c_tipping W / tipping); W of the
    greatest mass.
    Source: EN 12195-1:2010, table 2; CTU Code 2014, chapter 5; 49 CFR 393.102, directions one at a time (memory).
    """
    weight_kN, least_kN = (mass_t * masses.gravity_mps2 for mass_t in (masses.greatest_t, masses.least_t))
    bare_kN, held_kN = frictionless_kN(level.arrangement), steady_kN(level.arrangement, least_kN)
    stop_kN, way = stops_kN(level.arrangement, least_kN / level.arrangement.weight_kN), ways(level, masses)
    table = published(TABLES[level.code])
    return [
        _row(level, row, weight_kN, (bare_kN[k], held_kN[k], stop_kN[k]), way[k])
        for row in table.rows
        if row["level"] == level.name
        for k in np.flatnonzero(float(row["angle_deg"]) == DIRECTION_DEG)
    ]


def _row(level: Level, row: dict[str, str], weight_kN: float, held_kN: tuple[Array, Array, Array], way: str) -> Row:
    angle_deg, sliding, tipping = (float(row[name]) for name in ("angle_deg", "sliding_ratio", "tipping_ratio"))
    by_model_kN = level.by_model_kN[:, int(np.flatnonzero(angle_deg == DIRECTION_DEG)[0])]
    slides_kN, tips_kN = float(np.min(np.delete(by_model_kN, 1))), float(by_model_kN[1])
    push_kN, (bare_kN, steady_kN, stop_kN) = sliding * weight_kN, (float(part) for part in held_kN)
    uses = used_ratio(push_kN, high=slides_kN), used_ratio(tipping * weight_kN, high=tips_kN)
    return Row(
        code=level.code,
        level=level.words,
        direction=row["direction"],
        angle_deg=angle_deg,
        sliding_ratio=sliding,
        tipping_ratio=tipping,
        sliding_kN=slides_kN,
        tipping_kN=tips_kN,
        use_ratio=float(np.max(uses)),
        frictionless_ratio=used_ratio(push_kN, high=bare_kN),
        stop_needed_kN=push_kN - steady_kN,
        stop_kN=stop_kN,
        slide_m=slide_m(push_kN - steady_kN, lashing_rate_kN_per_m(level.arrangement, angle_deg)),
        way=way,
        source=row["source"],
    )
