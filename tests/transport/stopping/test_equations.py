"""The stopping equations against published numbers, check values and general libraries."""

import csv
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from scipy.signal import cont2discrete

from shared.tables import published
from shared.units import STANDARD_GRAVITY_MPS2
from transport.stopping.bump import (
    bump_response_mps2,
    equalisation_ratio,
    fastest_over_bump_mps,
    half_sine_kink_mps,
    half_sine_peak_mps2,
    versed_sine_peak_mps2,
)
from transport.stopping.coasting import (
    natural_deceleration_mps2,
    rollback_acceleration_mps2,
    rollback_distance_m,
    rollback_speed_mps,
)
from transport.stopping.distance import (
    braking_distance_m,
    jerk_limited_distance_m,
    jerk_limited_time_s,
    net_deceleration_mps2,
    stopping_distance_m,
)
from transport.stopping.platform import heave_factors_s_per_m, line_average_ratio, worst_up_to
from transport.stopping.quarter_car import body_acceleration_rms_mps2, expected_iri_m_per_km, transition
from transport.stopping.ramp import overshoot_ratio, ramp_amplification_bound_ratio, ramp_amplification_ratio
from transport.stopping.resistance import (
    adhesion_force_kN,
    bad_grades_ratio,
    demand_ratio,
    grade_force_kN,
    grade_pull_mps2,
    power_kW,
    rolling_force_kN,
    start_possible_mps2,
)
from transport.stopping.retarding import descent_energy_MJ, holding_force_kN, steepest_held_ratio, temperature_rise_K
from transport.stopping.ride import deck_rms_mps2, journey_peak_factor_ratio, speed_grid_mps
from transport.stopping.roughness import (
    expected_peak_factor_ratio,
    pseudo_acceleration_rms_mps2,
    velocity_density_m2_per_s,
)
from transport.stopping.shock import PULSES, peak_ratio, ramp_invariant_filter, response_mps2
from transport.stopping.surfaces import adhesion_ratio, rolling_ratios, roughness_m3

PUBLISHED = Path(__file__).parents[2] / "published"
FOOT_M, MPH_MPS = 0.3048, 0.44704
LINES_M = np.arange(8) * 1.5
CLASS_C_M3 = 256e-6


def rows(name: str) -> list[Any]:
    lines = (PUBLISHED / name).read_text(encoding="utf-8").splitlines()
    return [pytest.param(row, id=row["id"]) for row in csv.DictReader(lines[1:])]


def climbing_power_kW(mass_t: float, grade_ratio: float, rolling_ratio: float, speed_mps: float) -> Any:
    force = grade_force_kN(mass_t, grade_ratio) + rolling_force_kN(mass_t, grade_ratio, rolling_ratio)
    return power_kW(force, speed_mps)


def driven_mass_t(mass_t: float, grade_ratio: float, rolling_ratio: float, adhesion_ratio: float) -> Any:
    """The driven mass whose adhesion equals the need: need over adhesion of one tonne."""
    force = grade_force_kN(mass_t, grade_ratio) + rolling_force_kN(mass_t, grade_ratio, rolling_ratio)
    return force / adhesion_force_kN(1.0, grade_ratio, adhesion_ratio)


def stop_on_grade_m(
    speed_mps: float, reaction_s: float, build_up_s: float, brake_ratio: float, rolling_ratio: float, grade_ratio: float
) -> Any:
    slowing = net_deceleration_mps2(brake_ratio, rolling_ratio, grade_ratio)
    return stopping_distance_m(speed_mps, reaction_s, build_up_s, slowing)


def fully_developed_mps2(speed_kmh: float, deceleration_mps2: float) -> float:
    """Formula of the directive on distances of our own: from 0.8 to 0.1 of the speed."""
    begin_kmh, end_kmh = 0.8 * speed_kmh, 0.1 * speed_kmh
    way_m = float(
        braking_distance_m(begin_kmh / 3.6, deceleration_mps2) - braking_distance_m(end_kmh / 3.6, deceleration_mps2)
    )
    assert way_m == pytest.approx(17.5, abs=1e-9)
    return (begin_kmh**2 - end_kmh**2) / (25.92 * way_m)


