"""The earthquake demand as a Dataset: numbers by hand, sentences word for word, calculation lines."""

import math
from typing import Any

import numpy as np
import pytest
import typst
import xarray as xr

from shared.calculation import Line, lines_of
from transport.seismic.assess import assess
from transport.seismic.inputs import Seismic
from transport.seismic.wording import one_digit


def shaken(seismic: Seismic, road: xr.Dataset, **changes: Any) -> xr.Dataset:
    known: dict[str, Any] = {
        "horizontal_frequency_hz": 2.0,
        "vertical_frequency_hz": 2.0,
        "damping_ratio": 0.10,
        "exposure_h": 2.0,
    }
    return assess(seismic, road, **known | changes)


def test_deck_by_hand(seismic: Seismic, road: xr.Dataset) -> None:
    """Horizontal on the plateau: 1.2 x 1.2 x 1.2 x 2.5 x sqrt(10 / 15); vertical at 1 / 2.6 s: x TC / T."""
    data = shaken(seismic, road)
    eta = math.sqrt(10.0 / 15.0)
    assert data["deck_horizontal_mps2"].values == pytest.approx(np.full(3, 1.2**3 * 2.5 * eta))
    assert data["deck_vertical_mps2"].values == pytest.approx(np.full(3, 1.2 * 0.9 * 1.2 * 3.0 * eta * 0.15 * 2.6))
    assert float(data["ground_acceleration_mps2"]) == pytest.approx(1.2**3)
    assert data["deck_horizontal_mps2"].dims == ("station",)


def test_two_lines_never_one(seismic: Seismic, road: xr.Dataset) -> None:
    attributes = shaken(seismic, road).attrs
    assert attributes["level_sentence"] == (
        "Level checked: ground acceleration 1.20 m/s2 on rock (return period 95 years), chosen by C. Example, safety "
        "officer on 2026-02-20; hazard study of the site, invented."
    )
    assert attributes["chance_sentence"] == (
        "Probability that this level is exceeded while the load is on the road (2.0 h): 3 in 1 000 000; over the "
        "planned 20 moves: 5 in 100 000. It assumes independent earthquakes (Poisson) and none lately. A low "
        "probability is no reason to accept a loss that cannot be made good."
    )


def test_rules_for_stopping_and_going_on(seismic: Seismic, road: xr.Dataset) -> None:
    attributes = shaken(seismic, road).attrs
    assert "never by emergency braking" in attributes["stop_sentence"]
    assert "30 km from the source 3.6 s pass" in attributes["stop_sentence"]
    assert "the soft stop takes 4.6 s and 3.2 m." in attributes["stop_sentence"]
    assert "Chance of magnitude 5 or more during one drive after a magnitude 6: " in attributes["resume_sentence"]
    assert "2 in 100 a day later, 2 in 1 000 a week later." in attributes["resume_sentence"]


def test_chances_by_hand(seismic: Seismic, road: xr.Dataset) -> None:
    data = shaken(seismic, road)
    assert float(data["chance_per_move_ratio"]) == pytest.approx(2.402e-6, rel=1e-3)
    assert float(data["chance_planned_moves_ratio"]) == pytest.approx(20.0 * 2.402e-6, rel=1e-3)
    assert data["aftershock_chance_ratio"].values == pytest.approx(
        [2.52e-2, 1.309e-2, 4.27e-3, 1.74e-3, 3.66e-4], rel=5e-3
    )


def test_importance_raises_the_level_and_its_return_period(
    seismic_fields: dict[str, Any], seismic: Seismic, road: xr.Dataset
) -> None:
    raised = shaken(Seismic(**seismic_fields | {"importance_factor_ratio": 1.4}), road)
    usual = shaken(seismic, road)
    assert float(raised["return_period_years"]) == pytest.approx(95.0 * 1.4**3)
    assert raised["deck_horizontal_mps2"].values == pytest.approx(1.4 * usual["deck_horizontal_mps2"].values)


def test_unknown_frequency_takes_the_plateau(seismic: Seismic, road: xr.Dataset) -> None:
    unknown = shaken(seismic, road, horizontal_frequency_hz=float("nan"), vertical_frequency_hz=float("nan"))
    eta = math.sqrt(10.0 / 15.0)
    assert unknown["deck_vertical_mps2"].values == pytest.approx(np.full(3, 1.2 * 0.9 * 1.2 * 3.0 * eta))


def test_unknown_exposure_stays_unknown(seismic: Seismic, road: xr.Dataset) -> None:
    data = shaken(seismic, road, exposure_h=float("nan"))
    assert np.isnan(data["chance_per_move_ratio"])
    assert "(unknown time): unknown; over the planned 20 moves: unknown." in data.attrs["chance_sentence"]


