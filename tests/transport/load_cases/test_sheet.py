"""Lines at the governing station: worked again from the numbers that they print."""

import re
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


LC1, LC2, LC3, LC4 = (
    "securing statutory (LC1)",
    "securing operation (LC2)",
    "securing earthquake (LC3)",
    "securing one part lost (LC4)",
)


def of(lines: list[Line], symbol: str) -> Line:
    return next(line for line in lines if line.result[0] == symbol)


def test_every_case_has_pushes_resistances_movement_and_balance(found: dict[str, list[Line]]) -> None:
    balance = ["R", "R", "R", "M", "M", "M", "u", "k"]
    for name, pushes in (
        (LC2, ["F_x", "F_y", "N"]),
        (LC3, ["F_x", "F_y", "F_E", "H_x", "N"]),
        (LC4, ["F_x", "F_y", "N"]),
    ):
        symbols = [line.result[0] for line in found[name]]
        assert symbols[: len(pushes)] == pushes
        assert {"R_S", "R_T", "u"} <= set(symbols)
        start = symbols.index("R")
        assert symbols[start : start + 8] == balance
    assert [line.result[0] for line in found[LC1]][-8:] == balance


def test_pushes_of_operation(found: dict[str, list[Line]]) -> None:
    ahead, left, carried = found[LC2][:3]
    v = values(ahead)
    assert ahead.result[1] == pytest.approx(v["m"] * (v["a"] - v["g"] * np.sin(np.deg2rad(v["theta"]))))
    assert (v["m_0"], v["m_1"], v["m"]) == (31.0, 0.5, 31.5)
    v = values(left)
    aside = v["g"] * np.cos(np.deg2rad(v["theta"])) * np.sin(np.deg2rad(v["phi"]))
    assert left.result[1] == pytest.approx(-v["m"] * (aside + v["v"] ** 2 * v["kappa"]))
    v = values(carried)
    assert (v["m"], v["a_z"]) == (30.5, 0.8)
    assert carried.result[1] == pytest.approx(
        v["m"] * (v["g"] * np.cos(np.deg2rad(v["theta"])) * np.cos(np.deg2rad(v["phi"])) - v["a_z"])
    )


def test_pushes_of_the_earthquake(found: dict[str, list[Line]]) -> None:
    """100/30/30: one horizontal component in full, 0.3 of the other and of the vertical one, in the worst direction."""
    ahead, left, shaken, both, carried, *_ = found[LC3]
    v = values(shaken)
    assert v["k"] * 31.5 * 2.0 * np.hypot(1.0, 0.3) == pytest.approx(shaken.result[1])
    assert 1.0 <= v["k"] <= np.sqrt(1.0 + np.sin(np.deg2rad(9.0)))
    angle = np.deg2rad(values(both)["psi"])
    pushed = ahead.result[1] + shaken.result[1] * np.cos(angle), left.result[1] + shaken.result[1] * np.sin(angle)
    assert pushed == pytest.approx((both.result[1], values(both)["H_y"]))
    use = values(of(found[LC3], "u"))
    assert (use["F_x"], use["F_y"]) == pytest.approx(pushed)
    v = values(carried)
    assert (v["q"], v["a_v"]) == (0.3, pytest.approx(0.9))
    assert v["N_d"] == pytest.approx(31.5 * (9.81 + 0.3 * 0.9))
    assert values(of(found[LC3], "R_S"))["N"] == pytest.approx(carried.result[1])


@pytest.mark.parametrize("case", [LC2, LC3, LC4])
def test_resistance_and_use(found: dict[str, list[Line]], case: str) -> None:
    lines = [line for line in found[case] if line.title.startswith(("Resistance", "Use"))]
    v = values(of(lines, "u"))
    delta, psi = np.deg2rad(v["Delta"]), np.deg2rad(v["psi"])
    use = v["H"] / np.sin(delta) * (np.sin(delta - psi) / v["R_1"] + np.sin(psi) / v["R_2"])
    assert of(lines, "u").result[1] == pytest.approx(use)
    for line in lines[:-1]:
        assert v["R"] <= line.result[1] * (1 + 1e-9)


@pytest.mark.parametrize("case", [LC2, LC3])
def test_the_elastic_share_is_that_of_the_model(found: dict[str, list[Line]], case: str) -> None:
    """The line shows the weakest direction between, as the model does: it gives the same number."""
    shared = of(found[case], "R_E").result[1]
    words = of(found[case], "u").values[-1][3]
    assert f"elastic share {shared:.4g} kN" in words


