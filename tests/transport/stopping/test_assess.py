"""Laws of the stopping checks: what is worse never opens a closed road, what is unknown stays unknown."""

import itertools
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
import xarray as xr
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shared.calculation import lines_of
from shared.units import STANDARD_GRAVITY_MPS2
from transport.stopping.inputs import Tractor

HOLDING, TRACTION, DISTANCE, MIRROR, PARKING, RIDE = STATES = (
    "holding speed without brakes",
    "climbing traction",
    "stopping distance",
    "mirror acceleration",
    "parking on the grade",
    "ride",
)
TractorOf = Callable[..., Tractor]
RoadOf = Callable[..., xr.Dataset]
StopOf = Callable[..., xr.Dataset]
LAW = settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
LINES_M = tuple(-5.25 + 1.5 * n for n in range(8))


def used(stop: xr.Dataset, state: str) -> np.ndarray:
    return np.asarray(stop["utilisation_ratio"].sel(limit_state=state).values)


def limit(stop: xr.Dataset, state: str) -> np.ndarray:
    return np.asarray(stop["gust_limit_mps"].sel(limit_state=state).values)


def never_easier(before: xr.Dataset, after: xr.Dataset) -> None:
    for state in STATES:
        assert np.all(used(after, state) >= used(before, state) * (1.0 - 1e-9)), state
        assert np.all(limit(after, state) <= limit(before, state)), state


@LAW
@given(
    grade=st.floats(0.0, 0.2), steeper=st.floats(0.0, 0.2), sense=st.sampled_from([1.0, -1.0]), se=st.floats(0.0, 0.02)
)
def test_a_steeper_road_is_never_easier(
    road_of: RoadOf, stop_of: StopOf, grade: float, steeper: float, sense: float, se: float
) -> None:
    roads = [road_of(1, grade_ratio=sense * value, grade_se_ratio=se) for value in (grade, grade + steeper)]
    never_easier(stop_of(road=roads[0]), stop_of(road=roads[1]))


@LAW
@given(speed=st.floats(0.2, 2.5), faster=st.floats(0.0, 2.0), grade=st.floats(-0.15, 0.15), many=st.booleans())
def test_faster_is_never_easier(
    road_of: RoadOf, stop_of: StopOf, speed: float, faster: float, grade: float, many: bool
) -> None:
    lines_m = LINES_M if many else ()
    runs = [
        stop_of(road=road_of(1, speed_mps=value, grade_ratio=grade), axle_line_x_m=lines_m)
        for value in (speed, speed + faster)
    ]
    never_easier(*runs)


@LAW
@given(mass=st.floats(5.0, 80.0), more=st.floats(0.0, 80.0), grade=st.floats(-0.15, 0.15))
def test_heavier_is_never_easier(road_of: RoadOf, stop_of: StopOf, mass: float, more: float, grade: float) -> None:
    road = road_of(1, grade_ratio=grade)
    for name in ("unit_mass_t", "trailer_mass_t"):
        never_easier(stop_of(road=road, **{name: mass}), stop_of(road=road, **{name: mass + more}))


@pytest.mark.parametrize("lines_m", [(), LINES_M])
def test_a_rougher_class_is_never_easier(road_of: RoadOf, stop_of: StopOf, lines_m: tuple[float, ...]) -> None:
    runs = [stop_of(road=road_of(1, roughness_class=name), axle_line_x_m=lines_m) for name in "ABCDEFGH"]
    for before, after in itertools.pairwise(runs):
        never_easier(before, after)
        np.testing.assert_allclose(used(after, RIDE), 2.0 * used(before, RIDE))  # one class is a factor 2


@pytest.mark.parametrize("grade", [-0.1, 0.0, 0.1])
@pytest.mark.parametrize("worse", [("asphalt", "gravel"), ("gravel", "loose gravel")])
def test_a_looser_surface_never_makes_the_climb_easier(
    road_of: RoadOf, stop_of: StopOf, grade: float, worse: tuple[str, str]
) -> None:
    """Rolling resistance does help on the way down: only the climb must not profit."""
    before, after = (stop_of(road=road_of(1, grade_ratio=grade, surface=name)) for name in worse)
    assert np.all(used(after, TRACTION) >= used(before, TRACTION))


WORSE_TRACTORS = {
    "weaker retarder": ("retarding_force_kN", 200.0, 20.0),
    "retarder of less power": ("retarding_power_kW", 300.0, 20.0),
    "retarder without power": ("retarding_power_kW", 300.0, 0.0),
    "weaker engine": ("tractive_force_kN", 300.0, 60.0),
    "less driven mass": ("driven_mass_t", 30.0, 10.0),
    "slower reaction": ("reaction_time_s", 1.0, 5.0),
    "slower brake": ("brake_build_up_s", 0.3, 3.0),
    "weaker brake": ("brake_ratio", 0.3, 0.05),
    "harder emergency stop": ("emergency_ramp_s", 2.0, 0.05),
    "harder start": ("start_acceleration_mps2", 0.1, 3.0),
    "weaker parking brake": ("parking_grade_ratio", 0.2, 0.02),
    "wet road": ("road_state", "dry", "wet"),
}


