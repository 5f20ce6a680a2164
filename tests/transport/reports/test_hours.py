"""The strip of hours."""

from shared.assessment import Assessment
from transport.reports.hours import hours, runs
from transport.reports.masthead import local_zone
from transport.reports.starts import starts


def test_every_start_has_its_mark(result: Assessment) -> None:
    rows = hours(starts(result), local_zone(result))
    marks = {"go": "G", "no-go": "x", "undecided": "?"}
    assert "".join(row.marks for row in rows) == "".join(marks[start.verdict] for start in starts(result))


def test_an_hour_with_an_undecided_start_shows_it_as_worst(result: Assessment) -> None:
    mixed = [row for row in hours(starts(result), local_zone(result)) if set(row.marks) == {"x", "?"}]
    assert [row.worst.verdict for row in mixed] == ["undecided"]


def test_hours_with_a_go_are_never_joined(result: Assessment) -> None:
    assert all(row.first == row.last for row in runs(hours(starts(result), local_zone(result))) if "G" in row.marks)
