"""The reduced rose may hide nothing that is low or unknown."""

from dataclasses import replace

import numpy as np

from shared.assessment import Assessment
from transport.reports.rose_cells import cells, one_valued, runs, shade


def test_the_least_of_every_direction_is_kept(result: Assessment) -> None:
    np.testing.assert_array_equal(cells(result).limit_mps.min(axis=0), result.rose["gust_limit_mps"].min("station"))


def test_one_unknown_station_makes_its_cell_unknown(result: Assessment) -> None:
    values = result.rose["gust_limit_mps"].copy()
    values[600, 5] = np.nan
    made = cells(replace(result, rose=result.rose.assign(gust_limit_mps=values)))
    assert np.isnan(made.limit_mps[24, 5])
    assert {run.shade for run in runs(made) if run.wind == 5 and run.begin <= 24 < run.end} == {"unknown"}


def test_runs_cover_every_cell_once(result: Assessment) -> None:
    made = cells(result)
    covered = sum(run.end - run.begin for run in runs(made))
    assert covered == made.limit_mps.size


def test_only_one_known_value_of_one_check_is_told_in_a_sentence(result: Assessment) -> None:
    names = result.rose["governed_by"].copy()
    names[:] = "cover hem"
    rose = result.rose.assign(governed_by=names)
    even = rose["gust_limit_mps"] * 0
    said = [one_valued(replace(result, rose=rose.assign(gust_limit_mps=even + value))) for value in (9.0, 0.0, np.nan)]
    place = "At every place and for every wind direction: "
    assert said == [f"{place}9.0 m/s, governed by cover hem.", f"{place}closed, governed by cover hem.", ""]
    assert one_valued(result) == ""
    assert one_valued(replace(result, rose=result.rose.assign(gust_limit_mps=even + 9.0))) == ""


def test_closed_unknown_and_unlimited_have_their_own_shades() -> None:
    assert [shade(value, [8.0, 9.0, 10.0, 11.0, 12.0, 13.0]) for value in (0.0, np.nan, np.inf, 8.0, 99.0)] == [
        "closed",
        "unknown",
        "free",
        "c0",
        "c4",
    ]
