"""What stands at the head of every output."""

from dataclasses import replace

import pytest

from shared.assessment import Assessment
from transport.reports import masthead


@pytest.mark.parametrize(
    ("decision", "words"),
    [
        (
            {"rule": "ensemble", "acceptable_chance_ratio": 0.1, "confidence_ratio": 0.95},
            "Forecast error: ensemble, acceptable chance 10%, confidence 95%.",
        ),
        ({"rule": "alpha", "alpha_ratio": 0.8}, "Forecast error: factor 0.8 on every wind limit."),
        ({}, "Forecast error: no rule stated."),
    ],
)
def test_the_rule_for_forecast_error_is_named(result: Assessment, decision: dict[str, object], words: str) -> None:
    assert masthead.rule(replace(result, move={**result.move, "decision": decision})) == words


def test_what_the_move_does_not_state_is_said(result: Assessment) -> None:
    assert masthead.heading(replace(result, move={}))["name"] == "not stated"
    assert masthead.local_zone(replace(result, move={})).key == "UTC"


def test_remarks_of_the_survey_follow_those_of_the_move(result: Assessment) -> None:
    road = result.road.assign_attrs(remarks='["bend unsure", "first"]')
    assert masthead.remarks(replace(result, road=road, remarks=("first",))) == ("first", "bend unsure")
