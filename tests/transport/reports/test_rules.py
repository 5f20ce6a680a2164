"""Stop rules and emergency actions."""

import pytest

from transport.reports.rules import EMERGENCIES, RULES_HEADING, STOPS


@pytest.mark.parametrize(
    "word", ["wind over", "drive uphill", "retarder downhill", "hydraulic", "earthquake", "30/30", "communications"]
)
def test_every_emergency_of_the_trade_has_its_actions(word: str) -> None:
    found = [emergency for emergency in EMERGENCIES if word in emergency.event.lower()]
    assert len(found) == 1
    assert found[0].actions.endswith(".")


def test_they_are_marked_as_practice_and_defer() -> None:
    assert "Common practice, no source" in RULES_HEADING
    assert "local procedure" in RULES_HEADING
    assert STOPS[0].startswith("anyone calls STOP")