def density(speed_kmh: float) -> Any:
    return velocity_density_m2_per_s(CLASS_C_M3, speed_kmh / 3.6)


def platform_rms_mps2(frequency_hz: float, damping_ratio: float, speed_kmh: float) -> float:
    factor = heave_factors_s_per_m(np.array([speed_kmh / 3.6]), LINES_M, frequency_hz, damping_ratio)
    return float(np.sqrt(CLASS_C_M3) * factor[0])


CASES: dict[str, Callable[..., Any]] = {
    "grade force": grade_force_kN,
    "rolling force": rolling_force_kN,
    "climbing power": climbing_power_kW,
    "holding power": lambda speed_mps, grade_ratio, **given: power_kW(
        holding_force_kN(descent_ratio=grade_ratio, **given), speed_mps
    ),
    "driven mass": driven_mass_t,
    "descent energy": lambda mass_t, drop_m, grade_ratio, rolling_ratio: descent_energy_MJ(
        mass_t, np.array([0.0, drop_m / grade_ratio]), np.full(2, -grade_ratio), np.full(2, rolling_ratio)
    ),
    "temperature rise": temperature_rise_K,
    "rollback": rollback_acceleration_mps2,
    "rollback way": rollback_distance_m,
    "rollback speed": rollback_speed_mps,
    "natural": natural_deceleration_mps2,
    "braking distance": braking_distance_m,
    "braking feet": lambda speed_mph, deceleration_mps2: (
        braking_distance_m(speed_mph * MPH_MPS, deceleration_mps2) / FOOT_M
    ),
    "stopping feet": lambda speed_mph, deceleration_mps2, lag_s: (
        stopping_distance_m(speed_mph * MPH_MPS, lag_s, 0.0, deceleration_mps2) / FOOT_M
    ),
    "deceleration g": lambda brake_ratio: net_deceleration_mps2(brake_ratio, 0.0, 0.0) / FOOT_M,
    "fully developed": fully_developed_mps2,
    "annex 4 distance": lambda speed_kmh, delay_s, deceleration_mps2: stopping_distance_m(
        speed_kmh / 3.6, delay_s, 0.0, deceleration_mps2
    ),
    "stop on grade": stop_on_grade_m,
    "net deceleration": net_deceleration_mps2,
    "holding ratio": lambda grade_ratio: grade_pull_mps2(grade_ratio) / STANDARD_GRAVITY_MPS2,
    "jerk distance": jerk_limited_distance_m,
    "jerk time": jerk_limited_time_s,
    "pulse": peak_ratio,
    "ramp": ramp_amplification_ratio,
    "roughness": lambda roughness_class, level: roughness_m3([roughness_class], level)[0],
    "velocity density": velocity_density_m2_per_s,
    "golden car": lambda speed_kmh: body_acceleration_rms_mps2(density(speed_kmh)),
    "expected IRI": expected_iri_m_per_km,
    "one wheel": lambda speed_kmh, **given: pseudo_acceleration_rms_mps2(density(speed_kmh), **given),
    "platform": platform_rms_mps2,
    "peak factor": expected_peak_factor_ratio,
    "half-sine bump": half_sine_peak_mps2,
    "kink": half_sine_kink_mps,
    "versed-sine bump": versed_sine_peak_mps2,
    "start possible": start_possible_mps2,
    "bump response": lambda length_m, frequency_hz: bump_response_mps2((0.03, length_m), 5.0 / 3.6, frequency_hz, 0.05),
    "transition": lambda row, column: np.column_stack(transition(0.25, 80.0 / 3.6))[row, column],
}


@pytest.mark.parametrize("row", rows("stopping_published.csv"))
def test_published_values(row: dict[str, str]) -> None:
    found = float(CASES[row["case"]](**json.loads(row["arguments"])))
    assert found == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]), rel=0), row["source"]


@pytest.mark.parametrize("row", rows("stopping_check_values.csv"))
def test_check_values(row: dict[str, str]) -> None:
    """Worked by hand or integrated elsewhere for this project: they guard against slips, they prove nothing."""
    found = float(CASES[row["case"]](**json.loads(row["arguments"])))
    assert found == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]), rel=0), row["source"]


