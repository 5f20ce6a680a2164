"""The reference arrangement of eight chains: the polytope below support planes, and by linear programming."""

import numpy as np
import pytest
from scipy.optimize import linprog
from scipy.spatial import ConvexHull, HalfspaceIntersection

from transport.load_cases.envelope import Envelope
from transport.load_cases.polytope import facets, push_use_ratio
from transport.securing.arrangement import Arrangement, direction_ratio
from transport.securing.chains import axial_stiffness_kN, length_m, pull_ratio
from transport.securing.equilibrium import Restraint, wrench_kN
from transport.securing.friction import fan_ratio
from transport.securing.limit_analysis import free_kN

SIGNS = ((1, 1), (1, -1), (-1, 1), (-1, -1))
WEIGHT = 490.5


@pytest.fixture(scope="module")
def reference() -> Arrangement:
    """50 t, eight 16 mm chains of LC 160 kN: four flared corner chains, then four pure side chains; f_mu mu = 0.225."""
    ends = [((2.6 * x, 1.0 * y, 1.2), (4.6 * x, 2.0 * y, 0.0)) for x, y in SIGNS]
    ends += [((1.5 * x, 1.3 * y, 1.4), (1.5 * x, 2.6 * y, 0.0)) for x, y in SIGNS]
    on_load_m, on_deck_m = (np.array(points) for points in zip(*ends, strict=True))
    return Arrangement(
        restraint=Restraint(
            reference_m=np.array([0.0, 0.0, 1.8]),
            on_load_m=on_load_m,
            pull_ratio=pull_ratio(on_load_m, on_deck_m),
            contact_m=np.array([(3.0 * x, 1.25 * y, 0.0) for x, y in SIGNS]),
            normal_ratio=np.tile([0.0, 0.0, 1.0], (4, 1)),
            friction_ratio=np.full(4, 0.225),
        ),
        capacity_kN=np.full(8, 160.0),
        fixed_kN=np.zeros(8),
        length_m=length_m(on_load_m, on_deck_m),
        stiffness_kN=axial_stiffness_kN(np.full(8, 0.016), 0.5e8),
        contact_limit_kN=np.full(4, 1.0e4),
        is_pad=np.ones(4, dtype=bool),
        weight_kN=WEIGHT,
        tolerance_m=0.0,
        movement_m=1.0,
        least_ratio=0.1,
    )


@pytest.fixture(scope="module")
def free(reference: Arrangement) -> tuple[np.ndarray, np.ndarray]:
    """Limit analysis with every chain free, one crediting and so a convex set: resistance and virtual velocity."""
    return free_kN(reference, with_friction=True)


def polytope(force_kN: np.ndarray):  # type: ignore[no-untyped-def]
    return facets(Envelope(np.array([0.5, 1.5]), np.tile(force_kN, (2, 1)), np.ones((2, 3)), WEIGHT))


def test_published_ends_of_the_polytope(free: tuple[np.ndarray, np.ndarray]) -> None:
    """1.0237 W forward and 1.1030 W to the side with every chain free (worked example of 50 t, computed)."""
    at = np.array([[1.0237 * WEIGHT, 0.0], [0.0, 1.1030 * WEIGHT]])
    assert push_use_ratio(polytope(free[0]), *at.T, np.ones(2)) == pytest.approx([1.0, 1.0], abs=1e-4)


def test_error_between_the_directions(free: tuple[np.ndarray, np.ndarray]) -> None:
    """Chords inside, support planes of the virtual velocities outside, corners by qhull: the truth is between."""
    force_kN, velocity = free
    ends = force_kN[:, None] * direction_ratio()
    normal = velocity[:, :2] * np.sign(np.sum(velocity[:, :2] * ends, axis=1))[:, None]
    normal /= np.linalg.norm(normal, axis=1)[:, None]
    planes = np.column_stack([normal, -np.sum(normal * ends, axis=1)])
    assert (ends @ normal.T + planes[:, 2] <= 1e-5 * WEIGHT).all()
    outer = HalfspaceIntersection(planes, np.zeros(2)).intersections
    outer = outer[np.isfinite(outer).all(axis=1)]
    use = push_use_ratio(polytope(force_kN), *outer.T, np.ones(len(outer)))
    assert 1.0 - 1.0 / np.max(use) < 0.05
    assert ConvexHull(ends).volume <= ConvexHull(outer).volume <= 1.02 * ConvexHull(ends).volume


def test_pushes_inside_are_held(reference: Arrangement, free: tuple[np.ndarray, np.ndarray]) -> None:
    """Equilibrium of each random push on the edge, written anew for scipy's linear programming."""
    restraint, inside = reference.restraint, polytope(free[0])
    pads = [np.vstack([fan_ratio(normal, 16), normal]) for normal in restraint.normal_ratio]
    columns = [wrench_kN(restraint.pull_ratio, restraint.on_load_m, restraint.reference_m)]
    columns += [
        wrench_kN(pad, np.broadcast_to(at, pad.shape), restraint.reference_m)
        for pad, at in zip(pads, restraint.contact_m, strict=True)
    ]
    balance = np.concatenate(columns).T
    slip = np.zeros((4, balance.shape[1]))
    for pad in range(4):
        slip[pad, 8 + 17 * pad : 8 + 17 * pad + 16] = 1.0
        slip[pad, 8 + 17 * pad + 16] = -0.225
    for angle in np.random.default_rng(20260311).uniform(0.0, 2.0 * np.pi, 60):
        towards = np.array([np.cos(angle), np.sin(angle)])
        size_kN = 1.0 / push_use_ratio(inside, *towards[:, None], np.ones(1))[0]
        wrench = np.concatenate([size_kN * towards * (1 - 1e-7), [-WEIGHT, 0.0, 0.0, 0.0]])
        bounds = [(0.0, 160.0)] * 8 + [(0.0, None)] * (balance.shape[1] - 8)
        zero = np.zeros(balance.shape[1])
        found = linprog(zero, A_ub=slip, b_ub=np.zeros(4), A_eq=balance, b_eq=-wrench, bounds=bounds)
        assert found.status == 0
