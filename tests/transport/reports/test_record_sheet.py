"""The record that is filled in by hand."""

from shared.assessment import Assessment
from transport.reports.record_sheet import inspection_listing


def test_one_empty_row_a_chain_with_every_mark(result: Assessment) -> None:
    table = inspection_listing(result.move)
    assert [row[0] for row in table.rows] == [f"C{number}" for number in range(1, 9)]
    assert set(table.rows[0][1:]) == {""}
    assert table.columns[1:5] == ("after chaining", "after first 50-100 m", "at H1", "hourly 1")
    assert {"no cracks", "wear up to 10 % of d", "not stretched", "hook not open", "tag present"} <= set(table.columns)


def test_a_move_without_hold_points_has_two_hourly_columns() -> None:
    assert inspection_listing({"chain": [{"tag": "A"}]}).columns[3:5] == ("hourly 1", "hourly 2")
