"""When each stage begins and ends."""

from dataclasses import replace

import numpy as np

from shared.assessment import Assessment
from transport.reports.timetable import timetable_listing


def test_first_and_last_start_of_each_window(result: Assessment) -> None:
    table = timetable_listing(result)
    assert (
        table.title == "Timetable by start, first and last of each window: earliest beginning to latest end, local time"
    )
    days = ("Tue 10 07:00", "Tue 10 10:50", "Wed 11 07:00", "Wed 11 07:50")
    assert table.columns == ("stage", *days)
    assert table.rows[1] == ("Drive", "08:36-12:00", "12:26-15:50", "08:36-12:00", "09:26-12:50")


def test_many_windows_have_a_row_a_start_and_stage(result: Assessment) -> None:
    third = replace(result.openings[0], opens=result.openings[0].closes)
    table = timetable_listing(replace(result, openings=(*result.openings, third)))
    assert table.columns == ("start", "stage", "earliest beginning to latest end")
    assert table.rows[1] == ("Tue 10 07:00", "Drive", "08:36-12:00")
    assert len(table.rows) == 5 * 3


def test_without_a_window_the_start_shown(closed: Assessment, undecided: Assessment) -> None:
    assert [timetable_listing(one).columns for one in (closed, undecided)] == [("stage", "Tue 10 05:00")] * 2
    assert timetable_listing(closed).title.startswith("Timetable of the start shown, no-go: ")
    assert timetable_listing(undecided).rows[0][1] == "05:00-07:00"


def test_another_day_is_named_and_unknown_is_a_word(closed: Assessment) -> None:
    ends = closed.window["stage_end_s"].copy()
    ends[1:] = [np.nan, 20 * 3600.0]
    rows = timetable_listing(replace(closed, window=closed.window.assign(stage_end_s=ends))).rows
    assert [row[1] for row in rows] == ["05:00-07:00", "06:36-unknown", "08:00-Wed 01:00"]


def test_no_stages_no_rows(result: Assessment) -> None:
    assert timetable_listing(replace(result, window=result.window.drop_dims("stage"))).rows == ()
