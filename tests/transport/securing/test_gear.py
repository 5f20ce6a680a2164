"""What a lashing line carries: edges, shared lashing points, the weakest part; when a chain is discarded."""

from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from transport.securing.anchors import grouped, shared_rating_kN
from transport.securing.discard import elongation_ratio, greatest_pitch_mm, least_diameter_mm
from transport.securing.edge import capacity_ratio
from transport.securing.gear import gear_of
from transport.securing.inputs import Chain
from transport.securing.weakest import PARTS, weakest_part

Built = Callable[..., Any]
Expected = Callable[[str], dict[str, SimpleNamespace]]
FORCE = st.floats(1.0, 1000.0)
HERE = np.zeros(1, dtype=np.intp)


def one(**parts: float) -> tuple[float, str]:
    whole = {"lc": 160.0, "edge": 1.0, "shackle": np.inf, "tensioner": np.inf, "anchor": 200.0} | parts
    capacity_kN, names = weakest_part(*(np.array([value]) for value in whole.values()), HERE)
    return float(capacity_kN[0]), names[0]


# ---------------------------------------------------------------- discard


def test_limits_of_wear_and_pitch(expected: Expected) -> None:
    limits = expected("gear")
    assert greatest_pitch_mm(48.0, 16.0, 15.0) == pytest.approx(limits["CV24a"].expected, abs=1e-9)
    assert least_diameter_mm(16.0) == pytest.approx(limits["CV24b"].expected, abs=1e-9)
    assert elongation_ratio(49.44, 48.0) == pytest.approx(0.03)


