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
            "securing statutory (LC1), EN 12195-1:2010",
        ),
    )
    assert "to be confirmed by the one who signs" in listing.note
    (sentence,) = proposal_sentences([row()])
    assert sentence == (
        "would close it: added chains: add 2 chains 16 mm; LC 320 kN; LC1 1.04 to 0.96, LC2 closed to 0.50; "
        "gust limit 23.9 m/s; to be confirmed by the one who signs"
    )


def test_a_change_that_begins_with_its_kind_says_it_once() -> None:
    twice = row(kind="stop of the capacity needed", change="stop of the capacity needed, left of 90 kN")
    assert proposal_listing([twice]).rows[0][1] == "left of 90 kN (7 tried)"
    assert proposal_sentences([twice])[0].count("stop of the capacity needed") == 1


def test_what_is_not_found_or_not_known_is_said() -> None:
    missed = row(confirmed=False, after_ratio=[1.2, 0.4], after_gust_mps=[0.0, math.nan])
    assert proposal_listing([missed]).rows[0][0] == "added chains: none closes it, nearest"
    assert proposal_listing([missed]).rows[0][5] == "unknown"
    assert "confirmed by" not in proposal_sentences([missed])[0]
    bare = row(confirmed=False, after_ratio=[], after_gust_mps=[], governed_by="", clause="", screened_count=0)
    assert proposal_sentences([bare]) == ("added chains: not found: add 2 chains 16 mm",)
    kept = row(
        confirmed=False, before_ratio=[0.9, 1.2], after_ratio=[0.9, 1.1], change="not enough, the nearest miss: x"
    )
    assert proposal_sentences([kept])[0].startswith("nearest miss: added chains: x; LC 320 kN; LC2 1.20 to 1.10; gust")
    assert proposal_listing([]).rows == () and proposal_listing([]).note == ""
