"""What would close a scheme that does not hold, as a table and as sentences, from the plain objects of the search."""

import re
from collections.abc import Mapping, Sequence
from typing import Any

from transport.reports.lashing import case_name
from transport.reports.listings import Listing
from transport.reports.notation import gust, one_line, use

__all__ = ["proposal_listing", "proposal_sentences"]

TITLE = "What would close it"
MISSED = "not enough, the nearest miss: "
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
    """The same as one short sentence each, for a narrow terminal: use of the cases that fail, no clauses."""
    return tuple(_sentence(row) for row in rows)


def _row(row: Mapping[str, Any]) -> tuple[str, ...]:
    tried = f" ({row['screened_count']} tried)" if row["screened_count"] else ""
    pieces = str(row["pieces_count"] or "-")
    return _kind(row), _change(row) + tried, pieces, _lc(row), _uses(row), _gust(row), _governs(row)


def _kind(row: Mapping[str, Any]) -> str:
    if row["confirmed"]:
        return str(row["kind"])
    return f"{row['kind']}: {'none closes it, nearest' if row['after_ratio'] else 'not found'}"


def _change(row: Mapping[str, Any]) -> str:
    """The change, without the words that its kind has said already."""
    bare = one_line(row["change"]).removeprefix(MISSED)
    return bare.removeprefix(f"{row['kind']}, ")


def _lc(row: Mapping[str, Any]) -> str:
    return f"{row['added_lc_kN']:g} kN" if row["added_lc_kN"] else "-"


def _governs(row: Mapping[str, Any]) -> str:
    """The limit state and the document of its clause, to the first comma, semicolon or colon before a list."""
    clause = re.split(r"[,;]|: ", str(row["clause"]))[0].strip()
    return ", ".join(part for part in (row["governed_by"], clause) if part) or "-"


def _sentence(row: Mapping[str, Any]) -> str:
    if not row["after_ratio"]:
        return f"{_kind(row)}: {_change(row)}"
    opening = f"would close it: {row['kind']}" if row["confirmed"] else f"nearest miss: {row['kind']}"
    counted = f"; LC {_lc(row)}" if row["added_lc_kN"] else ""
    signed = f"; {row['remark']}" if row["confirmed"] else ""
    return f"{opening}: {_change(row)}{counted}; {_uses(row, failing=True)}; gust limit {_gust(row)}{signed}"


def _uses(row: Mapping[str, Any], *, failing: bool = False) -> str:
    """LC1 1.04 to 0.58, ... ; only before where nothing was assessed; failing: only cases not met before or after."""
    before, after, names = row["before_ratio"], row["after_ratio"], list(map(case_name, row["states"]))
    texts = [f"{name} {use(value)}" for name, value in zip(names, before, strict=True)]
    if after:
        texts = [f"{text} to {use(value)}" for text, value in zip(texts, after, strict=True)]
    met = [value <= 1.0 for value in before]
    if after:
        met = [left and right <= 1.0 for left, right in zip(met, after, strict=True)]
    kept = [text for text, good in zip(texts, met, strict=True) if not (failing and good)]
    return ", ".join(kept or texts)


def _gust(row: Mapping[str, Any]) -> str:
    limits = row["after_gust_mps"]
    return gust(float("nan") if any(limit != limit for limit in limits) else min(limits)) if limits else "-"