@pytest.mark.parametrize("grade", [-0.12, 0.0, 0.12])
@pytest.mark.parametrize("case", WORSE_TRACTORS)
def test_a_worse_tractor_is_never_easier(
    tractor_of: TractorOf, road_of: RoadOf, stop_of: StopOf, case: str, grade: float
) -> None:
    name, good, bad = WORSE_TRACTORS[case]
    road = road_of(1, grade_ratio=grade)
    never_easier(stop_of(tractor_of(**{name: good}), road), stop_of(tractor_of(**{name: bad}), road))


@pytest.mark.parametrize("name", ["allowed_longitudinal_mps2", "allowed_vertical_mps2", "damping_ratio"])
def test_a_more_delicate_load_is_never_easier(stop_of: StopOf, name: str) -> None:
    good, bad = {"damping_ratio": (0.3, 0.02)}.get(name, (5.0, 0.5))
    never_easier(stop_of(**{name: good}), stop_of(**{name: bad}))


UNKNOWN = [
    ("grade_ratio", np.nan, (HOLDING, TRACTION, DISTANCE, MIRROR, PARKING)),
    ("grade_se_ratio", np.nan, (HOLDING, TRACTION, DISTANCE, MIRROR, PARKING)),
    ("speed_mps", np.nan, (HOLDING, DISTANCE, MIRROR, RIDE)),
    ("surface", "", (HOLDING, TRACTION, DISTANCE, MIRROR, PARKING)),
    ("surface", "lava", (HOLDING, TRACTION, DISTANCE, MIRROR, PARKING)),
    ("roughness_class", "", (RIDE,)),
]


@pytest.mark.parametrize(("name", "value", "states"), UNKNOWN)
@pytest.mark.parametrize("lines_m", [(), LINES_M])
@pytest.mark.parametrize("grade", [-0.3, 0.02])
def test_what_is_unknown_is_neither_open_nor_closed(
    road_of: RoadOf,
    stop_of: StopOf,
    name: str,
    value: Any,
    states: tuple[str, ...],
    lines_m: tuple[float, ...],
    grade: float,
) -> None:
    values: dict[str, Any] = {"grade_ratio": grade, "surface": "loose gravel", "roughness_class": "B"}
    known = road_of(3, **values)
    column = known[name].values.astype(object)
    column[1] = value
    road = known.assign({name: ("station", column.astype(str) if isinstance(value, str) else column.astype(float))})
    stop = stop_of(road=road, axle_line_x_m=lines_m)
    for state in states:
        assert np.all(np.isnan(limit(stop, state)[1])), state
        assert np.isnan(used(stop, state)[1]), state
    for state in STATES:
        assert not np.any(np.isnan(limit(stop, state)[[0, 2]])), state


def test_the_wind_has_no_say(stop_of: StopOf) -> None:
    values = stop_of()["gust_limit_mps"].values
    assert np.all((values == values[:, :, :1]) & (np.isinf(values) | (values == 0.0)))


def test_downhill_stop_and_gravity_act_the_same_way(road_of: RoadOf, stop_of: StopOf) -> None:
    """1 m/s2 on -12 %: 1 + 9.80665 sin(atan 0.12) = 2.168 m/s2, that is 0.221 g; a long ramp adds nearly nothing."""
    down = stop_of(road=road_of(1, grade_ratio=-0.12, grade_se_ratio=0.0), horizontal_frequency_hz=1000.0)
    growth = 1.0 + 1.0 / (np.pi * 1000.0 * 0.5)
    pull = STANDARD_GRAVITY_MPS2 * np.sin(np.arctan(0.12))
    assert float(down["emergency_deceleration_mps2"][0]) == pytest.approx(0.8 * growth)
    assert float(down["longitudinal_acceleration_mps2"][0]) == pytest.approx(0.8 * growth + pull)
    assert 1.0 + pull == pytest.approx(0.221 * STANDARD_GRAVITY_MPS2, abs=0.002)


def test_level_stop_has_no_gravity_in_it(road_of: RoadOf, stop_of: StopOf) -> None:
    level = stop_of(road=road_of(1, grade_se_ratio=0.0))
    np.testing.assert_allclose(level["longitudinal_acceleration_mps2"], level["emergency_deceleration_mps2"])


