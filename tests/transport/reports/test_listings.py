"""Tables of text."""

from dataclasses import replace

import numpy as np
import pytest

from shared.assessment import Assessment
from transport.reports.listings import (
    holds,
    opening_listing,
    short_start_listing,
    start_listing,
    state_listing,
    verdict_listing,
)


def test_windows_stand_in_local_time(result: Assessment) -> None:
    assert opening_listing(result).rows[0][:4] == ("Tue 10 Mar 07:00", "Tue 10 Mar 10:50", "Tue 10 Mar 17:10", "0.1 %")


def test_undecided_starts_say_unknown(undecided: Assessment) -> None:
    assert start_listing(undecided).rows[0][1:5] == ("undecided", "unknown", "unknown", "unknown")


def test_under_the_factor_rule_there_is_no_chance(result: Assessment) -> None:
    move = {**result.move, "decision": {"rule": "alpha", "alpha_ratio": 0.8}}
    assert {row[3] for row in start_listing(replace(result, move=move)).rows} == {"not used (factor rule)"}


def test_a_closed_start_has_no_infinite_numbers(result: Assessment) -> None:
    use = result.window["utilisation_ratio"] * 0 + np.inf
    shut = replace(result, window=result.window.assign(utilisation_ratio=use, margin_ratio=-use))
    assert start_listing(shut).rows[0][2:5:2] == ("closed", "closed")


def test_a_short_start_row_fits_80_columns_with_verdict_and_numbers_whole(result: Assessment) -> None:
    names = np.full(result.window.sizes["start"], "securing one part lost (LC4)")
    rows = short_start_listing(replace(result, window=result.window.assign(governed_by=("start", names)))).rows
    assert rows[0] == ("Tue 10 05:00", "no-go", "0.72", "securing one part los…", "Tue 10 08:00")
    assert max(sum(map(len, row)) + 8 for row in rows) <= 80


def test_windows_tell_that_the_operation_starts_with_its_first_stage(result: Assessment) -> None:
    assert opening_listing(result).title == "Windows: start of the operation (stage 'Lift onto the trailer')"
    bare = replace(result, window=result.window.drop_dims("stage"))
    assert opening_listing(bare).title == "Windows: start of the operation"


def test_a_state_without_wind_has_no_place(result: Assessment) -> None:
    assert state_listing(result).rows[0][:6] == ("A", "road grade", "no wind limit", "-", "-", "0.86")


def test_a_limit_that_is_the_same_everywhere_has_no_single_place(result: Assessment) -> None:
    values = result.rose["gust_limit_by_state_mps"].copy()
    values[10] = 12.0
    row = state_listing(replace(result, rose=result.rose.assign(gust_limit_by_state_mps=values))).rows[10]
    assert row[2:5] == ("12.0 m/s", "all", "any")


def test_closed_and_unknown_are_words(result: Assessment) -> None:
    values = result.rose["gust_limit_by_state_mps"].copy()
    values[10, 5, 5], values[11, 6, 6] = 0.0, np.nan
    rows = state_listing(replace(result, rose=result.rose.assign(gust_limit_by_state_mps=values))).rows
    assert [rows[10][2:5], rows[11][2:4]] == [("closed", "25 m", "-"), ("unknown", "30 m")]


def test_fewer_columns_keep_their_numbers(result: Assessment) -> None:
    table = state_listing(result).only("limit state", "gust limit")
    assert table.rows[4] == ("trailer tipping", "10.2 m/s")
    assert table.numbers == {1}


def test_load_cases_come_first_in_the_verdicts(result: Assessment) -> None:
    rows = verdict_listing(result).rows
    assert [row[0][-5:] for row in rows[:4]] == ["(LC1)", "(LC2)", "(LC3)", "(LC4)"]
    assert len(rows) == len(state_listing(result).rows)
    assert rows[4] == ("road grade", "yes", "0.86", "no wind limit", "-", "-")


@pytest.mark.parametrize(
    ("use", "limit", "word"),
    [
        (1.0, np.inf, "yes"),
        (np.nextafter(1.0, 2.0), np.inf, "NO"),
        (0.5, 0.0, "NO"),
        (np.nan, 20.0, "not known"),
        (0.5, np.nan, "not known"),
        (np.inf, 20.0, "NO"),
    ],
)
def test_only_what_is_known_to_hold_holds(use: float, limit: float, word: str) -> None:
    assert holds(use, limit) == word
