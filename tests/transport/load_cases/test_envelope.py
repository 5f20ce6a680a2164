"""The envelope never takes more than exact limit analysis, and the first crossing counts."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from transport.load_cases.envelope import (
    Demand,
    Envelope,
    between,
    first_crossing,
    push_use_ratio,
    rising,
    use_ratio,
    without_favour,
)
from transport.securing.assess import arrangement, assess
from transport.securing.chains import resisting_ratio
from transport.securing.equilibrium import collapse, wrench_kN
from transport.securing.inputs import Chain, Contact, Securing, Unit

NODES = np.array([0.6, 1.0, 1.2])
ARM = np.array([0.1, 0.05, 0.4])
TOLERANCE = 0.05


def square(force_kN: float = 100.0) -> Envelope:
    return Envelope(np.array([0.5, 1.5]), np.full((2, 24), force_kN), np.full((2, 3), 1000.0), 300.0)


def test_use_in_and_between_the_directions() -> None:
    """Geometry: between two directions the edge of the polygon lies cos 7.5 deg nearer."""
    angle = np.deg2rad([0.0, 15.0, 7.5, -97.5])
    use = push_use_ratio(square(), 50.0 * np.cos(angle), 50.0 * np.sin(angle), np.ones(4))
    inward = 1.0 / np.cos(np.deg2rad(7.5))
    assert use == pytest.approx([0.5, 0.5, 0.5 * inward, 0.5 * inward])


def test_resistance_runs_straight_between_vertical_factors() -> None:
    envelope = replace(square(), force_kN=np.stack([np.full(24, 50.0), np.full(24, 150.0)]))
    use = push_use_ratio(envelope, np.full(3, 60.0), np.zeros(3), np.array([0.5, 1.0, 1.5]))
    assert use == pytest.approx([60 / 50, 60 / 100, 60 / 150])


def test_outside_the_vertical_factors_nothing_is_held() -> None:
    use = push_use_ratio(square(), np.full(3, 1.0), np.zeros(3), np.array([0.4, 1.6, np.nan]))
    assert use[:2].tolist() == [np.inf, np.inf]
    assert np.isnan(use[2])


def test_no_push_uses_nothing() -> None:
    assert push_use_ratio(square(), np.zeros(1), np.zeros(1), np.ones(1)) == pytest.approx([0.0])


def test_a_closed_direction_holds_nothing() -> None:
    closed = square()
    closed.force_kN[:, 3] = -1e30
    assert push_use_ratio(closed, np.array([1.0]), np.array([1.0]), np.ones(1))[0] == np.inf


def test_moments_of_the_wind_add() -> None:
    """|M_x| / m_x + |M_y| / m_y + |M_z| / m_z, by hand: 10 kN to the left and 4 kN up, arms 0.1, 0.05 and 0.4 m."""
    demand = Demand(*np.zeros((2, 1)), np.array([300.0]), np.array([0.0]), np.array([10.0]), 4.0, ARM)
    use = use_ratio(square(), demand, np.ones(1))
    moment = (10 * 0.4 + 4 * 0.05) + 4 * 0.1 + 10 * 0.1
    assert use == pytest.approx([10.0 / 100.0 + moment / 1000.0])
    half = use_ratio(replace(square(), spent_ratio=np.full(2, 0.5)), demand, np.ones(1))
    assert half == pytest.approx([10.0 / 100.0 + moment / 500.0])
    assert use_ratio(replace(square(), spent_ratio=np.ones(2)), demand, np.ones(1)) == np.inf


def test_less_weight_never_holds_more() -> None:
    envelope = replace(square(), force_kN=np.stack([np.full(24, 150.0), np.full(24, 90.0)]))
    assert rising(envelope).force_kN.tolist() == np.full((2, 24), 90.0).tolist()


def test_a_push_smaller_along_both_axes_never_uses_more() -> None:
    """A weak direction at 15 degrees cuts off what lies beyond it: x <= 0.6 cos 15 wherever y >= 0.6 sin 15."""
    dented = square()
    dented.force_kN[:, 1] = 60.0
    cut = without_favour(dented).force_kN[0]
    assert cut[0] == pytest.approx(100.0)
    assert cut[1] == pytest.approx(60.0)
    assert cut[2] == pytest.approx(60.0 * np.cos(np.deg2rad(15)) / np.cos(np.deg2rad(30)))
    assert cut[4:] == pytest.approx(np.full(20, 100.0), rel=0.05)


@settings(max_examples=50, deadline=None)
@given(
    st.lists(st.floats(20.0, 200.0), min_size=24, max_size=24),
    st.tuples(st.floats(-90, 90), st.floats(-90, 90)),
    st.tuples(st.floats(0, 1), st.floats(0, 1)),
)
def test_law_of_the_smaller_push(forces: list[float], push: tuple[float, float], part: tuple[float, float]) -> None:
    cut = without_favour(replace(square(), force_kN=np.tile(forces, (2, 1))))
    assert (cut.force_kN <= np.array(forces) * (1 + 1e-9)).all()
    ahead, left = (np.array([value, value * share]) for value, share in zip(push, part, strict=True))
    use = push_use_ratio(cut, ahead, left, np.ones(2))
    assert use[1] <= use[0] * (1 + 1e-9)


def test_shares_between_nodes() -> None:
    inside, row, weight = between(np.array([1.0, 2.0, 4.0]), np.array([0.9, 1.0, 3.0, 4.0, 4.1]))
    assert inside.tolist() == [False, True, True, True, False]
    assert row.tolist() == [0, 0, 1, 1, 1]
    assert weight[1:4] == pytest.approx([0.0, 0.5, 1.0])


def test_first_crossing_counts_and_the_side_that_holds_is_given() -> None:
    uses = [lambda v: v / 20.0, lambda v: 1.0 + 0 * v + 0.1, lambda v: 0 * v, lambda v: np.nan * v]
    uses.append(lambda v: np.where((v > 12.0) & (v < 33.0), 2.0, 0.5))

    def use_at(value: np.ndarray, rows: np.ndarray) -> np.ndarray:
        return np.array([float(uses[row](speed)) for speed, row in zip(value, rows, strict=True)])

    limit = first_crossing(use_at, 5, high=80.0, steps_count=16)
    assert limit[0] == pytest.approx(20.0, abs=1e-3)
    assert limit[0] <= 20.0
    assert limit[1] == 0.0
    assert limit[2] == np.inf
    assert np.isnan(limit[3])
    assert limit[4] == pytest.approx(12.0, abs=1e-3)


def test_unknown_above_rest_is_a_crossing() -> None:
    limit = first_crossing(lambda v, rows: np.where(v > 7.0, np.nan, 0.2), 1, high=80.0, steps_count=16)
    assert limit == pytest.approx([7.0], abs=1e-3)


@pytest.fixture
def sound(unit: Unit, chains: list[Chain], contacts: list[Contact], securing: Securing):  # type: ignore[no-untyped-def]
    held = assess(unit, chains, contacts, securing, vertical_ratio=NODES)
    arranged = arrangement(unit, chains, contacts, divisor_ratio=securing.capacity_divisor)
    force_kN, moment_kNm = held["resistance_kN"].sel(model="equilibrium").values, held["moment_resistance_kNm"].values
    return arranged, rising(Envelope(NODES, force_kN, moment_kNm, arranged.weight_kN))


def test_what_the_envelope_takes_exact_limit_analysis_holds(sound) -> None:  # type: ignore[no-untyped-def]
    """The wrench itself, moments, lift and an error of the centre of mass included, in the limit analysis."""
    arranged, envelope = sound
    random = np.random.default_rng(20260309)
    count, weight_kN = 150, arranged.weight_kN
    angle, wind = random.uniform(0, 2 * np.pi, (2, count))
    demand = Demand(
        ahead_kN=random.uniform(0.1, 1.2, count) * weight_kN * np.cos(angle),
        left_kN=random.uniform(0.1, 1.2, count) * weight_kN * np.sin(angle),
        carried_kN=random.uniform(0.7, 1.2, count) * weight_kN,
        wind_ahead_m2=30.0 * np.cos(wind),
        wind_left_m2=30.0 * np.sin(wind),
        lift_m2=10.0,
        arm_m=ARM + TOLERANCE * np.array([2**0.5, 2**0.5, 1.0]),
    )
    pressure = random.uniform(0.0, 1.5, count)

    def use_at(factor: np.ndarray, rows: np.ndarray) -> np.ndarray:
        part = demand.part(rows)
        scaled = replace(part, ahead_kN=part.ahead_kN * factor, left_kN=part.left_kN * factor)
        return use_ratio(envelope, scaled, pressure[rows])

    factor = first_crossing(use_at, count, high=20.0, steps_count=80)
    checked = np.flatnonzero((factor > 0.0) & np.isfinite(factor))
    assert len(checked) > 80
    for row in checked:
        shift = TOLERANCE * np.append(random.uniform(-1, 1, 2), 1.0)
        off_m = ARM * random.choice([-1.0, 1.0], 3)
        push = np.array(
            [demand.ahead_kN[row] * factor[row], demand.left_kN[row] * factor[row], -demand.carried_kN[row]]
        )
        air = pressure[row] * np.array([demand.wind_ahead_m2[row], demand.wind_left_m2[row], demand.lift_m2])
        assert _holds(arranged, push, shift, air, off_m)


def _holds(arranged, push, shift, air, off_m) -> bool:  # type: ignore[no-untyped-def]
    restraint = arranged.restraint
    total = wrench_kN(push, restraint.reference_m + shift, restraint.reference_m)
    total = total + wrench_kN(air, restraint.reference_m + off_m, restraint.reference_m)
    towards = (push + air)[:2] / np.linalg.norm((push + air)[:2])
    counted = resisting_ratio(restraint.pull_ratio, towards) > 0.1
    blocking = arranged.is_pad | (resisting_ratio(restraint.normal_ratio, towards) > 0.1)
    found = collapse(
        restraint,
        fixed_kN=total[None],
        scaled_kN=np.append(push[:2] + air[:2], [0, 0, 0, 0])[None],
        tension_limit_kN=(arranged.capacity_kN * counted)[None],
        contact_limit_kN=(arranged.contact_limit_kN * blocking)[None],
        scale_kN=arranged.weight_kN,
    )
    return found.status == ("limit found",)


@settings(max_examples=50, deadline=None)
@given(ahead=st.floats(-300, 300), left=st.floats(-300, 300), factor=st.floats(1.0, 2.0))
def test_a_larger_push_never_uses_less(ahead: float, left: float, factor: float) -> None:
    use = push_use_ratio(square(), np.array([ahead, ahead * factor]), np.array([left, left * factor]), np.ones(2))
    assert use[1] >= use[0] * (1 - 1e-12)
