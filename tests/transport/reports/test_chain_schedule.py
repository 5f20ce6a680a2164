"""The chain schedule."""

import numpy as np
import xarray as xr

from shared.assessment import Assessment
from transport.reports.chain_schedule import chain_remarks, chain_schedule


def test_every_chain_stands_in_each_table_with_the_numbers_of_the_dataset(result: Assessment) -> None:
    check = result.checks["securing"]
    marked, running, gear, tension = chain_schedule(result.move, check)
    for table in (marked, running, gear, tension):
        assert [row[0] for row in table.rows] == [f"C{number}" for number in range(1, 9)]
    assert marked.rows[2] == ("C3", "16", "8", "direct", "160", "16", "200", "shackle")
    assert running.rows[0] == ("C1", "2.4, 1, 0.8", "4.4, 1.4, 0", "2.191", "21.42°", "11.31°", "106.7")
    assert gear.columns == ("tag", "shackle_rating_kN", "tensioner_rating_kN", "inspected_on")
    assert gear.rows[0] == ("C1", "200", "160", "2026-01-19")
    assert tension.columns[:3] == ("tag", "LC1, kN", "LC1 use")
    # LC4 counts the chain without the divisor of 1.5: 61.71 / (106.7 * 1.5) = 0.386
    assert float(check["chain_tension_kN"].values[3, 0]) == np.linspace(30.0, 71.0, 32)[24]
    assert tension.rows[0][-2:] == ("61.8", "0.39")


def test_optional_fields_of_a_chain_have_a_table(result: Assessment) -> None:
    kept = ("tag", "on_load_m", "on_deck_m")
    chains = [{name: chain[name] for name in kept} | {"edge_radius_m": 0.02} for chain in result.move["chain"]]
    tables = chain_schedule({**result.move, "chain": chains}, result.checks["securing"])
    assert tables[2].columns == ("tag", "edge_radius_m")


def test_what_is_not_in_the_dataset_is_unknown_and_said(result: Assessment) -> None:
    marked, running, _ = chain_schedule(result.move, xr.Dataset())
    assert {row[-1] for row in (*marked.rows, *running.rows)} == {"unknown"}
    assert "length of the chain" in chain_remarks(xr.Dataset())[0]
    assert chain_schedule({}, xr.Dataset()) == []