def test_stops_and_direct_chains_are_never_in_one_sum(run: Run, contacts) -> None:  # type: ignore[no-untyped-def]
    """Where the stop holds the sheet says so; without stops the chains do."""
    pads = [contact for contact in contacts if contact.kind == "pad"]
    for result, name, way in ((run(), LC4, "stops"), (run(contacts=pads), LC2, "chains")):
        assert result["held_by"].sel(limit_state=name) == way
        case = [line for line in lines_of(result) if line.check == name]
        line = of(case, "R_S")
        told = "by the stops; direct chains are not counted" if way == "stops" else "chains full; stops are not counted"
        assert told in line.title
        symbols = {symbol[:2] for symbol in values(line)}
        assert ("B_" in symbols, "T_" in symbols) == ((True, False) if way == "stops" else (False, True))
        friction = next(words for symbol, _, _, words in line.values if symbol == "mu")
        assert friction.endswith(", published for dry surfaces only: confirm that they are dry")


def test_the_resultant_is_that_of_the_pushes(found: dict[str, list[Line]]) -> None:
    for case in (LC2, LC4):
        ahead, left, *_ = found[case]
        assert values(of(found[case], "u"))["H"] == pytest.approx(np.hypot(ahead.result[1], left.result[1]))


def test_the_lost_chain_is_named(found: dict[str, list[Line]], run: Run) -> None:
    lost = str(run()["lost_member"].sel(limit_state=LC4).values)
    assert f"{lost} lost" in of(found[LC4], "R_S").title


def test_wind_force_at_the_limit(found: dict[str, list[Line]]) -> None:
    for case, slower in (("securing operation (LC2)", 1.0), ("securing earthquake (LC3)", 1.4)):
        line = next(line for line in found[case] if line.result[0] == "F_w")
        v = values(line)
        assert v["G"] == slower
        assert line.result[1] == pytest.approx(v["rho"] / 2 * (v["V"] / v["G"]) ** 2 * v["A"] / 1000)


def test_components_and_moments_of_the_wind(found: dict[str, list[Line]]) -> None:
    """Wind centre 0.4 m above the centre of mass, tolerance 0.05 m, its corner to the side."""
    whole, ahead, turning = (of(found[LC2], symbol) for symbol in ("F_w", "W_x", "M_x"))
    v, reach = values(ahead), 0.05 * np.sqrt(2.0)
    assert np.hypot(ahead.result[1], v["W_y"]) == pytest.approx(whole.result[1])
    assert v["W_z"] == pytest.approx(v["q"] * 0.5 * 28.3)
    assert turning.result[1] == pytest.approx(0.45 * abs(v["W_y"]) + reach * v["W_z"])
    assert values(turning)["M_z"] == pytest.approx(reach * (abs(v["W_y"]) + abs(ahead.result[1])))


def test_no_wind_line_without_a_wind_limit(run: Run, unit) -> None:  # type: ignore[no-untyped-def]
    bare = unit.model_copy(update={"wind_area_front_m2": 0.0, "wind_area_side_m2": 0.0, "lift_coefficient": 0.0})
    assert not [line for line in lines_of(run(unit=bare)) if line.result[0] == "F_w"]


def test_the_use_line_says_what_is_solved_and_what_is_cut(found: dict[str, list[Line]]) -> None:
    """Equilibrium and elastic chains have no closed form; between vertical factors the models run straight."""
    for case in (LC2, LC3, LC4):
        line = of(found[case], "u")
        told = {symbol: words for symbol, _, _, words in line.values}
        assert line.status == "practice"
        assert "convex" not in line.source
        assert "between vertical factors the models run straight" in told["R"]
        model = min(re.findall(r"([A-Za-z][\w\- ]*?) ([\d.]+) kN", told["R"]), key=lambda pair: float(pair[1]))[0]
        assert ("no closed form" in told["R"]) == (model.strip() in {"equilibrium", "elastic chains"})
        for symbol in ("R_1", "R_2"):
            if "least of the models, R" in told[symbol]:
                assert values(line)[symbol] == pytest.approx(values(line)["R"], rel=2e-3)


def test_plain_mechanics_is_not_a_document_that_was_read(found: dict[str, list[Line]]) -> None:
    for lines in found.values():
        assert not [line.title for line in lines if line.status == "read" and "CFR" not in line.source]
