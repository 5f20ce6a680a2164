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


def test_the_rest_of_a_subtraction_is_nothing_beside_others_of_its_unit() -> None:
    line = Line(
        check="securing operation (LC2)", title="Force", formula="H = A + B", spoken="H = A + B",
        values=(
            ("A", 1.6e-14, "kN", "resultant of -1.612e-14 forward and -95.3 to the left"),
            ("B", 2e-7, "kN", "1e-14"), ("t", 1e-12, "m", "plate"), ("p", 1e-10, "1", "chance of 1e-10"),
        ),
        result=("H", 95.3, "kN"), source="own", clause="", status="own",
    )  # fmt: skip
    (made,) = printed_lines(attach(xr.Dataset(), [line]))
    assert [value["value"] for value in made["values"]] == ["0", "2.000 · 10⁻⁷", "1.000 · 10⁻¹²", "1.000 · 10⁻¹⁰"]
    told = [value["from"] for value in made["values"]]
    assert told == ["resultant of 0 forward and -95.3 to the left", "1e-14", "plate", "chance of 1e-10"]
    assert made["result"]["value"] == "95.3"


def test_no_lines() -> None:
    assert printed_lines(xr.Dataset()) == []