def test_coasting_only_slows(road_of: RoadOf, stop_of: StopOf) -> None:
    """g (sin + C cos) on +12 % gravel, ramp of one period: bound 1 + 1 / pi; level ground leaves the rolling part."""
    stop = stop_of(road=road_of(2, grade_ratio=[0.12, 0.0], grade_se_ratio=0.0))
    found = stop["coasting_deceleration_mps2"].values / (1.0 + 1.0 / np.pi)
    pull = STANDARD_GRAVITY_MPS2 * (0.12 + 0.03) / np.hypot(1.0, 0.12)
    np.testing.assert_allclose(found, [pull, 0.03 * STANDARD_GRAVITY_MPS2])


def test_all_is_held_on_a_gentle_road(road_of: RoadOf, stop_of: StopOf) -> None:
    stop = stop_of(road=road_of(3, grade_ratio=[0.02, 0.0, -0.02]))
    assert np.all(np.isinf(stop["gust_limit_mps"].values))
    assert np.all(stop["utilisation_ratio"].values <= 1.0)


def test_no_brake_for_the_grade_does_not_stop(tractor_of: TractorOf, road_of: RoadOf, stop_of: StopOf) -> None:
    stop = stop_of(tractor_of(brake_ratio=0.1), road_of(1, grade_ratio=-0.12))
    assert np.isinf(float(stop["stopping_distance_m"][0]))
    assert np.all(limit(stop, DISTANCE) == 0.0)


def test_emergency_braking_counts_no_more_than_was_measured(road_of: RoadOf, stop_of: StopOf) -> None:
    """Level, z = 0.2 would give 2 m/s2; the train was measured at 0.8: 1.3889 x 2.25 + 1.3889^2 / 1.6 = 4.331 m."""
    stop = stop_of(road=road_of(1, grade_se_ratio=0.0))
    assert float(stop["stopping_distance_m"][0]) == pytest.approx(4.331, abs=0.001)


def test_steepest_grade_held_is_the_limit_of_holding(tractor_of: TractorOf, road_of: RoadOf, stop_of: StopOf) -> None:
    for changes in ({}, {"retarding_force_kN": 60.0}, {"retarding_power_kW": 50.0}, {"driven_mass_t": 10.0}):
        tractor = tractor_of(**changes)
        steepest = float(stop_of(tractor, road_of(1))["steepest_held_ratio"][0])
        for share, expected in ((0.999, np.inf), (1.001, 0.0)):
            road = road_of(1, grade_ratio=-share * steepest, grade_se_ratio=0.0)
            assert np.all(limit(stop_of(tractor, road), HOLDING) == expected), changes


def test_known_axle_lines_smooth_the_ride(stop_of: StopOf) -> None:
    wheel, platform = (stop_of(axle_line_x_m=lines_m) for lines_m in ((), LINES_M))
    assert np.all(used(platform, RIDE) < 0.5 * used(wheel, RIDE))
    assert float(platform["bump_speed_mps"]) > float(wheel["bump_speed_mps"])


def test_brakes_that_hold_a_descent_get_hot(road_of: RoadOf, stop_of: StopOf) -> None:
    """98 t, -12 % over 100 m, gravel 0.012: m g (0.12 - 0.012) 100 = 10.38 MJ; 1.8 t of iron: 11.5 K."""
    stop = stop_of(road=road_of(21, grade_ratio=-0.12))
    assert float(stop["descent_energy_MJ"]) == pytest.approx(10.379, abs=0.001)
    assert float(stop["brake_temperature_rise_K"]) == pytest.approx(11.53, abs=0.01)


def test_a_climb_leaves_less_for_a_start(tractor_of: TractorOf, road_of: RoadOf, stop_of: StopOf) -> None:
    """12 % gravel: wheels 0.55 x 30 t, climb 98 t (0.12 + 0.03): 1.8 g cos / 98 = 0.179 m/s2; steeper, none."""
    road = road_of(3, grade_ratio=[0.12, 0.25, 0.0], grade_se_ratio=0.0)
    stop = stop_of(tractor_of(start_acceleration_mps2=1.0), road)
    cosine = 1.0 / np.hypot(1.0, 0.12)
    expected = (0.55 * 30.0 - 98.0 * 0.15) * STANDARD_GRAVITY_MPS2 * cosine / 98.0
    np.testing.assert_allclose(stop["start_possible_mps2"][:2], [expected, 0.0])
    np.testing.assert_allclose(stop["start_acceleration_mps2"], 1.0 + 1.0 / np.pi)
    told = str(stop["remedy"].sel(limit_state=TRACTION).values)
    assert told.endswith("; the climb leaves 0.00 m/s2 for a start, 1 is declared: do not halt there")
    gentle = stop_of(tractor_of(start_acceleration_mps2=0.1), road.isel(station=[0, 2]))
    assert "declared" not in str(gentle["remedy"].sel(limit_state=TRACTION).values)


