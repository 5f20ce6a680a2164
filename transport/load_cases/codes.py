"""The move judged by its chosen codes: rows of accelerations, strictest first, and counting rules beside them."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from shared.arrays import Array
from shared.tables import figure
from transport.load_cases.federal import Rule, counting_rules, least_count
from transport.load_cases.levels import Level, at_level_kN, levels
from transport.load_cases.ride import Masses
from transport.load_cases.statutory import Row, clause, rows
from transport.load_cases.tiedowns import Tiedowns, tiedowns
from transport.securing.arrangement import Arrangement
from transport.securing.inputs import Chain, Securing

__all__ = ["Codes", "code_coords", "code_variables", "judged"]


ROW: dict[str, Callable[[Row], float | str]] = {
    "code_name": lambda row: row.code,
    "code_direction": lambda row: row.direction,
    "code_level": lambda row: row.level,
    "code_sliding_ratio": lambda row: row.sliding_ratio,
    "code_tipping_ratio": lambda row: row.tipping_ratio,
    "code_sliding_kN": lambda row: row.sliding_kN,
    "code_tipping_kN": lambda row: row.tipping_kN,
    "code_use_ratio": lambda row: row.use_ratio,
    "code_frictionless_use_ratio": lambda row: row.frictionless_ratio,
    "code_stop_needed_kN": lambda row: row.stop_needed_kN,
    "code_stop_kN": lambda row: row.stop_kN,
    "code_slide_m": lambda row: row.slide_m,
    "code_remark": lambda row: row.remark,
    "code_source": lambda row: row.source,
}
RULE: dict[str, Callable[[Rule], float | str]] = {
    "counting_clause": lambda rule: rule.clause,
    "counting_needed": lambda rule: rule.needed,
    "counting_provided": lambda rule: rule.provided,
    "counting_unit": lambda rule: rule.unit,
    "counting_use_ratio": lambda rule: rule.use_ratio,
}


@dataclass(frozen=True)
class Codes:
    """The chosen codes with their levels, rows (strictest first) and counting rules (none without 49 CFR 393)."""

    names: tuple[str, ...]
    levels: list[Level]
    rows: list[Row]
    rules: list[Rule]
    tied: Tiedowns

    @property
    def use_ratio(self) -> float:
        """The worst of all rows and counting rules; NaN if any is not known."""
        return float(np.max([*(row.use_ratio for row in self.rows), *(rule.use_ratio for rule in self.rules)]))

    @property
    def ordered(self) -> list[str]:
        """The codes, the one with the strictest row first."""
        return list(dict.fromkeys(row.code for row in self.rows))

    @property
    def clause(self) -> str:
        """The clauses of all codes, the strictest first."""
        return clause(self.ordered)

    def level_of(self, row: Row) -> Level:
        """The level that a row belongs to."""
        return next(level for level in self.levels if (level.code, level.words) == (row.code, row.level))

    @property
    def governing(self) -> list[Row]:
        """The row that uses most of each code at each of its levels, strictest first."""
        found: dict[tuple[str, str], Row] = {}
        for row in self.rows:
            found.setdefault((row.code, row.level), row)
        return list(found.values())


def judged(
    securing: Securing,
    chains: Sequence[Chain],
    arranged: Callable[[Sequence[Chain], float], Arrangement],
    vertical_ratio: Array,
    by_model_kN: Array,
    masses: Masses,
) -> Codes:
    """Judge by every chosen code.

    arranged: the unit on its contacts with chains and a divisor on LC; by_model_kN (models, f, directions) at the
    vertical factors (f,): what it holds with the divisor of the move.
    """
    whole = arranged(chains, 1.0)
    share = figure("securing_capacity_of_breaking_ratio")
    strong = [chain.model_copy(update={"lc_kN": chain.lc_kN / share}) for chain in chains]
    tied = tiedowns(chains, whole, arranged(strong, 1.0))
    level_kN = at_level_kN(vertical_ratio, by_model_kN, masses)
    divided = arranged(chains, securing.capacity_divisor)
    found = levels(securing.code, divided, level_kN, tied, masses, securing.capacity_divisor)
    judged_rows = rows(found, masses)
    return Codes(securing.code, found, judged_rows, _rules(securing, judged_rows, whole, tied, masses), tied)


def code_variables(codes: Codes) -> dict[str, Any]:
    """Rows and counting rules as variables of a Dataset, the strictest row first."""
    found: dict[str, Any] = {name: ("code_row", [value(row) for row in codes.rows]) for name, value in ROW.items()}
    if codes.rules:
        found |= {name: ("counting_rule", [value(rule) for rule in codes.rules]) for name, value in RULE.items()}
        found["chain_working_limit_kg"] = ("chain", codes.tied.limit_kg)
        found["chain_breaking_kN"] = ("chain", codes.tied.breaking_kN)
    return found


def code_coords(codes: Codes) -> dict[str, list[str]]:
    """Names of the rows and of the counting rules."""
    names = {"code_row": [row.label for row in codes.rows]}
    return names | {"counting_rule": [rule.name for rule in codes.rules]} if codes.rules else names


def _rules(securing: Securing, found: Sequence[Row], whole: Arrangement, tied: Tiedowns, masses: Masses) -> list[Rule]:
    """Counting rules of 49 CFR 393, none with another code."""
    if securing.unit_length_m is None or "49 CFR 393" not in securing.code:
        return []
    return counting_rules(
        tied.limit_kg,
        tied.over_load,
        float(tied.limit_kN @ -whole.restraint.pull_ratio[:, 2]),
        masses.greatest_t,
        least_count(securing.unit_length_m, masses.greatest_t, blocked=_is_blocked_ahead(found)),
    )


def _is_blocked_ahead(found: Sequence[Row]) -> bool:
    """Whether stops, at the greater of the two accelerations of 49 CFR 393, hold the load forward alone."""
    ahead = [row for row in found if row.code == "49 CFR 393" and row.direction == "forward"]
    return all(row.stop_kN > 0.0 and row.stop_needed_kN <= row.stop_kN for row in ahead)
