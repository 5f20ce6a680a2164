"""What a verification says to a terminal and to programs."""

import json
from typing import Any

from shared.verification import Verification
from transport.reports.record import explained
from transport.reports.verified_part import verified_extract


def test_missed_events_come_first(result: Verification) -> None:
    assert verified_extract(result).listings[0].title == "Missed events: gust above the limit without a warning"
    assert verified_extract(result).listings[1].title.startswith("Missed events")


def test_the_record_holds_everything_and_explains_each_null(few: Verification) -> None:
    found = explained({"schema": "verify/1", **verified_extract(few).record})
    text = json.dumps(found, allow_nan=False)
    assert "NaN" not in text
    kept = {name: value for name, value in found.items() if name != "nulls"}
    assert len(found["nulls"]) == nulls(kept) > 0
    variables = found["scores"]["variables"]
    assert set(variables) == {str(name) for name in few.scores.data_vars}
    assert found["scores"]["attributes"]["scored_count"] == 20
    assert found["unread_numbers"][0]["name"] == "skill_spell_gap_h"


def test_the_head_names_move_clock_and_zone(result: Verification) -> None:
    """Without the zone nobody can lay a missed event beside the log of the mast."""
    head = verified_extract(result).title.splitlines()
    assert head[0] == "What the forecast has been worth at the mast: Primary mirror"
    assert "all times are local: UTC" in head[1]
    assert any("pairs scored, from" in one for one in verified_extract(result).sentences)


def test_too_few_pairs_are_said(few: Verification) -> None:
    assert (
        "Too few pairs: 20 can be scored, at least 30 are needed. No score is told." in verified_extract(few).sentences
    )


def test_the_rule_and_the_remarks_are_said(result: Verification) -> None:
    said = verified_extract(result).sentences
    assert "Forecast error: ensemble, acceptable chance 10%, confidence 95%." in said
    assert "The mast is not the road." in said


def nulls(value: Any) -> int:
    if isinstance(value, dict):
        return sum(map(nulls, value.values()))
    return sum(map(nulls, value)) if isinstance(value, list) else int(value is None)
