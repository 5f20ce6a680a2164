"""Chains against tables of standards, catalogues and statics."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.tables import figure, published
from transport.securing import chains
from transport.securing.weakest import weakest_part

Expected = Callable[[str], dict]


@pytest.mark.parametrize("size_mm", [8, 10, 13, 16])
def test_breaking_force_of_grade_8(expected: Expected, size_mm: int) -> None:
    check = expected("chains")[f"CV13-{size_mm}"]
    force_kN = chains.breaking_force_kN(
        np.array(size_mm / 1000.0), np.array(figure("securing_chain_stress_grade_8_kPa"))
    )
    assert force_kN == pytest.approx(check.expected, abs=check.tolerance)


@pytest.mark.parametrize("size_mm", [7, 16, 32])
def test_breaking_force_against_the_table_of_grade_4(expected: Expected, size_mm: int) -> None:
    check = expected("chains")[f"CV15-{size_mm}"]
    force_kN = chains.breaking_force_kN(
        np.array(size_mm / 1000.0), np.array(figure("securing_chain_stress_grade_4_kPa"))
    )
    assert force_kN == pytest.approx(check.expected, abs=check.tolerance)


@pytest.mark.parametrize("size_mm", ["6", "8", "10", "13", "16"])
def test_lashing_capacity_table_of_grade_8(expected: Expected, size_mm: str) -> None:
    row = published("chain_lc").row(size_mm=size_mm, grade="8")
    assert float(row["lc_kN"]) == expected("chains")[f"CV14-{size_mm}"].expected


def test_calculated_strength_of_the_css_code(expected: Expected) -> None:
    check = expected("chains")["CV23"]
    breaking_kN = chains.breaking_force_kN(np.array(0.016), np.array(figure("securing_chain_stress_grade_8_kPa")))
    msl_kN = figure("securing_capacity_of_breaking_ratio") * breaking_kN
    one = np.ones(1)
    (line_kN,), _ = weakest_part(msl_kN * one, one, np.inf * one, np.inf * one, 1000.0 * one, np.zeros(1, dtype=int))
    assert line_kN / 1.5 == pytest.approx(check.expected, abs=check.tolerance)


def test_stiffness_and_strain_of_13_mm(expected: Expected) -> None:
    values = expected("chains")
    stiffness_kN = chains.axial_stiffness_kN(np.array(0.013), 0.854e8)
    assert stiffness_kN / 1000.0 == pytest.approx(values["CV25a"].expected, abs=values["CV25a"].tolerance)
    assert 100.0 * 100.0 / stiffness_kN == pytest.approx(values["CV25b"].expected, abs=values["CV25b"].tolerance)


def test_angles_of_a_chain_built_from_them() -> None:
    """Geometry: alpha 40 deg to the deck, 30 deg to the long axis."""
    alpha, beta = np.deg2rad(40.0), np.deg2rad(30.0)
    on_load_m = np.array([[1.0, 2.0, 3.0]])
    reach = np.array([[np.cos(alpha) * np.cos(beta), -np.cos(alpha) * np.sin(beta), -np.sin(alpha)]])
    pull = chains.pull_ratio(on_load_m, on_load_m + 2.5 * reach)
    assert pull == pytest.approx(reach)
    assert chains.length_m(on_load_m, on_load_m + 2.5 * reach) == pytest.approx([2.5])
    assert chains.vertical_angle_deg(pull) == pytest.approx([40.0])
    assert chains.plan_angle_deg(pull) == pytest.approx([30.0])


def test_the_best_vertical_angle_for_sliding(expected: Expected) -> None:
    """Calculus: cos(a) + mu sin(a) is largest at atan(mu)."""
    check = expected("balances")["CV10"]
    angle_deg = np.arange(0.0, 90.0, 0.0005)
    pull = np.stack([-np.cos(np.deg2rad(angle_deg)), 0 * angle_deg, -np.sin(np.deg2rad(angle_deg))], axis=-1)
    efficiency = chains.resisting_ratio(pull, np.array([1.0, 0.0])) - 0.225 * pull[:, 2]
    assert angle_deg[np.argmax(efficiency)] == pytest.approx(check.expected, abs=check.tolerance)


def test_force_efficiency_of_the_australian_guide(expected: Expected) -> None:
    check = expected("balances")["AE075"]
    pull = chains.pull_ratio(np.array([[0.0, 0.0, np.sqrt(2.0**2 - 1.5**2)]]), np.array([[-1.5, 0.0, 0.0]]))
    assert chains.resisting_ratio(pull, np.array([1.0, 0.0])) == pytest.approx([check.expected])


def test_the_weakest_part_governs() -> None:
    none, anchor_kN = np.full(2, np.inf), np.array([200.0, 90.0])
    line_kN, names = weakest_part(np.full(2, 160.0), np.ones(2), none, none, anchor_kN, np.arange(2))
    assert line_kN == pytest.approx([160.0, 90.0])
    assert names == ("LC of the chain", "anchor")


def test_a_chain_counts_only_if_it_resists_in_both_neighbours_too() -> None:
    share = np.array([[0.2], [0.3], [0.2], [0.05], [-0.9], [0.05]])
    assert chains.credited(share, 0.1)[:, 0].tolist() == [False, True, False, False, False, False]


@given(angle_deg=st.floats(0.0, 360.0), steep=st.floats(0.0, 1.4))
def test_a_chain_never_resists_two_opposite_directions(angle_deg: float, steep: float) -> None:
    pull = np.array([[np.cos(steep), 0.0, -np.sin(steep)]])
    towards = np.array([np.cos(np.deg2rad(angle_deg)), np.sin(np.deg2rad(angle_deg))])
    assert chains.resisting_ratio(pull, towards) == pytest.approx(-chains.resisting_ratio(pull, -towards))
