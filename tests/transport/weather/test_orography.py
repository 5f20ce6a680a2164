"""Speed-up over relief: the traps of public copies, and the ends of the tables."""

import numpy as np
import pytest

from transport.weather import orography


def test_downwind_distance_is_scaled_by_the_downwind_slope() -> None:
    right = orography.hill_location(np.asarray(150.0), np.asarray(0.04), 100.0, 300.0)
    wrong = orography.crest_location(np.asarray(0.04), np.asarray(150.0 / 100.0), "downwind")
    assert right == pytest.approx(0.3966, abs=2e-4)
    assert wrong < 0.2 * right


def test_cliff_takes_the_logarithm_to_base_ten_and_runs_into_its_edge() -> None:
    near = [
        float(orography.cliff_location(np.asarray(x), np.asarray(0.02), 200.0, 200.0)) for x in (0.0, 10.0, 20.0, 100.0)
    ]
    assert near == pytest.approx([0.9749, 0.9155, 0.8561, 0.5101], abs=1e-4)


def test_far_away_and_high_up_there_is_no_speed_up() -> None:
    assert orography.hill_location(np.asarray(-301.0), np.asarray(0.0), 200.0, 200.0) == 0.0
    assert orography.hill_location(np.asarray(401.0), np.asarray(0.0), 200.0, 200.0) == 0.0
    assert orography.hill_location(np.asarray(0.0), np.asarray(2.1), 200.0, 200.0) == 0.0
    assert orography.cliff_location(np.asarray(701.0), np.asarray(0.5), 200.0, 200.0) == 0.0
    assert orography.cliff_location(np.asarray(700.0), np.asarray(2.0), 200.0, 200.0) == 0.0


def test_topographic_factor_ends_at_one() -> None:
    far = orography.asce_ratio(np.array([-151.0, 401.0]), np.asarray(4.0), 50.0, 100.0, "cliff", "II")
    np.testing.assert_array_equal(far, 1.0)
