"""Calculation lines made ready for printing."""

import xarray as xr

from shared.calculation import Line, attach
from transport.reports.formulas import printed_lines


def test_symbols_numbers_and_status_are_written_out() -> None:
    line = Line(
        check="cover hem", title="Flutter", formula="U = rho v", spoken="U = rho v",
        values=(("rho", 1.25, "kg/m3", "site"), ('U_"watch"', float("nan"), "m/s", "line above")),
        result=("U_h", float("inf"), "m/s"), source="somewhere", clause="5", status="memory",
    )  # fmt: skip
    (made,) = printed_lines(attach(xr.Dataset(), [line]))
    assert made["values"][0] == {"symbol": {"base": "ρ", "sub": ""}, "value": "1.25", "unit": "kg/m³", "from": "site"}
    assert made["values"][1]["symbol"] == {"base": "U", "sub": "watch"}
    assert made["values"][1]["value"] == "unknown"
    assert made["result"] == {"symbol": {"base": "U", "sub": "h"}, "value": "infinite", "unit": "m/s"}
    assert (made["source"], made["status"]) == ("somewhere, 5", "from memory")


def test_no_lines() -> None:
    assert printed_lines(xr.Dataset()) == []