@given(st.floats(10.0, 100.0), st.floats(6.0, 32.0), st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_less_wear_never_allows_more_pitch(new_mm: float, size_mm: float, worn_mm: float, more_mm: float) -> None:
    allowed = [greatest_pitch_mm(new_mm, size_mm, size_mm - wear_mm) for wear_mm in (worn_mm + more_mm, worn_mm, 0.0)]
    assert allowed == sorted(allowed, reverse=True)


# ---------------------------------------------------------------- edge


@pytest.mark.parametrize(("case", "radius_mm"), [("sharp", 8.0), ("d", 16.0), ("2d", 32.0), ("round", 33.0)])
def test_share_over_an_edge(expected: Expected, case: str, radius_mm: float) -> None:
    found = capacity_ratio(np.array([radius_mm / 1000.0]), np.array([0.016]))
    assert found[0] == expected("gear")[f"edge-{case}"].expected


def test_no_edge_takes_nothing_and_an_unknown_one_is_unknown() -> None:
    found = capacity_ratio(np.array([np.inf, np.nan, 0.0]), np.full(3, 0.016))
    np.testing.assert_array_equal(found, [1.0, np.nan, 0.5])


@given(st.floats(0.0, 0.1), st.floats(0.0, 0.1), st.floats(0.004, 0.045))
def test_a_rounder_edge_never_takes_more(radius_m: float, more_m: float, size_m: float) -> None:
    sharp, round_ = capacity_ratio(np.array([radius_m, radius_m + more_m]), np.full(2, size_m))
    assert sharp <= round_


@given(st.floats(0.0, 0.1), st.floats(0.004, 0.02), st.floats(0.0, 0.02))
def test_a_thicker_chain_never_keeps_a_greater_share(radius_m: float, size_m: float, more_m: float) -> None:
    thin, thick = capacity_ratio(np.full(2, radius_m), np.array([size_m, size_m + more_m]))
    assert thick <= thin


# ---------------------------------------------------------------- lashing points


def test_chains_share_a_point_by_place_or_by_name_and_through_each_other() -> None:
    deck_m = np.array([[4.0, 1.0, 0], [0, 0, 0], [4.008, 1.0, 0], [4.016, 1.0, 0], [-4.0, 1.0, 0], [-4.0, -1.0, 0]])
    group = grouped(deck_m, [None, None, None, None, "A1", "A1"], 0.010)
    np.testing.assert_array_equal(group, [0, 1, 0, 0, 4, 4])


def test_a_point_that_is_not_known_shares_with_nobody() -> None:
    np.testing.assert_array_equal(grouped(np.full((2, 3), np.nan), [None, None], 0.010), [0, 1])


def test_a_shared_point_is_split(expected: Expected) -> None:
    found = shared_rating_kN(np.array([200.0, 200.0, 90.0]), np.array([0, 0, 2]))
    assert found.tolist() == [expected("gear")["ring-2"].expected, 100.0, 90.0]


def test_the_least_rating_of_a_shared_point_counts_and_the_unknown_one_is_unknown() -> None:
    group = np.zeros(3, dtype=np.intp)
    np.testing.assert_array_equal(shared_rating_kN(np.array([200.0, 150.0, 180.0]), group), np.full(3, 50.0))
    assert np.isnan(shared_rating_kN(np.array([200.0, np.nan, 180.0]), group)).all()


POINTS = st.lists(st.tuples(FORCE, st.integers(0, 3)), min_size=1, max_size=8)


@given(POINTS)
def test_the_pulls_on_a_point_never_exceed_its_rating(chains: list[tuple[float, int]]) -> None:
    rating_kN = np.array([force for force, _ in chains])
    place = np.array([number for _, number in chains])
    group = grouped(np.stack([place, 0.0 * place, 0.0 * place], axis=-1), [None] * len(chains), 0.010)
    shared_kN = shared_rating_kN(rating_kN, group)
    for row in set(group.tolist()):
        members = group == row
        assert shared_kN[members].sum() <= rating_kN[members].min() * (1 + 1e-12)
    assert (shared_kN <= rating_kN).all()


@given(POINTS, FORCE)
def test_one_more_chain_on_a_point_never_raises_the_sum(chains: list[tuple[float, int]], more_kN: float) -> None:
    rating_kN = np.array([force for force, _ in chains])
    group = np.zeros(len(chains), dtype=np.intp)
    before_kN = shared_rating_kN(rating_kN, group).sum()
    after_kN = shared_rating_kN(np.append(rating_kN, more_kN), np.append(group, 0)).sum()
    assert after_kN <= before_kN * (1 + 1e-12)


# ---------------------------------------------------------------- weakest part


@pytest.mark.parametrize(
    ("parts", "capacity_kN", "name"),
    [
        ({}, 160.0, "LC of the chain"),
        ({"edge": 0.7}, 112.0, "edge"),
        ({"shackle": 83.0}, 83.0, "shackle"),
        ({"tensioner": 100.0, "edge": 0.7}, 100.0, "tensioner"),
        ({"anchor": 50.0, "shackle": 83.0}, 50.0, "anchor"),
        ({"anchor": 160.0}, 160.0, "LC of the chain"),
    ],
)
def test_the_weakest_part_governs_and_is_named(parts: dict[str, float], capacity_kN: float, name: str) -> None:
    """CSS Code annex 13, section 4: the weakest component governs (read)."""
    assert one(**parts) == (pytest.approx(capacity_kN), name)


@pytest.mark.parametrize(("part", "name"), [("lc", "LC of the chain"), ("shackle", "shackle"), ("anchor", "anchor")])
def test_an_unknown_part_makes_the_line_unknown_and_is_named(part: str, name: str) -> None:
    capacity_kN, named = one(**{part: np.nan})
    assert np.isnan(capacity_kN)
    assert named == name


def test_a_shared_point_governs() -> None:
    ones = np.ones(2)
    capacity_kN, names = weakest_part(160 * ones, ones, 900 * ones, 900 * ones, 200 * ones, np.zeros(2, dtype=np.intp))
    assert capacity_kN.tolist() == [100.0, 100.0]
    assert names == ("shared anchor", "shared anchor")


@given(st.tuples(FORCE, st.floats(0.1, 1.0), FORCE, FORCE, FORCE), st.integers(0, 4), st.floats(0.1, 1.0))
def test_a_lower_rating_never_raises_the_capacity(parts: tuple[float, ...], which: int, factor: float) -> None:
    names = ("lc", "edge", "shackle", "tensioner", "anchor")
    whole = dict(zip(names, parts, strict=True))
    weaker = whole | {names[which]: factor * parts[which]}
    assert one(**weaker)[0] <= one(**whole)[0]
    assert one(**whole)[1] in PARTS


# ---------------------------------------------------------------- from the tables


def test_gear_of_the_tables(tables: SimpleNamespace, built: Built) -> None:
    at = tables.chains[0].on_deck_m
    second = built(Chain, tag="C9", on_load_m=[2.0, 1.0, 0.8], on_deck_m=[at[0] + 0.005, at[1], 0.0])
    worn = built(Chain, tag="C10", edge_radius_mm=10.0, on_deck_m=[5.0, 0.0, 0.0], stf_kN=None)
    shackled = built(Chain, tag="C11", shackle_rating_kN=12.0, on_deck_m=[5.0, 1.0, 0.0])
    gear = gear_of([tables.chains[0], tables.chains[1], second, worn, shackled])
    assert gear.capacity_kN.tolist() == [100.0, 160.0, 100.0, 80.0, 12.0]
    assert gear.weakest == ("shared anchor", "LC of the chain", "shared anchor", "edge", "shackle")
    assert gear.pretension_kN.tolist() == [16.0, 16.0, 16.0, 0.0, 12.0]
    assert gear.anchor.tolist() == [0, 1, 0, 3, 4]


def test_both_legs_of_a_top_over_lashing_on_two_points_count_on_all_of_each(built: Built) -> None:
    legs = [
        built(Chain, tag=f"T{n}", method="frictional", pair="T", on_load_m=[0, 1.0 * y, 1.5], on_deck_m=[0, 1.4 * y, 0])
        for n, y in enumerate((1, -1))
    ]
    gear = gear_of(legs)
    assert gear.capacity_kN.tolist() == [160.0, 160.0]
    assert gear.pretension_kN.tolist() == [16.0, 16.0]
