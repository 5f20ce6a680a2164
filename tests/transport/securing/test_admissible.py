"""One set of forces in equilibrium: against statics by hand, and laws that it must keep."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from transport.securing.admissible import Admissible, admissible
from transport.securing.arrangement import Arrangement, contact_limits_kN, counted, direction_ratio
from transport.securing.capacity import by_model_kN, stopped_kN
from transport.securing.equilibrium import Restraint, collapse, friction_kN

SIGNS = ((1, 1), (1, -1), (-1, 1), (-1, -1))
WAYS = ("chains", "stops")


def arranged(tolerance_m: float = 0.05, friction: float = 0.225) -> Arrangement:
    """Eight chains, four pads, a stop at either end, 300 kN, centre of mass 1.2 m high."""
    on_load = np.array([(2.4 * x, 1.0 * y, 0.8) for x, y in SIGNS] + [(1.2 * x, 0.7 * y, 1.0) for x, y in SIGNS])
    on_deck = np.array([(4.4 * x, 1.4 * y, 0.0) for x, y in SIGNS] + [(1.2 * x, 1.4 * y, 0.0) for x, y in SIGNS])
    length_m = np.linalg.norm(on_deck - on_load, axis=1)
    pads = [(2.2 * x, 1.1 * y, 0.0) for x, y in SIGNS]
    return Arrangement(
        restraint=Restraint(
            reference_m=np.array([0.0, 0.0, 1.2]),
            on_load_m=on_load,
            pull_ratio=(on_deck - on_load) / length_m[:, None],
            contact_m=np.array([*pads, (2.6, 0.0, 0.3), (-2.6, 0.0, 0.3)]),
            normal_ratio=np.array([(0.0, 0.0, 1.0)] * 4 + [(-1.0, 0.0, 0.0), (1.0, 0.0, 0.0)]),
            friction_ratio=np.array([friction] * 4 + [0.0, 0.0]),
        ),
        capacity_kN=np.full(8, 100.0),
        fixed_kN=np.zeros(8),
        length_m=length_m,
        stiffness_kN=np.full(8, 12800.0),
        contact_limit_kN=np.array([400.0] * 4 + [250.0, 250.0]),
        is_pad=np.array([True] * 4 + [False] * 2),
        weight_kN=300.0,
        tolerance_m=tolerance_m,
        movement_m=0.02,
        least_ratio=0.25,
    )


def found(one: Arrangement, direction: int, force_kN: float, carried_kN: float, way: str) -> Admissible:
    push = np.array([*(direction_ratio()[direction] * force_kN), carried_kN])
    if way == "stops":
        limits = np.zeros_like(one.capacity_kN), contact_limits_kN(one)[direction]
    else:
        limits = one.capacity_kN * counted(one)[direction], one.contact_limit_kN * one.is_pad
    return admissible(one, push, tension_limit_kN=limits[0], contact_limit_kN=limits[1])


def test_weight_alone_on_four_pads_by_hand() -> None:
    """Moments about the pads' lines: the centre of mass 0.1 m forward and to the left of the middle, no chains."""
    one = arranged(tolerance_m=0.1, friction=0.0)
    bare = admissible(
        one, np.array([0.0, 0.0, 300.0]), tension_limit_kN=np.zeros(8), contact_limit_kN=np.full(6, 400.0) * one.is_pad
    )
    ahead, aside = bare.centre_m[:2]
    front, left = bare.normal_kN[:2].sum(), bare.normal_kN[[0, 2]].sum()
    assert bare.normal_kN.sum() == pytest.approx(300.0)
    assert front == pytest.approx(300.0 * (0.5 + ahead / 4.4))
    assert left == pytest.approx(300.0 * (0.5 + aside / 2.2))
    assert (bare.tension_kN == 0.0).all()


def test_two_chains_without_friction_share_a_push_forward_by_hand() -> None:
    """sum T h = H with h = cos(alpha) cos(beta) = 2 / sqrt(4 + 0.16 + 0.64) of the two rear chains."""
    pulled = found(arranged(tolerance_m=0.0, friction=0.0), 0, 120.0, 300.0, "chains")
    assert pulled.tension_kN[:2] == pytest.approx([0.0, 0.0])
    assert pulled.tension_kN[2:4].sum() * 2.0 / np.sqrt(4.8) == pytest.approx(120.0)
    assert pulled.contact_kN[:, :2] == pytest.approx(np.zeros((6, 2)), abs=1e-9)


def test_a_stop_alone_takes_what_friction_leaves() -> None:
    """H less the friction used; by EN 12195-1:2010, 5.3, blocking beside friction (from memory)."""
    stopped = found(arranged(), 0, 200.0, 300.0, "stops")
    rubbed = -stopped.contact_kN[:4, 0].sum()
    assert stopped.normal_kN[4] + rubbed == pytest.approx(200.0)
    assert rubbed <= 0.225 * 300.0 + 1e-6
    assert stopped.normal_kN[5] == pytest.approx(0.0, abs=1e-9)


