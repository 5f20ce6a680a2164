"""Elastic sharing against springs solved by hand."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.arrays import Array
from transport.securing import sharing


def settled_kN(push_kN: float, efficiency_ratio: Array, rate_kN_per_m: Array, pretension_kN: Array) -> Array:
    """Tension of each chain once the load has moved as far as it must."""
    moved_m = sharing.settled_m(push_kN, efficiency_ratio, rate_kN_per_m, pretension_kN)
    return sharing.share_kN(rate_kN_per_m, np.asarray(moved_m), pretension_kN)


@pytest.mark.parametrize(("push_kN", "tight", "slack"), [(30.0, 45.0, 15.0), (60.0, 60.0, 0.0), (80.0, 80.0, 0.0)])
def test_two_opposed_chains_pretensioned_to_30(push_kN: float, tight: float, slack: float) -> None:
    """CV49, two equal springs worked by hand (own): pretension adds stiffness, not capacity."""
    rate, share = np.array([500.0, -500.0]), np.array([1.0, -1.0])
    assert settled_kN(push_kN, share, rate, np.full(2, 30.0)) == pytest.approx([tight, slack])


def test_long_chain_takes_less() -> None:
    """CV50 E2, worked by hand (own): 2 m beside 4 m share 2/3 to 1/3; first at 100 kN when the push is 150, not 200."""
    rate = sharing.rate_kN_per_m(np.ones(2), np.full(2, 1.0e4), np.array([2.0, 4.0]))
    tension = sharing.share_kN(rate, sharing.movement_m(rate, np.full(2, 100.0), 1.0))
    assert tension == pytest.approx([100.0, 50.0])
    assert settled_kN(150.0, np.ones(2), rate, np.zeros(2)) == pytest.approx(tension)


def test_skew_chain_takes_less() -> None:
    """CV50 E3, worked by hand (own): one at 0 and one at 60 degrees hold 1.25 T elastically, 1.5 T plastically."""
    share = np.cos(np.deg2rad([0.0, 60.0]))
    rate = sharing.rate_kN_per_m(share, np.full(2, 1.0e4), np.full(2, 2.0))
    tension = sharing.share_kN(rate, sharing.movement_m(rate, np.full(2, 100.0), 1.0))
    assert tension @ share == pytest.approx(125.0)
    assert np.full(2, 100.0) @ share == pytest.approx(150.0)


def test_the_allowed_movement_caps_the_share() -> None:
    rate = np.array([5000.0, 1000.0])
    assert sharing.movement_m(rate, np.full(2, 100.0), 0.015) == pytest.approx(0.015)
    assert sharing.movement_m(rate, np.full(2, 100.0), 0.050) == pytest.approx(0.020)


def test_without_a_resisting_chain_the_movement_is_what_is_allowed() -> None:
    assert sharing.movement_m(np.zeros(3), np.full(3, 100.0), 0.02) == pytest.approx(0.02)


def test_friction_that_is_enough_leaves_the_pretension() -> None:
    tension = settled_kN(-5.0, np.array([1.0, -1.0]), np.array([500.0, -500.0]), np.array([16.0, 16.0]))
    assert tension == pytest.approx([16.0, 16.0])


def test_a_push_that_no_chain_resists_is_unknown() -> None:
    assert np.isnan(settled_kN(50.0, np.array([-1.0]), np.array([-500.0]), np.array([16.0]))).all()


@given(push_kN=st.floats(0.0, 500.0), pretension=st.floats(0.0, 50.0), skew=st.floats(0.2, 1.0))
def test_the_tensions_balance_the_push(push_kN: float, pretension: float, skew: float) -> None:
    share = np.array([1.0, skew, -1.0, -skew])
    tension = settled_kN(push_kN, share, 1000.0 * share, np.full(4, pretension))
    assert tension @ share == pytest.approx(push_kN, abs=1e-6)
    assert (tension >= 0.0).all()
