"""Proposals as a table and as sentences: use rounded up, limits rounded down, nothing called safe."""

import math
from typing import Any

from transport.reports.proposed import proposal_listing, proposal_sentences


def row(**changes: Any) -> dict[str, Any]:
    found = {
        "kind": "added chains",
        "change": "add 2 chains 16 mm",
        "confirmed": True,
        "pieces_count": 2,
        "added_lc_kN": 320.0,
        "states": ["securing statutory (LC1)", "securing operation (LC2)"],
        "before_ratio": [1.031, math.inf],
        "after_ratio": [0.951, 0.5],
        "before_gust_mps": [0.0, 0.0],
        "after_gust_mps": [math.inf, 23.99],
        "governed_by": "securing statutory (LC1)",
        "clause": "EN 12195-1:2010, 5.5",
        "screened_count": 7,
        "remark": "to be confirmed by the one who signs",
    }
    return found | changes


def test_a_proposal_tells_use_before_and_after_and_the_clause() -> None:
    listing = proposal_listing([row()])
    assert listing.rows == (
        (
            "added chains",
            "add 2 chains 16 mm (7 tried)",
            "2",
            "320 kN",
            "LC1 1.04 to 0.96, LC2 closed to 0.50",
            "23.9 m/s",
            "securing statutory (LC1), EN 12195-1:2010, 5.5",
        ),
    )
    assert "to be confirmed by the one who signs" in listing.note
    (sentence,) = proposal_sentences([row()])
    assert sentence == (
        "added chains: add 2 chains 16 mm (7 tried); pieces 2, LC 320 kN; LC1 1.04 to 0.96, LC2 closed to 0.50; "
        "least gust limit 23.9 m/s; governs then: securing statutory (LC1), EN 12195-1:2010, 5.5; "
        "to be confirmed by the one who signs"
    )


def test_what_is_not_found_or_not_known_is_said() -> None:
    missed = row(confirmed=False, after_ratio=[1.2, 0.4], after_gust_mps=[0.0, math.nan])
    assert proposal_listing([missed]).rows[0][0] == "added chains: not found"
    assert proposal_listing([missed]).rows[0][5] == "unknown"
    assert "confirmed by" not in proposal_sentences([missed])[0]
    bare = row(confirmed=False, after_ratio=[], after_gust_mps=[], governed_by="", clause="", screened_count=0)
    assert proposal_sentences([bare]) == ("added chains: not found: add 2 chains 16 mm",)
    assert proposal_listing([]).rows == () and proposal_listing([]).note == ""
