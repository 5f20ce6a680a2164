"""LC3: the shaking beside the range of pushes, against a search over every sense of it."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from transport.load_cases import earthquake
from transport.load_cases.combination import Still, Wind, gust_limit_mps, worst_push
from transport.load_cases.envelope import Envelope, rising, without_favour
from transport.load_cases.polytope import SIGNS, facets, push_use_ratio

NODES = np.array([0.5, 1.0, 1.4])
WIND = Wind(np.full((1, 1), 5.0), np.full((1, 1), 5.0), 0.0, np.zeros(3), 1.25)


def oval() -> Envelope:
    """Strong along, weak across, growing with the weight on the pads."""
    angle = np.deg2rad(15.0 * np.arange(24))
    shape = 1.0 / np.hypot(np.cos(angle) / 300.0, np.sin(angle) / 150.0)
    force = np.outer(0.4 + 0.6 * NODES, shape)
    return without_favour(rising(Envelope(NODES, force, np.outer(NODES, [900.0, 1800.0, 300.0]), 300.0)))


INSIDE = facets(oval())


def one(ahead: float, left: float) -> Still:
    pair = (np.array([min(ahead, 0)]), np.array([max(ahead, 0)])), (np.array([min(left, 0)]), np.array([max(left, 0)]))
    return Still(*pair, np.array([295.0]))


def shaken(ahead: float, left: float, horizontal: float, up: float):  # type: ignore[no-untyped-def]
    return earthquake.shaken(one(ahead, left), np.array([[horizontal, up]]), 0.3)


@pytest.mark.parametrize("direction", range(0, 24, 3))
def test_the_worst_push_covers_every_shake(direction: int) -> None:
    """100/30/30, every sense of it (EN 1998-1 4.3.3.5) upwards, against a search by degrees."""
    angle = np.deg2rad(15.0 * direction)
    ahead, left = 80.0 * np.cos(angle), 40.0 * np.sin(angle)
    found = worst_push(INSIDE, shaken(ahead, left, 60.0, 30.0)).use_ratio[0]
    senses = np.deg2rad(np.arange(0.0, 360.0, 1.0))
    uses = []
    for part, up_part in ((np.hypot(1, 0.3), 0.3), (np.hypot(0.3, 0.3), 1.0)):
        x, y = ahead + part * 60.0 * np.cos(senses), left + part * 60.0 * np.sin(senses)
        uses.append(push_use_ratio(INSIDE, x, y, np.full(360, (295.0 - up_part * 30.0) / 300.0)))
    assert np.max(uses) <= found <= np.max(np.max(uses, axis=1) * np.sqrt(1.0 + np.sin(np.deg2rad([3.75, 9.0]))))


def test_the_shaking_of_every_direction_lies_inside_the_pushes() -> None:
    """Some push of the quadrant is larger along both axes, and by no more than it says."""
    actions = shaken(0.0, 0.0, 60.0, 30.0)
    for sense in np.deg2rad(np.arange(0.0, 360.0, 0.5)):
        x, y = 60.0 * np.hypot(1, 0.3) * np.array([np.cos(sense), np.sin(sense)])
        quadrant = SIGNS.index((1.0 if x >= 0.0 else -1.0, 1.0 if y >= 0.0 else -1.0))
        ahead, left = np.abs(actions.ahead_kN[quadrant, :, 0]), np.abs(actions.left_kN[quadrant, :, 0])
        assert ((ahead >= abs(x) - 1e-9) & (left >= abs(y) - 1e-9)).any()
    reach = np.hypot(actions.ahead_kN, actions.left_kN).max()
    assert reach <= 60.0 * np.hypot(1, 0.3) * np.sqrt(1.0 + np.sin(np.deg2rad(3.75))) * (1 + 1e-12)


@settings(max_examples=20, deadline=None)
@given(st.lists(st.floats(80.0, 200.0), min_size=24, max_size=24), st.floats(5.0, 40.0), st.floats(0.0, 2 * np.pi))
def test_law_no_shake_leaves_below_the_limit(forces: list[float], horizontal: float, angle: float) -> None:
    """Every half degree of the circle at the limit, in sets that are not convex, where points far apart pass a dent."""
    table = Envelope(NODES, np.outer(0.4 + 0.6 * NODES, forces), np.outer(NODES, [900.0, 1800.0, 300.0]), 300.0)
    inside, still = facets(without_favour(rising(table))), one(20.0, 10.0)
    wind = Wind(np.array([[50.0 * np.cos(angle)]]), np.array([[50.0 * np.sin(angle)]]), 0.0, np.zeros(3), 1.25)
    limit = gust_limit_mps(inside, earthquake.shaken(still, np.array([[horizontal, 10.0]]), 0.3), wind)[0, 0]
    if limit == 0.0:
        return
    air = 0.5e-3 * 1.25 * limit**2
    senses = np.deg2rad(np.arange(0.0, 360.0, 0.5))
    for part, up_part in ((np.hypot(1, 0.3), 0.3), (np.hypot(0.3, 0.3), 1.0)):
        for ahead, left in ((0.0, 0.0), (20.0, 0.0), (0.0, 10.0), (20.0, 10.0)):
            x = ahead + air * 50.0 * np.cos(angle) + part * horizontal * np.cos(senses)
            y = left + air * 50.0 * np.sin(angle) + part * horizontal * np.sin(senses)
            assert (push_use_ratio(inside, x, y, np.full(720, (295.0 - up_part * 10.0) / 300.0)) <= 1.0 + 1e-9).all()


def test_a_shake_that_is_too_strong_closes() -> None:
    assert gust_limit_mps(INSIDE, shaken(0.0, 0.0, 200.0, 30.0), WIND) == 0.0


def test_no_shake_changes_nothing() -> None:
    actions = shaken(50.0, -20.0, 0.0, 0.0)
    assert np.unique(actions.ahead_kN).tolist() == [0.0, 50.0]
    assert np.unique(actions.left_kN).tolist() == [-20.0, 0.0]
    assert np.unique(actions.carried_kN).tolist() == [295.0]


@settings(max_examples=40, deadline=None)
@given(st.floats(0.0, 250.0), st.floats(0.0, 140.0), st.floats(0.0, 60.0))
def test_use_and_limit_give_one_verdict(ahead: float, horizontal: float, up: float) -> None:
    """Use above 1 in still air closes the road, below 1 it does not."""
    actions = shaken(ahead, 20.0, horizontal, up)
    use, limit = worst_push(INSIDE, actions).use_ratio[0], gust_limit_mps(INSIDE, actions, WIND)[0, 0]
    assert (limit > 0.0) == (use <= 1.0)


@settings(max_examples=40, deadline=None)
@given(st.tuples(st.floats(-60, 60), st.floats(-40, 40)), st.floats(0.0, 80.0), st.floats(1.0, 2.0), st.booleans())
def test_more_shaking_never_raises_a_limit(
    push: tuple[float, float], horizontal: float, factor: float, upwards: bool
) -> None:
    weak = gust_limit_mps(INSIDE, shaken(*push, horizontal, 20.0), WIND)
    more = (horizontal, 20.0 * factor) if upwards else (horizontal * factor, 20.0)
    assert gust_limit_mps(INSIDE, shaken(*push, *more), WIND) <= weak * (1 + 1e-9)


def test_the_worst_push_is_the_worst_sense() -> None:
    """Across is weaker: with no other push the shake to the side uses most."""
    push = worst_push(INSIDE, shaken(0.0, 0.0, 60.0, 30.0))
    assert abs(push.left_kN[0]) > 5.0 * abs(push.ahead_kN[0])
    assert np.abs(push.left_kN) == pytest.approx([60.0 * np.hypot(1, 0.3)], rel=3e-3)
    assert push.carried_kN == pytest.approx([295.0 - 0.3 * 30.0])


def test_unknown_shaking_is_unknown() -> None:
    wind = Wind(np.ones((2, 1)), np.ones((2, 1)), 0.0, np.zeros(3), 1.25)
    two = Still((np.zeros(2), np.zeros(2)), (np.zeros(2), np.zeros(2)), np.full(2, 295.0))
    for hole in ([60.0, np.nan], [np.nan, 30.0]):
        actions = earthquake.shaken(two, np.array([hole, [60.0, 30.0]]), 0.3)
        assert np.isnan(gust_limit_mps(INSIDE, actions, wind)[:, 0]).tolist() == [True, False]
        assert np.isnan(worst_push(INSIDE, actions).use_ratio).tolist() == [True, False]
