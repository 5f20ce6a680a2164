"""What is filled in by hand on the day: tensioning sequence, record of tensions, marks of the chains, signatures."""

from collections.abc import Mapping
from typing import Any

from shared.tables import figure
from transport.reports.listings import Listing
from transport.reports.schedules import cell

__all__ = ["SEQUENCE", "SIGNATURES", "inspection_listing", "stop_names", "tension_listing"]

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
TIMES = ("chained", "first 50-100 m")
HOURLY_COUNT = 5
SIGNATURES = ("calculated by", "checked by", "safety officer", "licensed engineer, where the law asks for one")


def tension_listing(move: Mapping[str, Any]) -> Listing:
    """One row a chain with its target, one empty column a round; initials and time of each round in the last row."""
    chains = move.get("chain") or ()
    hourly = [f"hour {number}" for number in range(1, 1 + HOURLY_COUNT)]
    columns = ("tag", "target, kN", *TIMES, *stop_names(move), *hourly)
    empty = ("",) * (len(columns) - 2)
    rows = [(cell(chain.get("tag")), cell(chain.get("stf_kN")), *empty) for chain in chains]
    return Listing("Record of tensions", columns, (*rows, ("initials, time", "", *empty)) if rows else ())


def inspection_listing(move: Mapping[str, Any]) -> Listing:
    """One row a chain, empty: the marks that it must meet, who looked and when."""
    wear = 100.0 * (1.0 - figure("securing_discard_diameter_ratio"))
    marks = ("no cracks", f"wear up to {wear:.0f} % of d", "not stretched", "hook not open", "tag present")
    columns = ("tag", *marks, "initials", "time")
    rows = tuple((cell(chain.get("tag")), *("",) * (len(columns) - 1)) for chain in move.get("chain") or ())
    return Listing("Marks of the chains", columns, rows)


def stop_names(move: Mapping[str, Any]) -> list[str]:
    """Short names of the hold points, H1, H2, ..., of which the record has room for four."""
    count = len(move.get("route", {}).get("hold_point") or ())
    return [f"H{number}" for number in range(1, 1 + min(count, 4))]
