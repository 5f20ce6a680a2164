"""Lines at the governing station: worked again from the numbers that they print."""

from collections.abc import Callable

import numpy as np
import pytest
import xarray as xr

from shared.calculation import Line, lines_of

Run = Callable[..., xr.Dataset]


def values(line: Line) -> dict[str, float]:
    return {symbol: value for symbol, value, _, _ in line.values}


@pytest.fixture
def found(run: Run) -> dict[str, list[Line]]:
    result = run()
    every = lines_of(result)
    return {str(name): [line for line in every if line.check == name] for name in result["limit_state"].values}


def test_every_case_has_lines(found: dict[str, list[Line]]) -> None:
    assert {name: len(lines) for name, lines in found.items()} == {
        "securing statutory (LC1)": 12,
        "securing operation (LC2)": 6,
        "securing earthquake (LC3)": 5,
        "securing one chain lost (LC4)": 4,
    }


def test_pushes_of_operation(found: dict[str, list[Line]]) -> None:
    ahead, left, *_ = found["securing operation (LC2)"]
    v = values(ahead)
    assert ahead.result[1] == pytest.approx(v["m"] * (v["a"] - v["g"] * np.sin(np.deg2rad(v["theta"]))))
    v = values(left)
    aside = v["g"] * np.cos(np.deg2rad(v["theta"])) * np.sin(np.deg2rad(v["phi"]))
    assert left.result[1] == pytest.approx(-v["m"] * (aside + v["v"] ** 2 * v["kappa"]))


@pytest.mark.parametrize(
    "case", ["securing operation (LC2)", "securing earthquake (LC3)", "securing one chain lost (LC4)"]
)
def test_resistance_and_use(found: dict[str, list[Line]], case: str) -> None:
    by_symbol = {line.result[0]: line for line in found[case]}
    for symbol in ("R_S", "R_E"):
        v = values(by_symbol[symbol])
        assert by_symbol[symbol].result[1] == pytest.approx(v["S_h"] + v["mu"] * (v["S_v"] + v["N"]) + v["B"])
    v = values(by_symbol["u"])
    delta, psi = np.deg2rad(v["Delta"]), np.deg2rad(v["psi"])
    use = v["H"] / np.sin(delta) * (np.sin(delta - psi) / v["R_1"] + np.sin(psi) / v["R_2"])
    assert by_symbol["u"].result[1] == pytest.approx(use)
    assert v["R"] <= by_symbol["R_S"].result[1] * (1 + 1e-9)


def test_stops_and_direct_chains_are_never_in_one_sum(run: Run, contacts) -> None:  # type: ignore[no-untyped-def]
    """Where the stop holds the sheet says so; without stops the chains do."""
    pads = [contact for contact in contacts if contact.kind == "pad"]
    lost, whole = "securing one chain lost (LC4)", "securing operation (LC2)"
    for result, name, way in ((run(), lost, "stops"), (run(contacts=pads), whole, "chains")):
        assert result["held_by"].sel(limit_state=name) == way
        case = [line for line in lines_of(result) if line.check == name]
        line = next(line for line in case if line.result[0] == "R_S")
        v, stop = values(line), line.values[4]
        assert (v["S_h"] == 0.0, v["B"] > 0.0) == ((True, True) if way == "stops" else (False, False))
        other = "direct chains" if way == "stops" else "stops"
        assert stop[3] == f"capacity of the stops in this direction; {way} hold, so {other} are not counted"
        assert line.values[2][3].endswith(", published for dry surfaces only: confirm that they are dry")


def test_the_resultant_is_that_of_the_pushes(found: dict[str, list[Line]]) -> None:
    ahead, left, *rest = found["securing operation (LC2)"]
    use = next(line for line in rest if line.result[0] == "u")
    assert values(use)["H"] == pytest.approx(np.hypot(ahead.result[1], left.result[1]))


def test_the_lost_chain_is_named(found: dict[str, list[Line]], run: Run) -> None:
    lost = str(run()["lost_member"].sel(limit_state="securing one chain lost (LC4)").values)
    line = next(line for line in found["securing one chain lost (LC4)"] if line.result[0] == "R_S")
    assert f"{lost} lost" in line.values[0][3]


def test_wind_force_at_the_limit(found: dict[str, list[Line]]) -> None:
    for case, slower in (("securing operation (LC2)", 1.0), ("securing earthquake (LC3)", 1.4)):
        line = next(line for line in found[case] if line.result[0] == "F_w")
        v = values(line)
        assert v["G"] == slower
        assert line.result[1] == pytest.approx(v["rho"] / 2 * (v["V"] / v["G"]) ** 2 * v["A"] / 1000)


def test_shaking_of_the_leading_direction(found: dict[str, list[Line]]) -> None:
    line = next(line for line in found["securing earthquake (LC3)"] if line.result[0] == "F_E")
    assert line.result[1] == pytest.approx(31.5 * 2.0 * np.hypot(1.0, 0.3))


def test_no_wind_line_without_a_wind_limit(run: Run, unit) -> None:  # type: ignore[no-untyped-def]
    bare = unit.model_copy(update={"wind_area_front_m2": 0.0, "wind_area_side_m2": 0.0, "lift_coefficient": 0.0})
    assert not [line for line in lines_of(run(unit=bare)) if line.result[0] == "F_w"]