def test_unknown_crossfall_and_speed_stay_unknown(seismic: Seismic, road: xr.Dataset) -> None:
    blind = road.assign(
        crossfall_ratio=("station", np.array([0.0, np.nan, 0.0])),
        speed_mps=("station", np.array([1.0, np.nan, 1.0])),
    )
    data = shaken(seismic, blind)
    assert np.isnan(data["grip_needed_ratio"].values).tolist() == [False, True, False]
    assert "the soft stop takes an unknown time." in data.attrs["stop_sentence"]


def test_grip_on_the_steepest_place(seismic: Seismic, road: xr.Dataset) -> None:
    """mu = tan(atan(0.1) + atan(a_h / (g - a_v))), also where the road falls."""
    data = shaken(seismic, road)
    across, up = float(data["deck_horizontal_mps2"][0]), float(data["deck_vertical_mps2"][0])
    expected = math.tan(math.atan(0.1) + math.atan(across / (9.80665 - up)))
    assert float(data["grip_needed_ratio"][1]) == pytest.approx(expected)
    assert float(data["grip_needed_ratio"].max()) == pytest.approx(expected)


def test_no_limit_on_the_gust(seismic: Seismic, road: xr.Dataset) -> None:
    assert "gust_limit_mps" not in shaken(seismic, road)


def test_lines_prove_themselves(seismic: Seismic, road: xr.Dataset) -> None:
    lines = {line.title: line for line in lines_of(shaken(seismic, road))}
    proof = next(line for title, line in lines.items() if title.startswith("Proof"))
    assert proof.result[1] == pytest.approx(1.2**3 * 2.5 * math.sqrt(10.0 / 15.0))
    assert {symbol: number for symbol, number, _, _ in proof.values}["a_r"] == pytest.approx(proof.result[1])


def printed(line: Line) -> dict[str, float]:
    return {symbol: number for symbol, number, _, _ in line.values} | {line.result[0]: line.result[1]}


def test_lines_of_the_aftershock_are_those_of_the_sentence(seismic: Seismic, road: xr.Dataset) -> None:
    data = shaken(seismic, road)
    lines = [line for line in lines_of(data) if "aftershock" in line.title]
    assert [printed(line)["t_1"] for line in lines] == [1.0, 7.0]
    told = [one_digit(line.result[1]) for line in lines]
    assert data.attrs["resume_sentence"].endswith(f"{told[0]} a day later, {told[1]} a week later.")


def test_no_two_lines_have_one_title_and_none_names_a_file(seismic: Seismic, road: xr.Dataset) -> None:
    lines = lines_of(shaken(seismic, road))
    titles = [(line.check, line.title) for line in lines]
    assert len(set(titles)) == len(titles)
    assert not [line.title for line in lines if ".csv" in " ".join([line.source, *(value[3] for value in line.values)])]


@pytest.mark.parametrize("frequency", [0.5, 2.0, 12.0, 40.0])
def test_deck_lines_by_hand(seismic: Seismic, road: xr.Dataset, frequency: float) -> None:
    data = shaken(seismic, road, horizontal_frequency_hz=frequency, vertical_frequency_hz=frequency)
    damping, across, up, _, way = (printed(line) for line in lines_of(data) if line.check == "earthquake deck")
    assert damping["eta"] == pytest.approx(max(math.sqrt(10.0 / (5.0 + damping["xi"])), damping["eta_0"]))
    for one in (across, up):
        least, most = 1.0 / (frequency * (1.0 + one["b"])), 1.0 / (frequency * (1.0 - one["b"]))
        assert one["T"] == pytest.approx(max(least, min(one["T_B"], most)))
    assert way["T"] == pytest.approx(1.0 / (way["f"] * (1.0 - way["b"])))
    assert way["S_D"] == pytest.approx(way["S_e"] * (way["T"] / (2.0 * math.pi)) ** 2)
    assert way["d_g"] == pytest.approx(way["k"] * way["a"] * way["T_C"] * way["T_D"])


@pytest.mark.parametrize("frequency", [0.5, 2.0, 12.0, 40.0, float("nan")])
def test_formulas_can_be_typeset(seismic: Seismic, road: xr.Dataset, frequency: float) -> None:
    data = shaken(seismic, road, horizontal_frequency_hz=frequency, vertical_frequency_hz=frequency)
    lines = lines_of(data)
    symbols = [value[0] for line in lines for value in line.values] + [line.result[0] for line in lines]
    text = "\n\n".join(f"$ {formula} $" for formula in [*(line.formula for line in lines), *symbols])
    assert typst.compile(text.encode("utf-8"), format="pdf")
