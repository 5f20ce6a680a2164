"""What is filled in by hand on the day: tensioning sequence, re-tension and inspection record, signatures."""

from collections.abc import Mapping
from typing import Any

from transport.reports.listings import Listing
from transport.reports.schedules import cell

__all__ = ["SEQUENCE", "SIGNATURES", "inspection_listing", "stop_names"]

SEQUENCE = (
    "Common practice, no source; the manual of the chains and the marks of the mover come first.",
    (
        "Before tightening: every tag read and compared with the chain schedule, no twist, no knot, no load on a hook "
        "tip, stops keyed and in contact."
    ),
    (
        "All chains hand-tight first, none slack. Then opposite chains in pairs: front left with rear right, "
        "front right with rear left, then the inner pairs; in two or three rounds, never one side to the end."
    ),
    "No chain above the STF of its tag. More pretension is not more capacity: it only removes slack.",
    (
        "After the last round go round once more: the first chains have lost tension. Secure every tensioner against "
        "turning back."
    ),
    (
        "Re-tension after the first 50 m to 100 m, then every hour and at every hold point; after any emergency stop, "
        "shaking, or a blow, all chains."
    ),
)
MARKS = ("no cracks", "wear up to 10 % of d", "not stretched", "hook not open", "tag present")
TIMES = ("after chaining", "after first 50-100 m")
SIGNATURES = ("calculated by", "checked by", "safety officer", "licensed engineer, where the law asks for one")
LEAST_HOLDS = 2


def inspection_listing(move: Mapping[str, Any]) -> Listing:
    """One row a chain, empty: tension or feel at each time, marks, initials and time."""
    holds = [f"at {name}" for name in stop_names(move)]
    hourly = [f"hourly {number}" for number in range(1, 1 + max(1, LEAST_HOLDS - len(holds)))]
    columns = ("tag", *TIMES, *holds, *hourly, *MARKS, "initials", "time")
    rows = tuple((cell(chain.get("tag")), *("",) * (len(columns) - 1)) for chain in move.get("chain") or ())
    return Listing("Re-tension and inspection record", columns, rows)


def stop_names(move: Mapping[str, Any]) -> list[str]:
    """Short names of the hold points, H1, H2, ..., of which the record has room for four."""
    count = len(move.get("route", {}).get("hold_point") or ())
    return [f"H{number}" for number in range(1, 1 + min(count, 4))]
