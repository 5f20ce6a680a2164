"""Limit analysis against problems solved by hand, with the trap of friction that the free analysis falls into."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from transport.securing.chains import pull_ratio
from transport.securing.equilibrium import Collapse, Restraint, collapse, mechanism, wrench_kN

Expected = Callable[[str], dict]
BASE = [(1.0, 1.0, 0.0), (1.0, -1.0, 0.0), (-1.0, 1.0, 0.0), (-1.0, -1.0, 0.0)]
UP = (0.0, 0.0, 1.0)
AHEAD, LEFT, RISE = (1.0, 0, 0, 0, 0, 0), (0, 1.0, 0, 0, 0, 0), (0, 0, 1.0, 0, 0, 0)
WEIGHT = (0, 0, -100.0, 0, 0, 0)
NO_CHAINS: list[tuple[tuple[float, ...], tuple[float, ...]]] = []


def solved(
    chains: list[tuple[tuple[float, ...], tuple[float, ...]]],
    push: tuple[float, ...],
    *,
    friction: float,
    limit_kN: float = 0.0,
    fixed: tuple[float, ...] = WEIGHT,
    centre_m: tuple[float, ...] = (0.0, 0.0, 0.5),
    stops: tuple[tuple[tuple[float, ...], tuple[float, ...], float], ...] = (),
    stop_friction: float = 0.0,
    tight_kN: float = 0.0,
    sides: int = 16,
) -> Collapse:
    """100 kN on four pads, 2 m by 2 m; tight_kN: tension of chains that do not change."""
    points = np.array(chains, dtype=float).reshape(-1, 2, 3)
    restraint = Restraint(
        reference_m=np.array(centre_m),
        on_load_m=points[:, 0],
        pull_ratio=pull_ratio(points[:, 0], points[:, 1]),
        contact_m=np.array(BASE + [stop[0] for stop in stops]),
        normal_ratio=np.array([UP] * 4 + [stop[1] for stop in stops]),
        friction_ratio=np.array([friction] * 4 + [stop_friction] * len(stops)),
    )
    lashed = tight_kN * wrench_kN(restraint.pull_ratio, restraint.on_load_m, restraint.reference_m).sum(axis=0)
    return collapse(
        restraint,
        fixed_kN=np.array([fixed]) + lashed,
        scaled_kN=np.array([push], dtype=float),
        tension_limit_kN=np.full((1, len(points)), limit_kN),
        contact_limit_kN=np.array([[np.inf] * 4 + [stop[2] for stop in stops]]),
        scale_kN=100.0,
        sides_count=sides,
    )


REAR = [((-1.0, 1.0, 3.0), (-3.0, 1.0, 0.0)), ((-1.0, -1.0, 3.0), (-3.0, -1.0, 0.0))]
UPRIGHT = [((0.0, 1.0, 1.0), (0.0, 1.0, 0.0)), ((0.0, -1.0, 1.0), (0.0, -1.0, 0.0))]
SLOPE = 1.0 / np.tan(np.deg2rad(75.0))
OVER = [((x, y, 1.0), (x, y * (1.0 + SLOPE), 0.0)) for x in (-0.8, 0.0, 0.8) for y in (1.0, -1.0)]
STOP = ((1.0, 0.0, 0.5), (-1.0, 0.0, 0.0), 60.0)
CASES = {
    "T1": lambda: solved([((-1.0, 0, 0.5), (-3.0, 0, 0.5))], AHEAD, friction=0.3, limit_kN=50.0),
    "T2": lambda: solved(OVER, LEFT, friction=0.4, tight_kN=10.0),
    "T3a": lambda: solved(NO_CHAINS, AHEAD, friction=1.0, centre_m=(0, 0, 2.0)),
    "T3b": lambda: solved(REAR, AHEAD, friction=1.0, limit_kN=10.0, centre_m=(0, 0, 2.0)),
    "T3c": lambda: solved(REAR, AHEAD, friction=0.6, limit_kN=10.0, centre_m=(0, 0, 2.0)),
    "T4a": lambda: solved(UPRIGHT, AHEAD, friction=0.3, limit_kN=100.0),
    "T4b": lambda: solved(UPRIGHT, AHEAD, friction=0.3, tight_kN=10.0),
    "T6": lambda: solved(NO_CHAINS, AHEAD, friction=0.3, centre_m=(0.3, 0.4, 0.0)),
    "T7": lambda: solved(NO_CHAINS, (0, 0, 0, 0, 0, 1.0), friction=0.3, centre_m=(0, 0, 0.0)),
    "T8": lambda: solved(NO_CHAINS, AHEAD, friction=0.3, stops=(STOP,)),
    "T9": lambda: solved(UPRIGHT, RISE, friction=0.3, limit_kN=20.0),
    "CV42": lambda: solved(
        NO_CHAINS, (np.cos(np.pi / 8), np.sin(np.pi / 8), 0, 0, 0, 0), friction=0.3, centre_m=(0, 0, 0.0), sides=8
    ),
}


@pytest.mark.parametrize("key", CASES)
def test_closed_forms(expected: Expected, key: str) -> None:
    found = CASES[key]()
    assert found.status == ("limit found",)
    rel = 1e-4 if key == "CV42" else 1e-6
    assert found.multiplier_ratio == pytest.approx([expected("equilibrium")[key].expected], rel=rel)


def test_the_trap_is_two_and_a_half_times_too_high(expected: Expected) -> None:
    """Chains across the push, tightened only to press the load down: 90 instead of 36."""
    free, tight = CASES["T4a"](), CASES["T4b"]()
    assert free.multiplier_ratio / tight.multiplier_ratio == pytest.approx([2.5])
    assert free.tension_kN == pytest.approx(np.array([[100.0, 100.0]]))


def test_net_uplift_is_not_in_equilibrium_and_never_zero() -> None:
    """T10: 10 kN upwards, no chain."""
    found = solved(NO_CHAINS, AHEAD, friction=0.3, fixed=(0, 0, 10.0, 0, 0, 0))
    assert found.status == ("not in equilibrium",)
    assert np.isnan(found.multiplier_ratio).all()


def test_a_load_that_only_the_push_would_hold_is_not_in_equilibrium() -> None:
    """The centre of mass stands 0.5 m outside the pads; a push would bring it back, but it falls first."""
    found = solved(NO_CHAINS, AHEAD, friction=0.9, centre_m=(-1.5, 0.0, 0.5))
    assert found.status == ("not in equilibrium",)
    assert np.isnan(found.multiplier_ratio).all()


def test_a_missing_cap_is_named() -> None:
    """A push straight into pads without a capacity; two facing stops with friction and no capacity."""
    assert solved(NO_CHAINS, (0, 0, -1.0, 0, 0, 0), friction=0.3).status == ("unbounded",)
    facing = (((1.0, 0, 0.5), (-1.0, 0, 0), np.inf), ((-1.0, 0, 0.5), (1.0, 0, 0), np.inf))
    found = solved(NO_CHAINS, LEFT, friction=0.3, stops=facing, stop_friction=0.3)
    assert found.status == ("unbounded",)
    assert found.multiplier_ratio == np.inf


def test_one_bad_problem_does_not_spoil_its_neighbours() -> None:
    found = solved(NO_CHAINS, AHEAD, friction=0.3)
    restraint = Restraint(
        np.zeros(3), np.zeros((0, 3)), np.zeros((0, 3)), np.array(BASE), np.array([UP] * 4), np.full(4, 0.3)
    )
    three = collapse(
        restraint,
        fixed_kN=np.array([WEIGHT, (0, 0, 10.0, 0, 0, 0), WEIGHT]),
        scaled_kN=np.array([AHEAD, AHEAD, (0, 0, -1.0, 0, 0, 0)]),
        tension_limit_kN=np.zeros((3, 0)),
        contact_limit_kN=np.full((3, 4), np.inf),
        scale_kN=100.0,
    )
    assert three.status == ("limit found", "not in equilibrium", "unbounded")
    assert three.multiplier_ratio[0] == pytest.approx(found.multiplier_ratio[0])


def test_forces_balance_to_the_last_digit() -> None:
    """Residual of forces and moments below 1e-6 of the weight (calculation practice for lashing sheets)."""
    found = CASES["T3b"]()
    points = np.array(REAR)
    pull = pull_ratio(points[:, 0], points[:, 1])
    about = np.array([0.0, 0.0, 2.0])
    vertical = found.tension_kN[0] @ pull[:, 2] + found.contact_kN[0].sum() - 100.0
    pitching = found.tension_kN[0] @ wrench_kN(pull, points[:, 0], about)[:, 4]
    assert vertical == pytest.approx(0.0, abs=1e-4)
    assert np.isfinite(pitching)


@pytest.mark.parametrize(
    ("velocity", "name"),
    [((1, 0, 0, 0, 0, 0.1), "sliding"), ((0.1, 0, 0, 0, 0, 1), "turning"), ((0.2, 0, 0, 0, 1, 0), "tipping")],
)
def test_mechanism(velocity: tuple[float, ...], name: str) -> None:
    assert mechanism(np.array(velocity, dtype=float), 2.0, 0.0) == name


def test_mechanisms_of_the_closed_forms() -> None:
    assert mechanism(CASES["T3a"]().velocity_ratio[0], 1.4, 2.0) == "tipping"
    assert mechanism(CASES["T7"]().velocity_ratio[0], 1.4, 0.0) == "turning"
    assert mechanism(CASES["T6"]().velocity_ratio[0], 1.4, 0.0) == "sliding"


@settings(max_examples=25, deadline=None)
@given(friction=st.floats(0.05, 0.6), limit_kN=st.floats(1.0, 80.0), angle=st.floats(0.0, 6.28))
def test_laws_of_the_limit(friction: float, limit_kN: float, angle: float) -> None:
    """Less friction or a weaker chain never holds more; no friction and free chains bracket it (Drucker 1954)."""
    push = (np.cos(angle), np.sin(angle), 0, 0, 0, 0)
    held = solved(REAR, push, friction=friction, limit_kN=limit_kN).multiplier_ratio[0]
    assert solved(REAR, push, friction=0.9 * friction, limit_kN=limit_kN).multiplier_ratio[0] <= held * (1 + 1e-9)
    assert solved(REAR, push, friction=friction, limit_kN=0.9 * limit_kN).multiplier_ratio[0] <= held * (1 + 1e-9)
    assert solved(REAR, push, friction=0.0, limit_kN=limit_kN).multiplier_ratio[0] <= held * (1 + 1e-9)
