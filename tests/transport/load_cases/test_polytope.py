"""The polytope against limit analysis, a dense scan and the laws; the first exit counts."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from transport.load_cases.envelope import Envelope, rising, without_favour
from transport.load_cases.polytope import SIGNS, Actions, Facets, Gale, facets, first_pressure_kPa, push_use_ratio
from transport.securing.assess import arrangement, assess
from transport.securing.chains import resisting_ratio
from transport.securing.equilibrium import collapse, wrench_kN
from transport.securing.inputs import Chain, Contact, Securing, Unit

NODES = np.array([0.6, 1.0, 1.2])
ARM = np.array([0.1, 0.05, 0.4])
TOLERANCE = 0.05
FORCES = st.lists(st.floats(40.0, 200.0), min_size=24, max_size=24)
PUSHES = st.tuples(st.floats(-50.0, 50.0), st.floats(-50.0, 50.0))
WINDS = st.tuples(st.floats(-30.0, 30.0), st.floats(-30.0, 30.0), st.floats(0.0, 40.0))


def square(force_kN: float = 100.0) -> Envelope:
    return Envelope(np.array([0.5, 1.5]), np.full((2, 24), force_kN), np.full((2, 3), 1000.0), 300.0)


def rough(forces: list[float]) -> Envelope:
    """Any shape, growing with the weight on the pads, with its cuts."""
    table = np.outer([0.3, 0.8, 1.0, 1.3], forces)
    moment = np.outer([0.3, 0.8, 1.0, 1.3], [900.0, 1800.0, 300.0])
    return without_favour(rising(Envelope(np.array([0.2, 0.6, 1.0, 1.4]), table, moment, 300.0)))


def single(ahead: float, left: float, carried: float = 295.0) -> Actions:
    """One push and none: its quadrants see it as it is, the others the axis beside it."""
    ends = [(max(ahead * x, 0.0) * x, max(left * y, 0.0) * y) for x, y in SIGNS]
    ahead_kN, left_kN = (np.array(values)[:, None, None] for values in zip(*ends, strict=True))
    return Actions(ahead_kN, left_kN, np.array([[carried]]))


def gale(ahead_m2: float, left_m2: float, lift_m2: float = 0.0, arm: tuple[float, ...] = (0.1, 0.05, 0.4)) -> Gale:
    x, y, z = arm
    turning = [z * abs(left_m2) + y * lift_m2, z * abs(ahead_m2) + x * lift_m2, x * abs(left_m2) + y * abs(ahead_m2)]
    return Gale(np.array([[ahead_m2]]), np.array([[left_m2]]), lift_m2, np.array(turning)[:, None, None])


def use_at(inside: Facets, actions: Actions, wind: Gale, pressure: np.ndarray) -> np.ndarray:
    """Use of all pushes under each pressure, by the sector of each and a lookup of the moments; (pressures,)."""
    ahead = actions.ahead_kN[:, :, 0, None] + pressure * wind.ahead_m2[0, 0]
    left = actions.left_kN[:, :, 0, None] + pressure * wind.left_m2[0, 0]
    factor = np.broadcast_to((actions.carried_kN[:, 0, None] - pressure * wind.lift_m2) / inside.weight_kN, ahead.shape)
    use = push_use_ratio(inside, ahead, left, factor)
    for per_kNm, turn in zip(inside.moment_per_kNm.T, wind.moment_m3[:, 0, 0], strict=True):
        use = use + pressure * turn * np.interp(factor, inside.vertical_ratio, per_kNm)
    signs = np.array(SIGNS)[:, :, None, None]
    own = (ahead * signs[:, 0] >= 0.0) & (left * signs[:, 1] >= 0.0)
    return np.max(np.where(own, use, 0.0), axis=(0, 1))


def limit(envelope: Envelope, actions: Actions, wind: Gale) -> float:
    return float(first_pressure_kPa(facets(envelope), actions, wind)[0, 0])


def test_use_in_and_between_the_directions() -> None:
    """Geometry: between two directions the edge of the polygon lies cos 7.5 deg nearer."""
    angle = np.deg2rad([0.0, 15.0, 7.5, -97.5])
    use = push_use_ratio(facets(square()), 50.0 * np.cos(angle), 50.0 * np.sin(angle), np.ones(4))
    inward = 1.0 / np.cos(np.deg2rad(7.5))
    assert use == pytest.approx([0.5, 0.5, 0.5 * inward, 0.5 * inward])


def test_use_runs_straight_between_vertical_factors() -> None:
    envelope = replace(square(), force_kN=np.stack([np.full(24, 50.0), np.full(24, 150.0)]))
    use = push_use_ratio(facets(envelope), np.full(3, 60.0), np.zeros(3), np.array([0.5, 1.0, 1.5]))
    assert use == pytest.approx([60 / 50, (60 / 50 + 60 / 150) / 2, 60 / 150])


def test_outside_the_vertical_factors_nothing_is_held() -> None:
    use = push_use_ratio(facets(square()), np.full(3, 1.0), np.zeros(3), np.array([0.4, 1.6, np.nan]))
    assert use[:2].tolist() == [np.inf, np.inf]
    assert np.isnan(use[2])
    assert limit(square(), single(0.0, 0.0, 149.0), gale(1.0, 0.0)) == 0.0
    assert limit(square(), single(0.0, 0.0, 451.0), gale(1.0, 0.0)) == 0.0


def test_no_push_uses_nothing() -> None:
    assert push_use_ratio(facets(square()), np.zeros(1), np.zeros(1), np.ones(1)) == pytest.approx([0.0])


def test_a_closed_direction_holds_nothing() -> None:
    closed = square()
    closed.force_kN[:, 3] = -1e30
    assert push_use_ratio(facets(closed), np.array([1.0]), np.array([1.0]), np.ones(1))[0] > 1e6
    assert limit(closed, single(0.0, 0.0), gale(10.0, 10.0)) == pytest.approx(0.0, abs=1e-6)
    assert limit(closed, single(1.0, 1.0), gale(10.0, 10.0)) == 0.0


def test_along_an_axis_by_hand() -> None:
    """60 + 20 q = 100 without moments; with M_y = 0.4 * 20 q / 1000 and M_z = 0.05 * 20 q / 1000 beside it."""
    assert limit(square(), single(60.0, 0.0), gale(20.0, 0.0, arm=(0, 0, 0))) == pytest.approx(2.0)
    turned = limit(square(), single(60.0, 0.0), gale(20.0, 0.0))
    assert turned == pytest.approx(0.4 / (0.2 + 0.45 * 20.0 / 1000.0))


def test_lift_lowers_what_is_held_by_hand() -> None:
    """20 q / R = 1 with 1 / R straight from 1 / 50 at 0.5 to 1 / 150 at 1.5: a quadratic in q."""
    envelope = replace(square(), force_kN=np.stack([np.full(24, 50.0), np.full(24, 150.0)]))
    found = limit(envelope, single(0.0, 0.0, 300.0), gale(20.0, 0.0, 15.0, (0, 0, 0)))
    at = np.roots([20.0 * 15.0 / 300.0 * (1 / 50 - 1 / 150), 20.0 * (1 / 50 + 1 / 150) / 2, -1.0])
    assert found == pytest.approx(at[at > 0][0])


def test_below_the_lowest_vertical_factor_the_limit_is_the_lift() -> None:
    assert limit(square(), single(0.0, 0.0, 300.0), gale(0.0, 0.0, 100.0, (0, 0, 0))) == pytest.approx(1.5)


def test_nothing_limits_too_much_and_unknown() -> None:
    calm = gale(0.0, 0.0)
    assert limit(square(), single(60.0, 0.0), calm) == np.inf
    assert limit(square(), single(100.0001, 0.0), calm) == 0.0
    assert limit(square(), single(0.0, -100.0001), calm) == 0.0
    for unknown in (single(np.nan, 0.0), single(0.0, np.nan), single(0.0, 0.0, np.nan)):
        assert np.isnan(limit(square(), unknown, gale(1.0, 1.0)))
    for unknown_wind in (gale(np.nan, 0.0), gale(0.0, np.nan), gale(1.0, 1.0, np.nan), gale(1, 1, arm=(np.nan, 0, 0))):
        assert np.isnan(limit(square(), single(60.0, 0.0), unknown_wind))
        assert np.isnan(limit(square(), single(160.0, 0.0), unknown_wind))
    for table in ("force_kN", "moment_kNm"):
        holed = square()
        getattr(holed, table)[0, 1] = np.nan
        assert np.isnan(limit(holed, single(60.0, 0.0), gale(1.0, 0.0)))


def test_a_push_that_passes_a_weak_direction_stops_there() -> None:
    """From 90 kN ahead to the left, past a notch at 45 degrees: the first exit counts, in a set that is not convex."""
    notched = square(400.0)
    notched.force_kN[:, 3] = 130.0
    notched = without_favour(notched)
    assert limit(notched, single(0.0, 300.0), gale(0.0, 10.0, arm=(0, 0, 0))) == pytest.approx(10.0)
    found = limit(notched, single(90.0, 0.0), gale(0.0, 10.0, arm=(0, 0, 0)))
    pressure = np.linspace(0.0, 40.0, 40001)
    use = push_use_ratio(facets(notched), np.full(40001, 90.0), 10.0 * pressure, np.ones(40001))
    assert found == pytest.approx(pressure[np.argmax(use > 1.0)], abs=1.1e-3)


@settings(max_examples=60, deadline=None)
@given(FORCES, PUSHES, WINDS, st.floats(130.0, 400.0))
def test_law_closed_form_is_a_dense_scan(
    forces: list[float], push: tuple[float, float], wind: tuple[float, float, float], carried: float
) -> None:
    """The first pressure of even steps at which any push uses more than 1, found without the closed form."""
    envelope, actions, air = rough(forces), single(*push, carried), gale(*wind)
    found = limit(envelope, actions, air)
    high = min(found * 1.2, 30.0) if found > 0.0 else 1.0
    pressure = np.linspace(0.0, high, 4001)
    outside = use_at(facets(envelope), actions, air, pressure) > 1.0 + 1e-9
    scanned = pressure[np.argmax(outside)] if outside.any() else np.inf
    assert found <= scanned
    assert min(found, high) == pytest.approx(min(scanned, high), abs=1.01 * high / 4000)


@settings(max_examples=60, deadline=None)
@given(FORCES, PUSHES, WINDS, st.integers(0, 23), st.floats(1.0, 2.0), st.floats(0.0, 1.0))
def test_laws_of_direction(
    forces: list[float],
    push: tuple[float, float],
    wind: tuple[float, float, float],
    chosen: int,
    factor: float,
    part: float,
) -> None:
    """Stronger anywhere never lowers; more push, area, lift, arm and less weight never raise. Exactly, not nearly."""
    envelope, actions, air = rough(forces), single(*push), gale(*wind)
    base = limit(envelope, actions, air)
    room = 1.0 + 1e-9
    stronger = list(forces)
    stronger[chosen] *= factor
    assert limit(rough(stronger), actions, air) * room >= base
    assert limit(envelope, single(push[0] * factor, push[1]), air) <= base * room
    assert limit(envelope, single(*push, 295.0 * (0.5 + 0.5 * part)), air) <= base * room
    assert limit(envelope, actions, gale(wind[0] * factor, wind[1] * factor, wind[2] * factor)) <= base * room
    assert limit(envelope, actions, gale(*wind[:2], wind[2] * factor)) <= base * room
    assert limit(envelope, actions, gale(*wind, (0.1, 0.05 * factor, 0.4 * factor))) <= base * room


@settings(max_examples=30, deadline=None)
@given(FORCES, PUSHES, WINDS, st.floats(0.1, 50.0))
def test_law_of_scale(
    forces: list[float], push: tuple[float, float], wind: tuple[float, float, float], scale: float
) -> None:
    """Every force and moment larger by one factor, and the area too: the same pressure."""
    envelope = rough(forces)
    larger = replace(
        envelope,
        force_kN=envelope.force_kN * scale,
        moment_kNm=envelope.moment_kNm * scale,
        weight_kN=envelope.weight_kN * scale,
    )
    found = limit(larger, single(push[0] * scale, push[1] * scale, 295.0 * scale), gale(*(a * scale for a in wind)))
    assert found == pytest.approx(limit(envelope, single(*push), gale(*wind)), rel=1e-6)


@settings(max_examples=30, deadline=None)
@given(FORCES, st.tuples(st.floats(-90, 90), st.floats(-90, 90)), st.integers(0, 23))
def test_law_of_the_turned_table(forces: list[float], push: tuple[float, float], turn: int) -> None:
    """Before the cut along the axes the facets turn with the directions."""
    table = replace(square(), force_kN=np.tile(forces, (2, 1)))
    turned = replace(table, force_kN=np.roll(table.force_kN, turn, axis=1))
    angle = np.deg2rad(15.0 * turn)
    ahead = push[0] * np.cos(angle) - push[1] * np.sin(angle)
    left = push[0] * np.sin(angle) + push[1] * np.cos(angle)
    ones = np.ones(1)
    use = push_use_ratio(facets(turned), np.array([ahead]), np.array([left]), ones)
    assert use == pytest.approx(push_use_ratio(facets(table), *(np.array([value]) for value in push), ones), rel=1e-6)


@settings(max_examples=30, deadline=None)
@given(FORCES, st.floats(0.2, 1.4), st.floats(0.0, 360.0))
def test_law_inside_the_star_of_straight_lines(forces: list[float], factor: float, angle_deg: float) -> None:
    """Never beyond the chord between two directions with resistances straight between vertical factors."""
    envelope, angle = rough(forces), np.deg2rad(angle_deg)
    use = push_use_ratio(facets(envelope), np.cos([angle]), np.sin([angle]), np.array([factor]))
    straight = [np.interp(factor, envelope.vertical_ratio, held) for held in envelope.force_kN.T]
    k = int(angle_deg // 15.0)
    past = np.deg2rad(angle_deg - 15.0 * k)
    step = np.deg2rad(15.0)
    least = np.sin(step - past) / straight[k % 24] + np.sin(past) / straight[(k + 1) % 24]
    assert use[0] >= least / np.sin(step) * (1 - 1e-9)


def test_many_pushes_stations_and_winds_are_each_alone() -> None:
    """Seen together or one by one: the same."""
    random = np.random.default_rng(20260310)
    inside = facets(rough(list(random.uniform(40.0, 200.0, 24))))
    signs = np.array(SIGNS)[:, :, None, None]
    size = random.uniform(0.0, 60.0, (2, 4, 5, 7))
    actions = Actions(signs[:, 0] * size[0], signs[:, 1] * size[1], random.uniform(200.0, 350.0, (5, 7)))
    ahead, left = random.uniform(-30.0, 30.0, (2, 7, 9))
    air = Gale(ahead, left, 12.0, np.abs(np.stack([0.4 * left, 0.3 * ahead, 0.1 * left])))
    together = first_pressure_kPa(inside, actions, air)
    for n in range(7):
        each = [
            first_pressure_kPa(
                inside,
                Actions(actions.ahead_kN[:, [p], n : n + 1], actions.left_kN[:, [p], n : n + 1], carried[None, None]),
                Gale(ahead[n : n + 1], left[n : n + 1], 12.0, air.moment_m3[:, n : n + 1]),
            )
            for p, carried in enumerate(actions.carried_kN[:, n])
        ]
        assert together[n] == pytest.approx(np.min(each, axis=0)[0], rel=1e-8)


@pytest.fixture
def sound(unit: Unit, chains: list[Chain], contacts: list[Contact], securing: Securing):  # type: ignore[no-untyped-def]
    held = assess(unit, chains, contacts, securing, vertical_ratio=NODES)
    arranged = arrangement(unit, chains, contacts, divisor_ratio=securing.capacity_divisor)
    force_kN, moment_kNm = held["resistance_kN"].sel(model="equilibrium").values, held["moment_resistance_kNm"].values
    return arranged, without_favour(rising(Envelope(NODES, force_kN, moment_kNm, arranged.weight_kN)))


def test_what_the_polytope_takes_exact_limit_analysis_holds(sound) -> None:  # type: ignore[no-untyped-def]
    """Wrenches on its edge with moments, lift and an error of the centre of mass, by scipy's linear programming."""
    arranged, envelope = sound
    random = np.random.default_rng(20260309)
    count, weight_kN, lift = 150, arranged.weight_kN, 10.0
    angle, wind = random.uniform(0, 2 * np.pi, (2, count))
    size = random.uniform(0.0, 0.5, count) * weight_kN
    carried = random.uniform(0.8, 1.2, count) * weight_kN
    arm = tuple(ARM + TOLERANCE * np.array([2**0.5, 2**0.5, 1.0]))
    checked = 0
    for row in range(count):
        push = size[row] * np.array([np.cos(angle[row]), np.sin(angle[row])])
        area = 60.0 * np.array([np.cos(wind[row]), np.sin(wind[row])])
        pressure = limit(envelope, single(*push, carried[row]), gale(*area, lift, arm))
        if pressure > 0.0:
            checked += 1
            shift = TOLERANCE * np.append(random.uniform(-1, 1, 2), 1.0)
            air = pressure * np.append(area, lift)
            assert _holds(arranged, np.append(push, -carried[row]), shift, air, ARM * random.choice([-1.0, 1.0], 3))
    assert checked > 80


def _holds(arranged, push, shift, air, off_m) -> bool:  # type: ignore[no-untyped-def]
    """In one of the two ways, stops or direct chains, as the direction of the push counts them."""
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
