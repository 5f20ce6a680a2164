"""LC3: the shaking taken off the envelope against direct search."""

import numpy as np
import pytest

from transport.load_cases import earthquake
from transport.load_cases.combination import Still, Wind
from transport.load_cases.envelope import Envelope, push_use_ratio, rising, without_favour

NODES = np.array([0.5, 1.0, 1.4])


def oval() -> Envelope:
    """Strong along, weak across, growing with the weight on the pads."""
    angle = np.deg2rad(15.0 * np.arange(24))
    shape = 1.0 / np.hypot(np.cos(angle) / 300.0, np.sin(angle) / 150.0)
    force = np.outer(0.4 + 0.6 * NODES, shape)
    return without_favour(rising(Envelope(NODES, force, np.outer(NODES, [900.0, 1800.0, 300.0]), 300.0)))


def one(ahead: float, left: float) -> Still:
    pair = (np.array([ahead]), np.array([ahead])), (np.array([left]), np.array([left]))
    return Still(*pair, np.array([295.0]))


@pytest.mark.parametrize("direction", range(0, 24, 3))
def test_what_is_left_holds_every_shake(direction: int) -> None:
    """100/30/30 up and down, every sense (EN 1998-1 4.3.3.5): the edge of what is left is the edge of the whole."""
    whole, horizontal, up = oval(), 60.0, 30.0
    left = earthquake.shaken(whole, horizontal, up, 0.3)
    angle = np.deg2rad(15.0 * direction)
    held = np.interp(1.0, left.vertical_ratio, left.force_kN[:, direction])
    senses = np.deg2rad(np.arange(0.0, 360.0, 1.0))
    uses = []
    for part, up_part in ((np.hypot(1, 0.3), 0.3), (np.hypot(0.3, 0.3), 1.0)):
        for sign in (-1.0, 1.0):
            x = held * np.cos(angle) + part * horizontal * np.cos(senses)
            y = held * np.sin(angle) + part * horizontal * np.sin(senses)
            uses.append(push_use_ratio(whole, x, y, np.full(360, 1.0 + sign * up_part * up / 300.0)))
    assert np.max(uses) <= 1.0
    assert np.max(uses) > 0.97


def test_a_shake_that_is_too_strong_leaves_nothing() -> None:
    left = earthquake.shaken(oval(), 200.0, 30.0, 0.3)
    assert (left.force_kN < 0.0).any()
    wind = Wind(np.ones((1, 1)), np.ones((1, 1)), 0.0, np.zeros(3), 1.25)
    limit = earthquake.grouped_limit_mps(
        oval(), one(0.0, 0.0), wind, np.array([[200.0, 30.0]]), other_ratio=0.3, highest_mps=80.0
    )
    assert limit == 0.0


def test_no_shake_leaves_everything() -> None:
    left = earthquake.shaken(oval(), 0.0, 0.0, 0.3)
    given = np.searchsorted(left.vertical_ratio, NODES - 1e-6)
    assert left.vertical_ratio[given] == pytest.approx(NODES)
    assert left.force_kN[given] == pytest.approx(oval().force_kN, rel=1e-3)
    assert left.moment_kNm[given] == pytest.approx(oval().moment_kNm)
    assert left.spent_ratio == pytest.approx(np.zeros(len(left.vertical_ratio)))


def test_limit_closes_where_the_use_reaches_one() -> None:
    """The shaking closes the lowest node long before the node of the whole weight; the limit goes on to a use of 1."""
    wind, still = Wind(np.full((1, 1), 5.0), np.full((1, 1), 5.0), 0.0, np.zeros(3), 1.25), one(20.0, 10.0)
    open_, closed = [], []
    for horizontal in np.linspace(60.0, 140.0, 41):
        shaking = np.array([[horizontal, 30.0]])
        limit = earthquake.grouped_limit_mps(oval(), still, wind, shaking, other_ratio=0.3, highest_mps=80.0)
        use = earthquake.worst_push(oval(), still, shaking, 0.3).use_ratio
        told = earthquake.at_least_closed(use, limit)
        assert (told[0] > 1.0) == (limit[0, 0] == 0.0)
        (closed if limit[0, 0] == 0.0 else open_).append(use[0])
    assert max(open_) > 0.96
    assert min(closed) > 0.96


def test_more_shaking_never_leaves_more() -> None:
    weak, strong = (earthquake.shaken(oval(), h, v, 0.3) for h, v in ((40.0, 20.0), (50.0, 25.0)))
    nodes = strong.vertical_ratio
    for k in range(24):
        assert (strong.force_kN[:, k] <= np.interp(nodes, weak.vertical_ratio, weak.force_kN[:, k]) + 1e-2).all()


def test_the_worst_push_is_the_worst_sense() -> None:
    """Across is weaker: with no other push the shake to the side uses most."""
    push = earthquake.worst_push(oval(), one(0.0, 0.0), np.array([[60.0, 30.0]]), 0.3)
    assert abs(push.left_kN[0]) > 5.0 * abs(push.ahead_kN[0])
    assert np.hypot(push.ahead_kN, push.left_kN) == pytest.approx([60.0 * np.hypot(1, 0.3) / np.cos(np.pi / 24)])
    assert push.carried_kN == pytest.approx([295.0 - 0.3 * 30.0])


def test_use_and_limit_agree() -> None:
    """Use above 1 in still air closes the road, below 1 it does not."""
    wind = Wind(np.full((1, 1), 5.0), np.full((1, 1), 5.0), 0.0, np.zeros(3), 1.25)
    for ahead in (50.0, 100.0, 150.0, 200.0, 250.0):
        shaking, still = np.array([[60.0, 30.0]]), one(ahead, 20.0)
        use = earthquake.worst_push(oval(), still, shaking, 0.3).use_ratio[0]
        limit = earthquake.grouped_limit_mps(oval(), still, wind, shaking, other_ratio=0.3, highest_mps=80.0)[0, 0]
        assert (limit > 0.0) == (use <= 1.0) or abs(use - 1.0) < 0.03


def test_unknown_shaking_is_unknown() -> None:
    wind = Wind(np.ones((2, 1)), np.ones((2, 1)), 0.0, np.zeros(3), 1.25)
    two = Still((np.zeros(2), np.zeros(2)), (np.zeros(2), np.zeros(2)), np.full(2, 295.0))
    shaking = np.array([[60.0, np.nan], [60.0, 30.0]])
    limit = earthquake.grouped_limit_mps(oval(), two, wind, shaking, other_ratio=0.3, highest_mps=80.0)
    assert np.isnan(limit[:, 0]).tolist() == [True, False]
    assert np.isnan(earthquake.worst_push(oval(), two, shaking, 0.3).use_ratio).tolist() == [True, False]


def test_many_levels_are_rounded_up_to_a_few() -> None:
    horizontal, vertical = np.linspace(0.5, 2.5, 40), np.linspace(0.2, 1.0, 40)
    raised = earthquake.levels(horizontal, vertical)
    assert len(np.unique(raised, axis=0)) <= 64
    assert (raised[:, 0] >= horizontal - 1e-12).all()
    assert (raised[:, 1] >= vertical - 1e-12).all()
    assert raised.max(axis=0) == pytest.approx([2.5, 1.0])


def test_few_levels_stay_as_they_are() -> None:
    assert earthquake.levels(np.array([2.0, 2.0, np.nan]), np.full(3, 0.9))[:2].tolist() == [[2.0, 0.9]] * 2