def test_a_train_that_does_not_stop_has_no_distance() -> None:
    """z + C = G to the last digit and beyond it: infinite, and no division by 0 (warnings are errors here)."""
    slowing = net_deceleration_mps2([0.10, 0.05, 0.2, np.nan], 0.02, -0.12)
    np.testing.assert_array_equal(slowing[:2], [0.0, 0.0])
    found = stopping_distance_m(1.4, 2.0, 0.5, slowing)
    np.testing.assert_array_equal(np.isinf(found), [True, True, False, False])
    assert np.isnan(found[3])


@given(st.floats(0.05, 3.0), st.floats(0.05, 4.0), st.floats(0.2, 20.0))
def test_jerk_limited_stop_against_integration(speed_mps: float, deceleration_mps2: float, jerk_mps3: float) -> None:
    """Speed and way summed up over the deceleration profile min(J t, a)."""
    end_s = float(jerk_limited_time_s(speed_mps, deceleration_mps2, jerk_mps3))
    time_s = np.linspace(0.0, end_s, 20001)
    slowing = np.minimum(jerk_mps3 * time_s, deceleration_mps2)
    lost = np.concatenate([[0.0], np.cumsum((slowing[1:] + slowing[:-1]) / 2.0 * np.diff(time_s))])
    assert speed_mps - lost[-1] == pytest.approx(0.0, abs=1e-4 * speed_mps)
    way_m = np.trapezoid(speed_mps - lost, time_s)
    assert float(jerk_limited_distance_m(speed_mps, deceleration_mps2, jerk_mps3)) == pytest.approx(way_m, rel=1e-3)


@given(st.floats(0.01, 0.2), st.floats(0.0, 0.05), st.floats(50.0, 200.0))
def test_steepest_descent_is_held_exactly(descent_ratio: float, rolling_ratio: float, mass_t: float) -> None:
    """Solved for the grade and put back: the force that it needs is the force that was given."""
    force = holding_force_kN(mass_t, descent_ratio, rolling_ratio)
    found = float(steepest_held_ratio(force, mass_t, rolling_ratio, 10.0, mass_t))
    assert found == pytest.approx(max(descent_ratio, rolling_ratio), rel=1e-9)


def test_steepest_descent_is_limited_by_the_driven_wheels() -> None:
    assert float(steepest_held_ratio(1e6, 100.0, 0.01, 0.4, 25.0)) == pytest.approx(0.01 + 0.4 * 0.25)
    assert np.isnan(steepest_held_ratio(100.0, 100.0, np.nan, 0.4, 25.0))
    assert float(steepest_held_ratio(0.0, 100.0, 0.012, 0.4, 25.0)) == pytest.approx(0.012)


def test_grade_and_its_allowance_count_in_both_senses() -> None:
    climb, descent = bad_grades_ratio([0.1, -0.1, 0.0, np.nan], 0.01)
    np.testing.assert_allclose(climb, [0.11, 0.01, 0.01, np.nan])
    np.testing.assert_allclose(descent, [0.01, 0.11, 0.01, np.nan])


def test_demand_over_nothing() -> None:
    found = demand_ratio(np.array([0.0, 1.0, 1.0, np.nan, 1.0]), [0.0, 0.0, 2.0, 1.0, np.nan])
    np.testing.assert_array_equal(found, [0.0, np.inf, 0.5, np.nan, np.nan])


def test_mean_of_a_roughness_class_is_the_geometric_mean_of_its_limits() -> None:
    """ISO 8608 (memory): limits and means of all classes; A has no lower and H no upper limit in the standard."""
    table = published("roughness")
    lower, mean, upper = (table.numbers(f"{name}_e6_m3") for name in ("lower", "mean", "upper"))
    np.testing.assert_allclose(np.sqrt(lower * upper), mean)
    np.testing.assert_allclose(upper[:-1], lower[1:])
    np.testing.assert_allclose(upper / lower, 4.0)


def test_a_surface_or_class_that_no_table_holds_is_unknown() -> None:
    for found in (
        *rolling_ratios(["asphalt", "lava"]),
        adhesion_ratio(["asphalt", ""], "wet"),
        roughness_m3(["A", ""], "upper"),
        roughness_m3(["A", "Z"], "mean"),
    ):
        assert np.isfinite(found[0]) and np.isnan(found[1])


