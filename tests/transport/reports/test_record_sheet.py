"""The record that is filled in by hand."""

from shared.assessment import Assessment
from transport.reports.record_sheet import inspection_listing, tension_listing


def test_one_row_a_chain_with_its_target_and_a_column_a_round(result: Assessment) -> None:
    table = tension_listing(result.move)
    assert [row[0] for row in table.rows] == [*(f"C{number}" for number in range(1, 9)), "initials, time"]
    # the STF that the move gives for each chain
    assert [row[1] for row in table.rows[:8]] == [f"{chain['stf_kN']:g}" for chain in result.move["chain"]]
    assert {text for row in table.rows for text in row[2:]} == {""}
    assert table.columns[2:5] == ("chained", "first 50-100 m", "H1")
    assert [name for name in table.columns if name.startswith("hour")] == [f"hour {number}" for number in range(1, 6)]


def test_every_mark_stands_beside_every_chain(result: Assessment) -> None:
    table = inspection_listing(result.move)
    assert [row[0] for row in table.rows] == [f"C{number}" for number in range(1, 9)]
    assert set(table.rows[0][1:]) == {""}
    # worn by more than a tenth: leaflet of the German building trades insurer on slings
    assert table.columns[1:] == (
        *("no cracks", "wear up to 10 % of d", "not stretched", "hook not open", "tag present", "initials", "time"),
    )


def test_a_move_without_chains_has_no_record() -> None:
    assert tension_listing({}).rows == inspection_listing({}).rows == ()
