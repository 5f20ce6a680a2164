"""The governing station and how its push is shared."""

import numpy as np
import pytest

from transport.load_cases.combination import Push
from transport.load_cases.envelope import Envelope
from transport.load_cases.governing import chain_tension_kN, governing, worst_row
from transport.securing.arrangement import without
from transport.securing.assess import arrangement
from transport.securing.capacity import MODELS
from transport.securing.inputs import Chain, Contact, Unit

NODES = np.array([0.5, 1.5])


def push(*use: float) -> Push:
    count = len(use)
    return Push(np.array(use), np.full(count, 80.0), np.full(count, 40.0), np.full(count, 300.0))


def held(chains: int = 1) -> tuple[Envelope, np.ndarray]:
    by_model = np.full((chains, 4, 2, 24), 400.0)
    by_model[:, 3] = 300.0
    by_model[:, 3, :, 2] = 200.0
    by_model[-1, 1, :, 1] = 150.0
    return Envelope(NODES, by_model.min(axis=(0, 1)), np.ones((2, 3)), 300.0), by_model


def test_the_largest_known_use_governs() -> None:
    assert worst_row(np.array([0.3, np.nan, 0.7, 0.2])) == 2
    assert worst_row(np.array([np.nan, np.inf])) == 1
    assert worst_row(np.array([np.nan])) is None


def test_directions_models_and_lost_chain() -> None:
    """The push lies at 26.6 degrees, between the directions 15 and 30; tipping at 15 holds least, last chain lost."""
    found = governing(push(0.2, 0.6, np.nan), *held(chains=3))
    assert found is not None
    assert (found.row, found.beside, found.direction) == (1, (1, 2), 1)
    assert found.model == MODELS[1]
    assert found.usable_kN == (150.0, 200.0)
    assert found.lost == 2
    assert found.push_kN == pytest.approx(np.hypot(80, 40))


def test_intact_has_no_lost_chain_and_unknown_has_no_place() -> None:
    found = governing(push(0.2), *held())
    assert found is not None
    assert found.lost is None
    assert governing(push(np.nan), *held()) is None


def test_tensions_balance_what_friction_leaves(unit: Unit, chains: list[Chain], contacts: list[Contact]) -> None:
    """Statics: push - mu N = sum T (h + mu v), with chains tightened to 16 kN before."""
    arranged = arrangement(unit, chains, contacts, divisor_ratio=1.5)
    strong = Push(np.array([0.9]), np.array([200.0]), np.array([0.0]), np.array([300.0]))
    found = governing(strong, *held())
    assert found is not None
    tension = chain_tension_kN(found, arranged, np.full(8, 16.0))
    pull = arranged.restraint.pull_ratio
    assert tension @ (-pull[:, 0] - 0.225 * pull[:, 2]) == pytest.approx(200.0 - 0.225 * 300.0)
    assert tension[[2, 3]] == pytest.approx(tension[2])
    assert tension[2] > 16.0 > tension[0]


def test_a_lost_chain_has_no_tension(unit: Unit, chains: list[Chain], contacts: list[Contact]) -> None:
    arranged = arrangement(unit, chains, contacts, divisor_ratio=1.0)
    strong = Push(np.array([0.9]), np.array([200.0]), np.array([0.0]), np.array([300.0]))
    table = held(chains=8)
    table[1][2, 3] = 100.0
    found = governing(strong, *table)
    assert found is not None
    assert found.lost == 2
    assert chain_tension_kN(found, without(arranged, found.lost), np.full(8, 16.0))[2] == 0.0
