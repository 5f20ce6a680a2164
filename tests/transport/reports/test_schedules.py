"""The move's own tables."""

from shared.assessment import Assessment
from transport.reports.schedules import further_rows, other_schedules, unit_schedules


def test_unit_contacts_and_anchors_stand_first(result: Assessment) -> None:
    move = {**result.move, "anchor": [{"name": "A1", "position_m": [4.4, 1.4, 0.0], "rating_kN": 200.0, "note": "n"}]}
    tables = {table.title: table for table in unit_schedules(move)}
    assert list(tables) == ["unit", "securing", "contact", "anchor"]
    assert len(tables["contact"].rows) == len(result.move["contact"])
    assert tables["anchor"].columns == ("name", "position_m", "rating_kN", "note")
    assert {"mirror", "trailer", "trailer.group"} <= {table.title for table in other_schedules(result.move)}


def test_every_simple_field_of_the_unit_is_shown(result: Assessment) -> None:
    unit = next(table for table in unit_schedules(result.move) if table.title == "unit")
    shown = {cell for row in unit.rows for cell in (row[0], row[2])}
    assert shown - {""} == set(result.move["unit"])


def test_a_field_that_one_row_gives_is_a_column() -> None:
    table = further_rows("chain", [{"tag": "C1"}, {"tag": "C2", "edge_radius_m": 0.02, "spare": None}], ("tag",))
    assert table.columns == ("tag", "edge_radius_m")
    assert table.rows == (("C1", "not given"), ("C2", "0.02"))
