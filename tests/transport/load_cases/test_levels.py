"""What each code compares with, on the reference arrangement of eight 16 mm chains and on numbers worked by hand."""

from collections.abc import Callable

import numpy as np
import pytest

from transport.load_cases import levels
from transport.load_cases.ride import Masses
from transport.load_cases.statutory import level_rows
from transport.load_cases.tiedowns import tiedowns
from transport.securing.arrangement import Arrangement
from transport.securing.assess import arrangement
from transport.securing.inputs import Chain, Contact, Unit
from transport.securing.sliding import direct_lashing_force_kN

SIGNS = ((1, 1), (1, -1), (-1, 1), (-1, -1))
MASSES = Masses(50.0, 50.0, 50.0, 9.81)
LISTED_KN = 8200.0 * 9.81 / 1000.0  # 5/8 in of grade 80
Make = Callable[..., Arrangement]


@pytest.fixture
def lines(chains: list[Chain]) -> list[Chain]:
    """50 t on eight chains: four flared corner chains, then four pure side chains."""
    corner = [((2.6 * x, 1.0 * y, 1.2), (4.6 * x, 2.0 * y, 0.0)) for x, y in SIGNS]
    side = [((1.5 * x, 1.3 * y, 1.4), (1.5 * x, 2.6 * y, 0.0)) for x, y in SIGNS]
    ends = enumerate(corner + side)
    return [chains[n].model_copy(update={"on_load_m": a, "on_deck_m": b, "lc_kN": 2 * LISTED_KN}) for n, (a, b) in ends]


@pytest.fixture
def made(unit: Unit, lines: list[Chain], contacts: list[Contact]) -> Make:
    still = {"mass_t": 50.0, "mass_tolerance_t": 0.0, "centre_of_mass_tolerance_m": 0.0, "allowed_movement_m": 0.2}
    body = unit.model_copy(update=still | {"centre_of_mass_m": (0.0, 0.0, 1.8)})
    pads = [
        pad.model_copy(update={"position_m": (3.0 * x, 1.25 * y, 0.0), "capacity_kN": 1e4})
        for pad, (x, y) in zip(contacts, SIGNS, strict=False)
    ]
    strong = [line.model_copy(update={"lc_kN": 2.0 * line.lc_kN}) for line in lines]

    def make(divisor: float = 1.0, *, doubled: bool = False) -> Arrangement:
        return arrangement(body, strong if doubled else lines, pads, divisor_ratio=divisor)

    return make