@pytest.mark.parametrize(("name", "value"), [("grade_ratio", np.nan), ("surface", "")])
def test_a_start_on_an_unknown_road_is_unknown(road_of: RoadOf, stop_of: StopOf, name: str, value: Any) -> None:
    stop = stop_of(road=road_of(2, **{name: value}))
    assert np.all(np.isnan(stop["start_possible_mps2"]))
    assert "declared" not in str(stop["remedy"].sel(limit_state=TRACTION).values)


@LAW
@given(grade=st.floats(-0.2, 0.2), steeper=st.floats(0.0, 0.2), force=st.floats(20.0, 400.0))
def test_a_steeper_climb_never_leaves_more_for_a_start(
    tractor_of: TractorOf, road_of: RoadOf, stop_of: StopOf, grade: float, steeper: float, force: float
) -> None:
    stop = stop_of(tractor_of(tractive_force_kN=force), road_of(2, grade_ratio=[grade, grade + steeper]))
    flat, steep = stop["start_possible_mps2"].values
    assert 0.0 <= steep <= flat


def test_nothing_given_is_changed(road_of: RoadOf, stop_of: StopOf) -> None:
    road = road_of()
    before = road.copy(deep=True)
    stop_of(road=road)
    xr.testing.assert_identical(road, before)


def _by_hand(title: str, at: dict[str, float]) -> float:
    sine, cosine = np.sin(np.radians(at.get("theta", 0.0))), np.cos(np.radians(at.get("theta", 0.0)))
    formulas: dict[str, Callable[[], float]] = {
        "Force that holds the speed downhill": lambda: max(at["m"] * at["g"] * (sine - at["C"] * cosine), 0.0),
        "Retarding power": lambda: at["F"] * at["v"],
        "What the driven wheels can pass to the road": lambda: at["mu"] * at["m_d"] * at["g"] * cosine,
        "Tractive force for the climb": lambda: at["m"] * at["g"] * (sine + at["C"] * cosine),
        "Acceleration left for a start on the climb": lambda: max(min(at["F_t"], at["F_mu"]) - at["F"], 0.0) / at["m"],
        "Deceleration on the grade; 0 means that it does not stop": lambda: min(
            at["g"] * cosine * (at["z"] + at["C"] - at["G"]), at["a_e"]
        ),
        "Stopping distance": lambda: at["v"] * (at["t_r"] + at["t_b"] / 2.0) + at["v"] ** 2 / (2.0 * at["a"]),
        "Emergency stop as the load feels it": lambda: at["a_e"] * (1.0 + min(1.0, 1.0 / (np.pi * at["f"] * at["t"]))),
        "Emergency stop on the grade": lambda: at["a_d"] + at["g"] * sine,
        "Drive lost on the climb, held where it stands": lambda: (
            at["g"] * sine + at["e"] * at["g"] * (sine + at["C"] * cosine)
        ),
        "Grade over what the parking brake and the tyres hold": lambda: at["G"] / min(at["G_p"], at["mu"]),
        "Velocity density of the road": lambda: (2.0 * np.pi * at["n_0"]) ** 2 * at["G_d"] * at["v"],
        "Greatest vertical acceleration": lambda: at["k"] * at["sigma"],
    }
    return float(formulas[title]())


@pytest.mark.parametrize("grade", [-0.08, 0.1])
def test_calculation_lines_can_be_checked_by_hand(road_of: RoadOf, stop_of: StopOf, grade: float) -> None:
    stop = stop_of(road=road_of(4, grade_ratio=[0.0, grade, grade / 2, np.nan]))
    lines = lines_of(stop)
    assert [state for state, _ in itertools.groupby(line.check for line in lines)] == list(STATES)
    for line in lines:
        at = {symbol: value for symbol, value, _, _ in line.values}
        assert line.result[1] == pytest.approx(_by_hand(line.title, at), rel=1e-9), line.title
    assert all(1 <= sum(line.check == state for line in lines) <= 4 for state in STATES)


def test_nothing_known_has_no_lines(road_of: RoadOf, stop_of: StopOf) -> None:
    assert lines_of(stop_of(road=road_of(surface="", roughness_class="", grade_ratio=np.nan))) == ()


def test_results_carry_units_and_words(stop_of: StopOf) -> None:
    stop = stop_of()
    assert stop["gust_limit_mps"].dims == ("limit_state", "station", "wind_from")
    assert list(stop["limit_state"].values) == list(STATES)
    assert stop["stopping_distance_m"].attrs["units"] == "m"
    assert all(text for text in [*stop["clause"].values, *stop["remedy"].values])
    assert not any("safe" in text for text in [*stop["clause"].values, *stop["remedy"].values])
