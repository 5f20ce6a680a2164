"""What a forecast says: members, and the chance they give."""

import numpy as np
import pytest

from transport.weather.skill.issued import from_members

MEMBERS = np.array([[6.0, 7.0, 8.0, 10.0, 14.0], [1.0, 2.0, 3.0, 4.0, 5.0]])
OBSERVED = np.array([9.0, 9.0])


def quiet(_: float) -> np.ndarray:
    return np.array([False, False])


def test_the_chance_of_an_ensemble_is_the_share_above() -> None:
    one = from_members(MEMBERS, OBSERVED, quiet)
    assert one.chance(8.0).tolist() == [0.4, 0.0]
    assert one.high_mps.tolist() == [14.0, 5.0]
    assert one.crps_mps[0] == pytest.approx(0.88)
    assert one.crps_fair_mps[0] == pytest.approx(0.50)
    assert one.rank_counts.tolist() == [0.0, 0.0, 0.0, 1.0, 0.0, 1.0]


def test_at_the_limit_is_not_above_it() -> None:
    assert from_members(MEMBERS, OBSERVED, quiet).chance(14.0).tolist() == [0.0, 0.0]


def test_one_member_has_no_spread() -> None:
    one = from_members(MEMBERS[:, :1], OBSERVED, quiet)
    assert np.isnan(one.variance_mps2).all()
    assert one.crps_mps.tolist() == [3.0, 8.0]