def test_wet_is_never_better_than_dry() -> None:
    names = published("adhesion").column("surface")
    assert np.all(adhesion_ratio(names, "wet") <= adhesion_ratio(names, "dry"))
    low, high = rolling_ratios(names)
    assert np.all(low < high)


@given(st.floats(0.05, 10.0), st.floats(0.05, 10.0))
def test_bound_of_the_ramp_covers_its_formula(frequency_hz: float, ramp_s: float) -> None:
    bound = float(ramp_amplification_bound_ratio(frequency_hz, ramp_s))
    assert 1.0 < bound <= 2.0
    assert float(ramp_amplification_ratio(frequency_hz, ramp_s)) <= bound + 1e-12


@pytest.mark.parametrize("turns", [0.25, 0.5, 1.0, 1.5, 2.5])
def test_ramp_formula_against_integration(turns: float) -> None:
    """Undamped oscillator of 1 Hz under a ramp to 1, integrated over three periods after it."""
    step_s = 1e-3
    time_s = np.arange(0.0, turns + 3.0, step_s)
    found = response_mps2(np.minimum(time_s / turns, 1.0), step_s, 1.0, 0.0)
    assert float(found.max()) == pytest.approx(float(ramp_amplification_ratio(1.0, turns)), abs=2e-3)


@pytest.mark.parametrize(
    ("deceleration_mps2", "jerk_mps3", "peak", "rebound"), [(1.0, 2.0, 1.040, -0.877), (2.0, 10.0, 3.300, -2.379)]
)
def test_load_swings_back_at_the_end_of_a_stop(
    deceleration_mps2: float, jerk_mps3: float, peak: float, rebound: float
) -> None:
    """Stop from 5 km/h, 2 Hz, 5 % damping, integrated elsewhere for this project, with the damper's share (own)."""
    step_s = 1e-4
    end_s = float(jerk_limited_time_s(5.0 / 3.6, deceleration_mps2, jerk_mps3))
    time_s = np.arange(0.0, end_s + 0.6, step_s)
    profile = np.where(time_s <= end_s, np.minimum(jerk_mps3 * time_s, deceleration_mps2), 0.0)
    found = response_mps2(profile, step_s, 2.0, 0.05)
    assert float(found.max()) == pytest.approx(peak, rel=0.01)
    assert float(found.min()) == pytest.approx(rebound, rel=0.01)
    bound = overshoot_ratio(0.05) * float(ramp_amplification_bound_ratio(2.0, deceleration_mps2 / jerk_mps3))
    assert -float(found.min()) <= bound * deceleration_mps2 + 1e-9


@pytest.mark.parametrize("damping_ratio", [0.0, 0.05, 0.3])
def test_response_against_a_general_integrator(damping_ratio: float) -> None:
    """scipy.integrate.solve_ivp on the same equation of motion."""
    w = 2.0 * np.pi * 2.0
    step_s = 1e-3
    time_s = np.arange(0.0, 1.5, step_s)
    base = np.interp(time_s, [0.0, 0.1, 0.7, 0.9], [0.0, 1.0, 1.0, 0.0])

    def motion(t: float, y: np.ndarray) -> list[float]:
        return [y[1], w**2 * (float(np.interp(t, time_s, base)) - y[0]) - 2.0 * damping_ratio * w * y[1]]

    solved = solve_ivp(motion, (0.0, time_s[-1]), [0.0, 0.0], t_eval=time_s, rtol=1e-8, atol=1e-10, max_step=0.01)
    np.testing.assert_allclose(response_mps2(base, step_s, 2.0, damping_ratio), solved.y[0], atol=1e-5)


@given(st.floats(0.01, 2.0), st.floats(0.0, 0.95))
def test_filter_against_a_signal_library(turn_rad: float, damping_ratio: float) -> None:
    """First-order hold of scipy.signal on w^2 / (s^2 + 2 zeta w s + w^2), w = 1 rad/s."""
    expected = cont2discrete((np.array([1.0]), np.array([1.0, 2.0 * damping_ratio, 1.0])), turn_rad, method="foh")
    numerator, denominator = ramp_invariant_filter(turn_rad, damping_ratio)
    np.testing.assert_allclose(numerator, expected[0].ravel(), atol=1e-9)
    np.testing.assert_allclose(denominator, expected[1], atol=1e-9)