@settings(max_examples=30, deadline=None)
@given(
    direction=st.integers(0, 23),
    force_kN=st.floats(0.0, 250.0),
    carried_kN=st.floats(240.0, 330.0),
    way=st.sampled_from(WAYS),
)
def test_forces_and_moments_add_up_to_nothing(direction: int, force_kN: float, carried_kN: float, way: str) -> None:
    """Newton's first law, summed here from the vectors alone; tension pulls, contacts push, friction within Coulomb."""
    one, push = arranged(), direction_ratio()[direction] * force_kN
    held = found(one, direction, force_kN, carried_kN, way)
    if np.isnan(held.use_ratio):
        assert held.status == "not in equilibrium"
        return
    pulls = held.tension_kN[:, None] * one.restraint.pull_ratio
    weight = np.array([*push, -carried_kN])
    assert np.linalg.norm(pulls.sum(axis=0) + held.contact_kN.sum(axis=0) + weight) < 1e-6 * one.weight_kN
    turning = np.cross(one.restraint.on_load_m - held.centre_m, pulls).sum(axis=0)
    turning = turning + np.cross(one.restraint.contact_m - held.centre_m, held.contact_kN).sum(axis=0)
    assert np.linalg.norm(turning) < 1e-6 * one.weight_kN
    assert max(held.residual_kN, held.residual_kNm) < 1e-6 * one.weight_kN
    assert (held.tension_kN >= 0.0).all() and (held.normal_kN >= 0.0).all()
    rubbed = np.linalg.norm(held.contact_kN - held.normal_kN[:, None] * one.restraint.normal_ratio, axis=1)
    assert (rubbed <= one.restraint.friction_ratio * held.normal_kN + 1e-6).all()


@settings(max_examples=20, deadline=None)
@given(direction=st.integers(0, 23), carried=st.floats(0.8, 1.1), way=st.sampled_from(WAYS))
def test_it_proves_the_push_exactly_where_the_limit_analysis_does(direction: int, carried: float, way: str) -> None:
    one, level = arranged(), np.array([carried])
    if way == "stops":
        limit_kN = float(stopped_kN(one, level)[0, direction])
    else:
        blind = replace(one, contact_limit_kN=one.contact_limit_kN * one.is_pad)
        limit_kN = float(by_model_kN(blind, level)[3, 0, direction])
    if not limit_kN > 0.0:
        return
    within, beyond = (found(one, direction, part * limit_kN, carried * 300.0, way) for part in (0.9999, 1.0001))
    assert within.use_ratio <= 1.0
    assert not beyond.use_ratio <= 1.0


@settings(max_examples=15, deadline=None)
@given(direction=st.integers(0, 23), force_kN=st.floats(10.0, 250.0), scale=st.floats(0.01, 100.0))
def test_a_scheme_of_larger_forces_has_larger_forces(direction: int, force_kN: float, scale: float) -> None:
    """Weight, push and capacities times k: the same use, forces times k."""
    one = arranged()
    large = replace(
        one,
        weight_kN=one.weight_kN * scale,
        capacity_kN=one.capacity_kN * scale,
        contact_limit_kN=one.contact_limit_kN * scale,
    )
    small, big = (
        found(one, direction, force_kN, 300.0, "chains"),
        found(large, direction, force_kN * scale, 300.0 * scale, "chains"),
    )
    assert big.use_ratio == pytest.approx(small.use_ratio, rel=1e-5, nan_ok=True)
    assert big.tension_kN.sum() == pytest.approx(
        small.tension_kN.sum() * scale, rel=1e-3, abs=1e-3 * scale, nan_ok=True
    )


@settings(max_examples=15, deadline=None)
@given(direction=st.integers(0, 23), force_kN=st.floats(10.0, 250.0), stronger=st.floats(1.0, 3.0))
def test_stronger_chains_never_use_more(direction: int, force_kN: float, stronger: float) -> None:
    one = arranged()
    strong = replace(one, capacity_kN=one.capacity_kN * stronger)
    uses = [found(each, direction, force_kN, 300.0, "chains").use_ratio for each in (one, strong)]
    assert uses[1] <= uses[0] * (1.0 + 1e-6) or np.isnan(uses).all()


def test_nothing_that_holds_is_unknown_and_said_in_words() -> None:
    """No friction, no chain, no stop that counts across the deck."""
    fallen = found(arranged(friction=0.0), 6, 50.0, 300.0, "stops")
    assert fallen.status == "not in equilibrium"
    assert np.isnan([fallen.use_ratio, fallen.residual_kN, fallen.residual_kNm, *fallen.tension_kN]).all()


def test_an_unknown_push_is_unknown() -> None:
    assert np.isnan(found(arranged(), 0, np.nan, 300.0, "chains").use_ratio)


def test_top_over_legs_keep_their_force() -> None:
    one = arranged()
    tied = replace(
        one, fixed_kN=np.array([0.0] * 6 + [10.0, 10.0]), capacity_kN=one.capacity_kN * ([1.0] * 6 + [0.0] * 2)
    )
    held = found(tied, 0, 100.0, 300.0, "chains")
    assert held.tension_kN[6:] == pytest.approx([10.0, 10.0])
    assert held.residual_kN < 1e-6 * 300.0


def test_friction_of_the_limit_is_told() -> None:
    """A block of 300 kN on friction alone slides at mu W: all of the friction points against the push."""
    one = arranged(tolerance_m=0.0)
    level = np.array([[0.0, 0.0, -300.0, 0.0, 0.0, 0.0]])
    ahead = np.array([[300.0, 0.0, 0.0, 0.0, 0.0, 0.0]])
    limit = collapse(
        one.restraint,
        fixed_kN=level,
        scaled_kN=ahead + np.array([[0.0, 0.0, 0.0, 0.0, -360.0, 0.0]]),
        tension_limit_kN=np.zeros((1, 8)),
        contact_limit_kN=np.array([[400.0] * 4 + [0.0] * 2]),
        scale_kN=300.0,
    )
    assert limit.multiplier_ratio == pytest.approx([0.225])
    assert limit.friction_kN[0].sum(axis=0) == pytest.approx([-67.5, 0.0, 0.0], abs=1e-6)
    assert friction_kN(one.restraint, np.zeros((2, 6 * 16))).shape == (2, 6, 3)
