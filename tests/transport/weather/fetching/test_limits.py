"""Limits are published figures; a deadline is shared out so that nobody starves."""

import time

import pytest

from shared.tables import ledger
from transport.weather.fetching.limits import Deadline, usual_limits


def test_usual_limits_are_practice_and_recorded() -> None:
    with ledger() as used:
        found = usual_limits()
    assert len(used) == len(found)
    assert {one.status for one in used} == {"practice"}
    assert found.connect_s <= found.read_s < found.total_s
    assert isinstance(found.tries_count, int) and isinstance(found.redirects_count, int)


def test_a_deadline_passes_and_is_shared() -> None:
    deadline = Deadline(0.2)
    first = deadline.share(2)
    assert first.given_s == pytest.approx(0.1, abs=0.05)
    time.sleep(0.21)
    assert first.left_s == deadline.left_s == 0.0
