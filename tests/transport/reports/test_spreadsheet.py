"""The CSV of the starts."""

import csv
import io
from dataclasses import replace

import numpy as np

from shared.assessment import Assessment
from transport.reports.spreadsheet import COLUMNS, csv_bytes


def rows(result: Assessment) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(csv_bytes(result).decode())))


def test_one_row_a_start_with_units_in_the_header(result: Assessment) -> None:
    made = rows(result)
    assert len(made) == result.window.sizes["start"]
    assert tuple(made[0]) == COLUMNS
    assert made[0]["start_utc"] == "2026-03-10T06:00:00+00:00"
    assert made[0]["start_local"] == "2026-03-10T05:00:00-01:00"


def test_numbers_come_back_exactly(result: Assessment) -> None:
    values = [float(row["utilisation_ratio"]) for row in rows(result)]
    np.testing.assert_array_equal(values, result.window["utilisation_ratio"].values)


def test_unknown_is_no_empty_cell(undecided: Assessment) -> None:
    assert {row["utilisation_ratio"] for row in rows(undecided)} == {"NaN"}
    assert all(value for row in rows(undecided) for value in row.values())


def test_text_is_no_formula(result: Assessment) -> None:
    window = result.window.assign(governed_by=("start", np.full(result.window.sizes["start"], "=1+1")))
    assert rows(replace(result, window=window))[0]["governed_by"] == "'=1+1"


def test_lines_end_as_on_unix(result: Assessment) -> None:
    assert b"\r" not in csv_bytes(result)
