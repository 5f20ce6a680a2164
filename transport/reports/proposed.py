"""What would close a scheme that does not hold, as a table and as sentences, from the plain objects of the search."""

import re
from collections.abc import Mapping, Sequence
from typing import Any

from transport.reports.listings import Listing
from transport.reports.notation import gust, one_line, use

__all__ = ["proposal_listing", "proposal_sentences"]

TITLE = "What would close it"
NOTE = (
    "The least change of each kind that was found by search; each numbered one is assessed in full. Use in still air "
    "before and after, load case by load case. Whether chains run free, crossed ones clear of each other, and anchors, "
    "rated points and stops carry what is stated, must be looked at on the vehicle. Proposals are to be confirmed by "
    "the one who signs; local codes come first."
)


def proposal_listing(rows: Sequence[Mapping[str, Any]]) -> Listing:
    """One row a proposal or nearest miss; the columns of the numbers are never cut."""
    columns = ("kind", "change", "pieces", "LC added", "use before and after", "least gust limit", "governs then")
    return Listing(TITLE, columns, tuple(map(_row, rows)), frozenset((2, 3, 5)), NOTE if rows else "")


def proposal_sentences(rows: Sequence[Mapping[str, Any]]) -> tuple[str, ...]:
    """The same as one sentence each, for a narrow terminal."""
    return tuple(_sentence(row) for row in rows)


def _row(row: Mapping[str, Any]) -> tuple[str, ...]:
    tried = f" ({row['screened_count']} tried)" if row["screened_count"] else ""
    lc = f"{row['added_lc_kN']:g} kN" if row["added_lc_kN"] else "-"
    governs = f"{row['governed_by']}, {row['clause']}" if row["governed_by"] else "-"
    kind = str(row["kind"]) if row["confirmed"] else f"{row['kind']}: not found"
    pieces = str(row["pieces_count"] or "-")
    return kind, one_line(row["change"]) + tried, pieces, lc, _uses(row), _gust(row), governs


def _sentence(row: Mapping[str, Any]) -> str:
    kind, change, pieces, lc, uses, limit, governs = _row(row)
    if not row["after_ratio"]:
        return f"{kind}: {change}"
    counted = "" if pieces == "-" else f"; pieces {pieces}" + ("" if lc == "-" else f", LC {lc}")
    signed = f"; {row['remark']}" if row["confirmed"] else ""
    return f"{kind}: {change}{counted}; {uses}; least gust limit {limit}; governs then: {governs}{signed}"


def _uses(row: Mapping[str, Any]) -> str:
    """LC1 1.04 to 0.58, ... ; only before where nothing was assessed."""
    names = [match[1] if (match := re.search(r"\((LC\d)\)", name)) else name for name in row["states"]]
    before = [use(value) for value in row["before_ratio"]]
    after = [f" to {use(value)}" for value in row["after_ratio"]] or [""] * len(names)
    return ", ".join(f"{name} {left}{right}" for name, left, right in zip(names, before, after, strict=True))


def _gust(row: Mapping[str, Any]) -> str:
    limits = row["after_gust_mps"]
    return gust(float("nan") if any(limit != limit for limit in limits) else min(limits)) if limits else "-"
