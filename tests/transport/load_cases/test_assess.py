"""The four load cases on a road: limits, laws, unknowns."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
import xarray as xr
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from shared.calculation import lines_of
from shared.errors import InputError
from transport.load_cases import accidental, earthquake, operation, statutory
from transport.securing.inputs import Chain, Contact, Securing, Unit

Run = Callable[..., xr.Dataset]
NAMES = [statutory.NAME, operation.NAME, earthquake.NAME, accidental.NAME]
FEW = settings(
    max_examples=3,
    deadline=None,
    phases=[Phase.explicit, Phase.reuse, Phase.generate],
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)


def limits(result: xr.Dataset) -> np.ndarray:
    return np.asarray(result["gust_limit_mps"].values)


def never_higher(result: xr.Dataset, other: xr.Dataset) -> bool:
    """Whether the first never allows more wind and never uses less, up to the last digits."""
    gusts = limits(result) <= limits(other) * (1.0 + 1e-7)
    return bool(gusts.all() and (result["utilisation_ratio"] >= other["utilisation_ratio"] - 1e-6).all())


def test_shape_names_and_attributes(run: Run, road: xr.Dataset) -> None:
    result = run()
    assert result["gust_limit_mps"].dims == ("limit_state", "station", "wind_from")
    assert list(result["limit_state"].values) == NAMES
    assert result["gust_limit_mps"].shape == (4, road.sizes["station"], 24)
    assert result["gust_limit_mps"].attrs["units"] == "m s-1"
    assert result["chain_tension_kN"].dims == ("limit_state", "chain")
    assert result["resistance_ratio"].dims == ("model", "direction")
    assert all(result["clause"].values)
    assert all(result["remedy"].values)
    assert not np.isnan(limits(result)).any()
    assert np.isfinite(limits(result)[1:]).any()


def test_statutory_has_no_wind(run: Run) -> None:
    assert set(np.unique(limits(run())[0])) <= {0.0, np.inf}


def test_one_gust_limit_by_hand(run: Run, unit: Unit) -> None:
    """LC2 with wind from straight ahead on level road in the north: start + wind against what is held backward."""
    level = xr.Dataset(
        {
            name: ("station", np.zeros(1))
            for name in ("grade_ratio", "crossfall_ratio", "curvature_per_m", "curvature_se_per_m", "heading_deg")
        }
        | {"speed_mps": ("station", np.ones(1))},
        coords={"station": [0.0]},
    )
    still = {
        name: np.zeros(1)
        for name in ("deceleration_mps2", "start_mps2", "vertical_mps2", "deck_pitch_deg", "deck_roll_deg")
    }
    shake = {name: np.zeros(1) for name in ("seismic_horizontal_mps2", "seismic_vertical_mps2")}
    result = run(road=level, unit=unit.model_copy(update={"wind_area_front_m2": 150.0}), **still, **shake)
    gust = float(result["gust_limit_mps"].sel(limit_state=operation.NAME, wind_from=0.0)[0])
    q_kPa = 0.5 * 1.25 * gust**2 / 1000.0
    vertical = (30.5 * 9.81 - q_kPa * 0.5 * 28.3) / 304.11
    held = result["usable_resistance_kN"].sel(direction=180.0)  # along the axis nothing is cut off
    moment = result["moment_resistance_kNm"]
    nodes = held["vertical_factor"].values
    halves = np.sort([*nodes, *((nodes[1:] + nodes[:-1]) / 2.0)])
    straight = [np.interp(halves, nodes, v) for v in (held.values, *moment.values.T)]
    held_kN, m_x, m_y, m_z = (1.0 / np.interp(vertical, halves, 1.0 / v) for v in straight)
    arms = np.array([0.0, 0.0, 0.4]) + 0.05 * np.array([2**0.5, 2**0.5, 1.0])
    drag, lift = q_kPa * 1.2 * 150.0, q_kPa * 0.5 * 28.3
    use = drag / held_kN + arms[1] * lift / m_x + (arms[2] * drag + arms[0] * lift) / m_y + arms[1] * drag / m_z
    assert use == pytest.approx(1.0, abs=1e-9)


def test_accident_is_judged_with_whole_lc_and_one_chain_less(run: Run, securing: Securing) -> None:
    """With the divisor 1 in both, losing a chain never helps."""
    result = run(securing=securing.model_copy(update={"capacity_divisor": 1.0}))
    assert (limits(result)[3] <= limits(result)[1]).all()
    assert (result["utilisation_ratio"][3] >= result["utilisation_ratio"][1]).all()


@FEW
@given(chain=st.integers(0, 7), factor=st.floats(0.2, 0.99))
def test_a_weaker_chain_never_raises_a_limit(run: Run, chains: list[Chain], chain: int, factor: float) -> None:
    weaker = list(chains)
    weaker[chain] = chains[chain].model_copy(update={"lc_kN": 160.0 * factor})
    assert never_higher(run(chains=weaker), run())


@FEW
@given(factor=st.floats(0.3, 0.99))
def test_lower_friction_never_raises_a_limit(run: Run, contacts: list[Contact], factor: float) -> None:
    slippery = [c.model_copy(update={"friction_ratio": c.friction_ratio * factor}) for c in contacts]
    assert never_higher(run(contacts=slippery), run())


@FEW
@given(more=st.floats(0.1, 6.0))
def test_more_doubt_about_the_mass_never_raises_a_limit(run: Run, unit: Unit, more: float) -> None:
    assert never_higher(run(unit=unit.model_copy(update={"mass_tolerance_t": 0.5 + more})), run())


@FEW
@given(more=st.floats(0.1, 30.0))
def test_more_mass_never_uses_less_in_still_air(run: Run, unit: Unit, more: float) -> None:
    """Against wind alone a heavier unit stands better, so the law holds for the use in still air."""
    heavier = run(unit=unit.model_copy(update={"mass_t": 31.0 + more}))["utilisation_ratio"]
    assert (heavier >= run()["utilisation_ratio"] - 1e-6).all()


@FEW
@given(
    name=st.sampled_from(
        [
            "deceleration_mps2",
            "start_mps2",
            "vertical_mps2",
            "seismic_horizontal_mps2",
            "seismic_vertical_mps2",
            "deck_roll_deg",
        ]
    ),
    more=st.floats(0.05, 1.0),
)
def test_harder_driving_shaking_and_steeper_deck_never_raise_a_limit(run: Run, name: str, more: float) -> None:
    base = {"deceleration_mps2": 1.5, "start_mps2": 0.3, "vertical_mps2": 0.8, "deck_roll_deg": 1.0}
    base |= {"seismic_horizontal_mps2": 2.0, "seismic_vertical_mps2": 0.9}
    worse, same = (run(**{name: np.full(6, base[name] + extra)}) for extra in (more, 0.0))
    assert never_higher(worse, same)


@FEW
@given(more=st.floats(0.5, 4.0))
def test_a_deck_that_may_pitch_further_never_raises_a_limit(run: Run, road: xr.Dataset, more: float) -> None:
    grade = np.rad2deg(np.arctan(road["grade_ratio"].values))
    wide, narrow = (run(deck_pitch_deg=np.stack([grade - reach, grade + reach])) for reach in (1.0 + more, 1.0))
    assert never_higher(wide, narrow)


@FEW
@given(factor=st.floats(1.05, 3.0), name=st.sampled_from(["wind_area_side_m2", "wind_area_front_m2", "plan_area_m2"]))
def test_more_area_and_denser_air_never_raise_a_limit(run: Run, unit: Unit, factor: float, name: str) -> None:
    larger = unit.model_copy(update={name: getattr(unit, name) * factor})
    assert never_higher(run(unit=larger), run())
    assert never_higher(run(air_density_kg_per_m3=1.25 * factor), run())


@pytest.mark.parametrize("centre_m", [(0.0, 0.0, 2.6), (0.8, 0.0, 1.6), (0.0, 0.5, 1.6)])
def test_a_wind_centre_further_off_never_raises_a_limit(
    run: Run, unit: Unit, centre_m: tuple[float, float, float]
) -> None:
    further = run(unit=unit.model_copy(update={"wind_centre_m": centre_m}))
    assert never_higher(further, run())
    assert (limits(further)[1] < limits(run())[1] - 0.1).any()


@FEW
@given(turn=st.integers(0, 23))
def test_a_turned_road_with_turned_wind_has_the_same_limits(run: Run, road: xr.Dataset, turn: int) -> None:
    turned = road.assign(heading_deg=(road["heading_deg"] + 15.0 * turn) % 360.0)
    assert np.roll(limits(run(road=turned)), -turn, axis=2) == pytest.approx(limits(run()), abs=0.01)


def test_left_and_right_are_mirrored(run: Run, chains: list[Chain], road: xr.Dataset) -> None:
    """A lopsided securing on a road, against its mirror image on the mirrored road with mirrored wind."""
    lopsided = [c for c in chains if c.tag != "C6"]
    other = [
        c.model_copy(
            update={
                name: (getattr(c, name)[0], -getattr(c, name)[1], getattr(c, name)[2])
                for name in ("on_load_m", "on_deck_m")
            }
        )
        for c in lopsided
    ]
    mirrored = road.assign(
        heading_deg=-road["heading_deg"] % 360.0,
        crossfall_ratio=-road["crossfall_ratio"],
        curvature_per_m=-road["curvature_per_m"],
    )
    here, there = run(chains=lopsided), run(chains=other, road=mirrored)
    assert limits(there)[:, :, (-np.arange(24)) % 24] == pytest.approx(limits(here), abs=0.01)
    assert there["utilisation_ratio"].values == pytest.approx(here["utilisation_ratio"].values, rel=1e-6)


@pytest.mark.parametrize(
    "name", ["grade_ratio", "crossfall_ratio", "curvature_per_m", "curvature_se_per_m", "speed_mps", "heading_deg"]
)
def test_an_unknown_road_gives_unknown_limits_there_and_nowhere_else(run: Run, road: xr.Dataset, name: str) -> None:
    holed = road.copy(deep=True)
    holed[name][3] = np.nan
    unknown = np.isnan(limits(run(road=holed)))
    assert unknown[1:, 3].all()
    assert not np.delete(unknown, 3, axis=1).any()
    assert not unknown[0].any()


@pytest.mark.parametrize(
    ("name", "cases"),
    [
        ("deck_pitch_deg", (1, 2, 3)),
        ("deck_roll_deg", (1, 2, 3)),
        ("deceleration_mps2", (1, 3)),
        ("start_mps2", (1, 3)),
        ("vertical_mps2", (1, 3)),
        ("seismic_horizontal_mps2", (2,)),
        ("seismic_vertical_mps2", (2,)),
    ],
)
def test_an_unknown_action_gives_unknown_limits(run: Run, name: str, cases: tuple[int, ...]) -> None:
    holed = np.ones(6)
    holed[3] = np.nan
    unknown = np.isnan(limits(run(**{name: holed})))
    assert unknown[list(cases), 3].all()
    assert not np.delete(unknown, 3, axis=1).any()


def test_unknown_air_and_wind_direction_give_unknown_limits(run: Run) -> None:
    assert np.isnan(limits(run(air_density_kg_per_m3=np.nan))[1:]).all()
    wind = np.arange(0.0, 360.0, 15.0)
    wind[5] = np.nan
    unknown = np.isnan(limits(run(wind_from_deg=wind)))
    assert unknown[1:, :, 5].all()
    assert not np.delete(unknown, 5, axis=2).any()


def test_a_road_unknown_all_along_has_no_governing_station(run: Run, road: xr.Dataset) -> None:
    result = run(road=road.assign(grade_ratio=road["grade_ratio"] * np.nan))
    assert np.isnan(limits(result)[1:]).all()
    assert np.isnan(result["governing_station_of_state_m"].values[1:]).all()
    assert result["governing_model"].values[1:].tolist() == ["unknown"] * 3
    assert np.isnan(result["chain_tension_kN"].values[1:]).all()
    assert {line.check for line in lines_of(result)} == {statutory.NAME}


def test_too_strong_an_earthquake_closes_the_road(run: Run) -> None:
    result = run(seismic_horizontal_mps2=np.full(6, 9.0))
    assert (limits(result)[2] == 0.0).all()
    assert (result["utilisation_ratio"][2] > 1.0).all()


def test_the_tallest_case_of_lift_does_not_break(run: Run) -> None:
    result = run(seismic_vertical_mps2=np.full(6, 9.7))
    assert (limits(result)[2] == 0.0).all()


def test_united_states(run: Run, chains: list[Chain]) -> None:
    """Working load limit half of LC: 8 chains of 8155 kg and half a load of 15.75 t; four tiedowns at least."""
    code = Securing(code="49 CFR 393", unit_length_m=5.0)
    result = run(securing=code)
    counted = {line.clause: line.result[1] for line in lines_of(result) if line.title.startswith("Counting rule")}
    each_kg = 80.0 / 9.81 * 1000.0
    assert result.attrs["capacity_divisor"] == 1.5
    assert counted["393.106(d)"] == pytest.approx(15_750 / (8 * each_kg / 2))
    assert counted["393.110, 393.130"] == pytest.approx(0.5)
    few = run(securing=code, chains=chains[2:5])
    assert (limits(few)[0] == 0.0).all()
    assert "49 CFR 393" in str(result["clause"].values[0])


@pytest.mark.parametrize("tag", ["C1", "C4", "C6", "C7"])
def test_a_chain_less_never_raises_a_limit(run: Run, chains: list[Chain], tag: str) -> None:
    assert never_higher(run(chains=[chain for chain in chains if chain.tag != tag]), run())


def test_tables_that_do_not_fit_are_refused(run: Run, chains: list[Chain]) -> None:
    with pytest.raises(InputError) as refusal:
        run(chains=[chains[0], chains[0].model_copy(update={"on_deck_m": (1.0, 0.5, 0.0)})])
    assert str(refusal.value) == (
        "chain[1].tag: 'C1' stands twice; give each chain its own tag\n"
        "chain[1].on_deck_m: the anchor of 'C1' lies under the unit, inside the outline of its pads; give the anchor "
        "on the deck beside it"
    )


def test_inputs_are_not_changed(run: Run, road: xr.Dataset) -> None:
    before = road.copy(deep=True)
    actions: dict[str, Any] = {"deceleration_mps2": np.full(6, 1.5), "seismic_horizontal_mps2": np.full(6, 2.0)}
    run(**actions)
    xr.testing.assert_identical(road, before)
    assert (actions["deceleration_mps2"] == 1.5).all()


def test_the_error_of_the_envelope_is_told(run: Run) -> None:
    assert 0.0 < float(run()["envelope_error_ratio"]) < 0.5
