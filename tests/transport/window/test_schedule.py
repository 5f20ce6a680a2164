"""Earliest and latest passage, hand-worked."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from transport.window.inputs import Stage
from transport.window.schedule import driving_time_s, passages, waiting_s

LIFT = Stage(
    name="Lift",
    kind="stand",
    place="start",
    duration_h=1.0,
    contingency_h=0.5,
    cover="off",
    gust_limit_mps=9.0,
    daylight=True,
)
DRIVE = Stage(name="Drive", kind="drive", contingency_ratio=0.5, daylight=True)
PARK = Stage(name="Park", kind="stand", place="end", duration_h=0.5, contingency_h=0.25, daylight=False)


def test_hand_worked_operation() -> None:
    """Lift 1 h + 0.5 h, then 2 x 30 min of driving + 50 %, a wait of 1 h in the second cell, then parking.

    Visible arithmetic: earliest 0.8 x planned, latest planned + contingency + waiting.
    """
    driving_s = np.array([0.0, 1800.0, 3600.0])
    lift, drive, park = passages([LIFT, DRIVE, PARK], driving_s, np.array([0.0, 3600.0]), earliest_ratio=0.8)
    assert (lift.stay.early_s[0], lift.stay.late_s[0]) == (0.0, 1.5 * 3600)
    assert drive.stay.early_s.tolist() == pytest.approx([0.8 * 3600, 0.8 * 3600 + 0.8 * 1800])
    assert drive.stay.late_s.tolist() == pytest.approx([1.5 * 3600 + 1800 * 1.5, 1.5 * 3600 + 3600 * 1.5 + 3600])
    assert park.cells.tolist() == [1]
    assert park.stay.early_s[0] == pytest.approx(0.8 * (3600 + 3600))
    assert park.stay.late_s[0] == pytest.approx(drive.stay.late_s[-1] + 0.75 * 3600)


def test_driving_time_takes_the_lower_speed_of_a_step() -> None:
    time_s = driving_time_s(np.array([0.0, 10.0, 20.0]), np.array([1.0, 1.0, 0.5]), np.array([0.0, 10.0, 15.0, 20.0]))
    assert time_s.tolist() == [0.0, 10.0, 20.0, 30.0]


def test_unknown_speed_is_unknown_time() -> None:
    assert np.isnan(driving_time_s(np.array([0.0, 10.0]), np.array([1.0, np.nan]), np.array([0.0, 10.0])))[-1]


def test_a_wait_belongs_to_the_cell_of_its_hold_point() -> None:
    edges = np.array([0.0, 100.0, 200.0])
    assert waiting_s(edges, [100.0, 150.0], [0.5, 0.25]).tolist() == [0.0, 2700.0]
    assert waiting_s(edges, [200.0], [1.0]).tolist() == [0.0, 3600.0]


@settings(derandomize=True, max_examples=50)
@given(st.floats(0.1, 1.0), st.floats(0, 3), st.floats(0, 2))
def test_stays_contain_the_planned_time(earliest: float, contingency: float, wait_h: float) -> None:
    """Law: the planned passage always lies inside earliest and latest; more contingency only widens."""
    driving_s = np.linspace(0.0, 7200.0, 9)
    drive = Stage(name="Drive", kind="drive", contingency_ratio=contingency, daylight=True)
    waits = np.full(8, 3600.0 * wait_h / 8)
    _, stay, _ = passages([LIFT, drive, PARK], driving_s, waits, earliest_ratio=earliest)
    assert (stay.stay.early_s <= 3600.0 + driving_s[:-1]).all()
    assert (stay.stay.late_s >= 3600.0 + driving_s[1:]).all()
    assert (np.diff(stay.stay.early_s) >= 0).all() and (np.diff(stay.stay.late_s) >= 0).all()
