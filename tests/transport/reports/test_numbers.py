"""Every number of a check as a plain object."""

import json

import xarray as xr

from shared.assessment import Assessment
from shared.calculation import lines_of
from transport.reports.numbers import numbers_of


def test_every_variable_that_is_not_along_the_road(result: Assessment) -> None:
    check = result.checks["securing"]
    found = numbers_of(check)
    assert set(found["variables"]) == {name for name in check.data_vars if "station" not in check[name].dims}
    assert found["variables"]["movement_m"] == {"dims": ["limit_state"], "values": [0.0, 0.0031, 0.0174, 0.0042]}
    assert found["coordinates"]["chain"] == [f"C{number}" for number in range(1, 9)]
    assert found["attributes"]["capacity_divisor"] == 1.5
    assert len(found["calculation"]) == len(lines_of(check))
    json.dumps(found)


def test_text_and_truth_are_plain() -> None:
    data = xr.Dataset({"a": ("x", [True, False]), "b": ("x", ["one\x1b", "two"]), "c": 3}, attrs={"n": None})
    found = numbers_of(data)
    assert [found["variables"][name]["values"] for name in "abc"] == [[True, False], ["one", "two"], 3]
    assert found["attributes"] == {"n": "None"}
