"""Attitude, bends and what is unknown about the road."""

import numpy as np
import pytest
import xarray as xr

from transport.load_cases.ride import Masses, Ride, attitude_ends_deg, bend_range_kN, gravity_range_kN, known

MASSES = Masses(30.0, 29.0, 31.0, 9.81)


def ride(pitch: list[float], roll: list[float], bend: list[float]) -> Ride:
    one = np.ones(1)
    ends = [np.array(values, dtype=float)[:, None] for values in (pitch, roll, bend)]
    return Ride(*ends, speed_mps=2.0 * one, deceleration_mps2=one, start_mps2=one, vertical_mps2=one)


def test_a_tolerance_counts_to_either_side() -> None:
    assert attitude_ends_deg(np.array([4.0]), np.array([3.0])).tolist() == [[4.0], [2.0]]
    assert attitude_ends_deg(np.array([1.0]), np.zeros(1)).tolist() == [[1.0], [-1.0]]


def test_two_given_ends_are_taken_as_they_are() -> None:
    given = np.array([[-1.0, 2.0], [3.0, 4.0]])
    assert attitude_ends_deg(given, np.zeros(2)) is given


def test_weight_along_the_deck() -> None:
    """Statics: nose up pulls backward, left side up pulls to the right; heavier along, lighter across."""
    along, aside, across = gravity_range_kN(MASSES, ride([2.0, 6.0], [-1.0, 1.0], [0.0, 0.0]))
    assert along[:, 0] == pytest.approx([-31 * 9.81 * np.sin(np.deg2rad(6.0)), 0.0])
    most = 31 * 9.81 * np.cos(np.deg2rad(2.0)) * np.sin(np.deg2rad(1.0))
    assert aside[:, 0] == pytest.approx([-most, most])
    assert across == pytest.approx([29 * 9.81 * np.cos(np.deg2rad(6.0)) * np.cos(np.deg2rad(1.0))])


def test_a_bend_pushes_outward_or_not_at_all() -> None:
    """Kinematics: m v^2 kappa; a train that stops in the bend feels nothing of it."""
    assert bend_range_kN(MASSES, ride([0.0], [0.0], [0.01, 0.02]))[:, 0] == pytest.approx([-31 * 4 * 0.02, 0.0])
    assert bend_range_kN(MASSES, ride([0.0], [0.0], [-0.01, 0.02]))[:, 0] == pytest.approx(
        [-31 * 4 * 0.02, 31 * 4 * 0.01]
    )


@pytest.mark.parametrize("name", ["grade_ratio", "crossfall_ratio", "curvature_per_m"])
def test_an_unknown_road_is_unknown(road: xr.Dataset, name: str) -> None:
    road[name][2] = np.nan
    assert np.isnan(known(road)).tolist() == [False, False, True, False, False, False]
