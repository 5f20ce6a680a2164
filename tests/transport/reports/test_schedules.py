"""The move's own tables."""

from shared.assessment import Assessment
from transport.reports.schedules import schedules


def test_every_chain_and_contact_stands_in_its_schedule(result: Assessment) -> None:
    tables = {table.title: table for table in schedules(result)}
    assert [row[0] for row in tables["chain"].rows] == [f"C{number}" for number in range(1, 9)]
    assert tables["chain"].rows[0][6] == "2.4, 1, 0.8"
    assert len(tables["contact"].rows) == len(result.move["contact"])


def test_every_simple_field_of_the_unit_is_shown(result: Assessment) -> None:
    unit = next(table for table in schedules(result) if table.title == "unit")
    shown = {cell for row in unit.rows for cell in (row[0], row[2])}
    assert shown - {""} == set(result.move["unit"])