def test_reference_arrangement_by_the_rule_of_the_united_states(
    expected: Callable[[str], dict], made: Make, lines: list[Chain]
) -> None:
    """5/8 in of grade 80, 80.44 kN: 57.58 kN forward, 75.40 kN rearward; without friction 155.6 kN, which fails."""
    checks, whole = expected("united_states"), made()
    tied = tiedowns(lines, whole, made(doubled=True))
    assert tied.limit_kN == pytest.approx(np.full(8, LISTED_KN))
    _, limits = levels.levels(["49 CFR 393"], whole, np.zeros((4, 24)), tied, MASSES, 1.0)
    found = {row.direction: row for row in level_rows(limits, MASSES)}
    pull = whole.restraint.pull_ratio[:2]
    for key, direction, friction in (("fwd", "forward", 0.225), ("rear", "rearward", 0.225), ("bare", "rearward", 0.0)):
        check, row = checks[f"ref-{key}"], found[direction]
        along, down = np.abs(pull[:, 0]), -pull[:, 2]
        force_kN = direct_lashing_force_kN(490.5, row.sliding_ratio, friction, along, down)
        assert force_kN == pytest.approx(check.expected, abs=check.tolerance)
        sliding_kN = limits.by_model_kN[0, int(row.angle_deg) // 15]
        use = row.frictionless_ratio if friction == 0.0 else row.sliding_ratio * 490.5 / sliding_kN
        assert (use <= 1.0) == (force_kN <= LISTED_KN)
    assert found["rearward"].frictionless_ratio >= 155.6 / LISTED_KN - 1e-3
    assert {row.way for row in found.values()} == {"chains"}


def test_levels_of_the_codes(made: Make, lines: list[Chain]) -> None:
    whole, divided = made(), made(1.5)
    tied = tiedowns(lines, whole, made(doubled=True))
    held = np.zeros((4, 24))
    found = levels.levels(["49 CFR 393", "CTU Code", "EN 12195-1"], divided, held, tied, MASSES, 1.5)
    assert [level.words for level in found] == ["LC / 1.5", "MSL / 1.5", "breaking strength", "WLL"]
    assert found[2].arrangement.capacity_kN == pytest.approx(np.full(8, 200.0))  # the anchor, not doubled
    assert found[3].arrangement.capacity_kN == pytest.approx(np.full(8, LISTED_KN))
    assert (found[2].by_model_kN >= found[3].by_model_kN - 1e-6).all()
    plain = levels.levels(["EN 12195-1"], whole, held, tied, MASSES, 1.0)
    assert [level.words for level in plain] == ["LC"]


def test_the_least_over_the_tolerance_of_the_mass() -> None:
    """Rising in the weight the least mass governs, falling in it the greatest."""
    nodes, masses = np.array([0.5, 1.0, 1.5]), Masses(100.0, 95.0, 105.0, 10.0)
    table = np.zeros((2, 3, 24))
    table[0], table[1] = np.array([50.0, 100.0, 150.0])[:, None], np.array([150.0, 100.0, 50.0])[:, None]
    assert levels.at_level_kN(nodes, table, masses) == pytest.approx(np.full((2, 24), 95.0))
    assert np.isnan(levels.at_level_kN(nodes, table, Masses(100.0, 40.0, 105.0, 10.0))).all()


def test_a_top_over_leg_keeps_its_tension_within_the_limit(
    unit: Unit, chains: list[Chain], contacts: list[Contact]
) -> None:
    over = [c.model_copy(update={"method": "frictional", "pair": f"T{n // 2}"}) for n, c in enumerate(chains)]
    whole = arrangement(unit, over, contacts, divisor_ratio=1.0)
    limit_kN = np.array([8.0] + [80.0] * 7)
    found = levels.with_capacity(whole, limit_kN)
    assert found.fixed_kN == pytest.approx([8.0 / 1.25] + [16.0 / 1.25] * 7)
    assert (found.capacity_kN == 0.0).all()


def test_what_friction_and_top_over_lashings_hold(unit: Unit, chains: list[Chain], contacts: list[Contact]) -> None:
    whole = arrangement(unit, chains, contacts, divisor_ratio=1.0)
    assert levels.steady_kN(whole, 300.0) == pytest.approx(np.full(24, 0.225 * 300.0))
    assert levels.stops_kN(whole, 1.0)[[0, 6, 12]] == pytest.approx([250.0, 0.0, 250.0], rel=0.01)


@pytest.mark.parametrize(
    ("left_kN", "rate", "slide"),
    [(-1.0, 5.0, 0.0), (10.0, 1000.0, 0.01), (10.0, 0.0, np.inf), (np.nan, 5.0, np.nan), (1.0, np.nan, np.inf)],
)
def test_slide(left_kN: float, rate: float, slide: float) -> None:
    assert levels.slide_m(left_kN, rate) == pytest.approx(slide, nan_ok=True)


def test_the_way_is_stops_only_where_there_are_some(
    unit: Unit, chains: list[Chain], contacts: list[Contact], made: Make
) -> None:
    whole = arrangement(unit, chains, contacts, divisor_ratio=1.5)
    masses = Masses(31.0, 30.5, 31.5, 9.81)
    level = levels.Level("EN 12195-1", "LC", "LC / 1.5", whole, levels.held_kN(whole, masses))
    found = levels.ways(level, masses)
    assert (found[0], found[6], found[12], found[18]) == ("stops", "chains", "stops", "chains")