def test_damping_lowers_every_pulse() -> None:
    for pulse in PULSES:
        assert peak_ratio(pulse, 0.8, 0.05) < peak_ratio(pulse, 0.8)


def test_lines_of_equal_pitch_average_as_the_closed_form() -> None:
    """(sin(N pi n p) / (N sin(pi n p)))^2, 8 lines of 1.5 m."""
    wave = np.linspace(0.013, 3.0, 400)
    closed = (np.sin(8 * np.pi * wave * 1.5) / (8 * np.sin(np.pi * wave * 1.5))) ** 2
    np.testing.assert_allclose(line_average_ratio(wave, LINES_M), closed, atol=1e-9)
    np.testing.assert_allclose(line_average_ratio(wave, np.zeros(1)), 1.0)


def test_one_line_without_contact_filter_is_not_less_than_the_platform() -> None:
    wheel = pseudo_acceleration_rms_mps2(density(5.0), 3.0, 0.05)
    assert platform_rms_mps2(3.0, 0.05, 5.0) < 0.2 * float(wheel)


def test_platform_takes_the_worst_speed_on_the_way() -> None:
    grid = np.array([0.5, 1.0, 1.5])
    found = worst_up_to(np.array([0.4, 0.5, 0.7, 1.2, np.nan]), grid, np.array([1.0, 3.0, 2.0]))
    np.testing.assert_array_equal(found, [1.0, 1.0, 3.0, 3.0, np.nan])


@given(st.floats(1.0, 10.0), st.floats(1.0, 20000.0), st.floats(1.0, 3.0))
def test_peak_factor_of_a_journey(frequency_hz: float, length_m: float, longer: float) -> None:
    first, second = (journey_peak_factor_ratio(frequency_hz, length) for length in (length_m, longer * length_m))
    assert 4.5 <= first <= second < 6.0


def test_bump_scales_with_its_height_and_is_shared_by_a_group() -> None:
    low, high = (bump_response_mps2((height, 0.5), 1.0, 2.0, 0.1) for height in (0.01, 0.03))
    assert high == pytest.approx(3.0 * low)
    assert [equalisation_ratio(count) for count in (0, 1, 2, 8)] == [1.0, 1.0, 1.0, 0.25]


def test_fastest_over_a_bump_stops_at_the_first_excess() -> None:
    speeds = np.array([0.5, 1.0, 1.5, 2.0])
    assert fastest_over_bump_mps(2.0, speeds, np.array([1.0, 2.0, 2.1, 1.0])) == 1.0
    assert fastest_over_bump_mps(2.0, speeds, np.array([3.0, 2.0, 2.1, 1.0])) == 0.0
    assert fastest_over_bump_mps(2.0, speeds, np.full(4, np.nan)) == 0.0


@pytest.mark.parametrize("line_m", [np.arange(8) * 1.5, np.arange(11) * 1.4])
@pytest.mark.parametrize(("frequency_hz", "damping_ratio"), [(1.0, 0.05), (2.2, 0.1), (3.0, 0.02)])
def test_no_peak_of_the_comb_is_skipped(line_m: np.ndarray, frequency_hz: float, damping_ratio: float) -> None:
    """Every crawl up to 2 m/s, in steps of 2 mm/s: the grid misses less than 1 % of the worst on the way."""
    fine_mps = np.arange(0.05, 2.0, 0.002)
    worst = np.maximum.accumulate(heave_factors_s_per_m(fine_mps, line_m, frequency_hz, damping_ratio))
    found = deck_rms_mps2(np.ones_like(fine_mps), fine_mps, line_m, frequency_hz, damping_ratio)
    assert np.all(found >= 0.99 * worst)


@given(st.floats(0.0, 3.0), st.floats(0.0, 3.0))
def test_a_higher_speed_only_adds_to_the_grid(low: float, more: float) -> None:
    short, long = (speed_grid_mps(top) for top in (max(low, 0.05), max(low, 0.05) + more))
    np.testing.assert_array_equal(long[: short.size], short)
    assert long[-1] >= max(low, 0.05) + more
