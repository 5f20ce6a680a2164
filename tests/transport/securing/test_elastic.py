"""Elastic chains on a pushed unit against springs worked by hand, a separate programme, and the laws it must obey."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shared.errors import OutOfRangeError
from shared.tables import figure
from transport.securing import contact_spring, elastic, elastic_march
from transport.securing.arrangement import Arrangement, shared_kN, without
from transport.securing.chains import axial_stiffness_kN, length_m, pull_ratio
from transport.securing.elastic import FOUR_WAYS, first_chain_full
from transport.securing.limit_analysis import free_kN

Expected = Callable[[str], dict]
Chains = list[tuple[tuple[float, float, float], tuple[float, float, float]]]
LEVEL = np.ones(1)
AHEAD, LEFT = np.array([0]), np.array([6])
BACK, HIGH_M = (-2.0, 0.0, 1.8), 1.8


def stiff(reference: Arrangement) -> Arrangement:
    size_m = np.full(len(reference.capacity_kN), 0.016)
    return replace(reference, stiffness_kN=axial_stiffness_kN(size_m, figure("securing_chain_stiffness_catalogue_kPa")))


def rubbing(arrangement: Arrangement, friction: float) -> Arrangement:
    ratio = np.full_like(arrangement.restraint.friction_ratio, friction)
    return replace(arrangement, restraint=replace(arrangement.restraint, friction_ratio=ratio))


def chained(reference: Arrangement, chains: Chains, capacity_kN: list[float], stiffness_kN: list[float]) -> Arrangement:
    """The unit of the reference arrangement on its pads without friction, with other chains."""
    on_load_m, on_deck_m = (np.array(points) for points in zip(*chains, strict=True))
    restraint = replace(reference.restraint, on_load_m=on_load_m, pull_ratio=pull_ratio(on_load_m, on_deck_m))
    other = replace(
        reference,
        restraint=restraint,
        capacity_kN=np.array(capacity_kN),
        fixed_kN=np.zeros(len(chains)),
        length_m=length_m(on_load_m, on_deck_m),
        stiffness_kN=np.array(stiffness_kN),
    )
    return rubbing(other, 0.0)


def stopped(reference: Arrangement) -> Arrangement:
    """A stop of 250 kN in front and one behind, without friction."""
    restraint = replace(
        reference.restraint,
        contact_m=np.vstack([reference.restraint.contact_m, [(3.2, 0.0, 0.3), (-3.2, 0.0, 0.3)]]),
        normal_ratio=np.vstack([reference.restraint.normal_ratio, [(-1.0, 0.0, 0.0), (1.0, 0.0, 0.0)]]),
        friction_ratio=np.append(reference.restraint.friction_ratio, [0.0, 0.0]),
    )
    limit_kN, is_pad = np.append(reference.contact_limit_kN, [250.0, 250.0]), np.append(reference.is_pad, [False] * 2)
    return replace(reference, restraint=restraint, contact_limit_kN=limit_kN, is_pad=is_pad)


@pytest.mark.parametrize("push_kN", [30.0, 60.0, 80.0])
def test_two_opposed_chains(expected: Expected, reference: Arrangement, push_kN: float) -> None:
    """E1: pretension adds stiffness, not capacity."""
    tight, slack = (expected("elastic")[f"E1-{push_kN:.0f}{end}"] for end in ("", "-slack"))
    ends: Chains = [(BACK, (-4.0, 0.0, HIGH_M)), ((2.0, 0.0, HIGH_M), (4.0, 0.0, HIGH_M))]
    both = chained(reference, ends, [tight.expected] * 2, [1.0e4] * 2)
    found = first_chain_full(both, LEVEL, AHEAD, pretension_kN=30.0)
    assert found.multiplier_ratio * 490.5 == pytest.approx(push_kN, rel=1e-5)
    assert found.tension_kN[0, 0] == pytest.approx([tight.expected, slack.expected], abs=1e-4)
    assert (found.reason[0, 0], found.full[0, 0]) == ("chain full", 0)
    if push_kN != 60.0:
        assert found.is_slack[0, 0].tolist() == [False, push_kN > 60.0]


def test_long_chain_takes_less(expected: Expected, reference: Arrangement) -> None:
    """E2, elastic and by limit analysis."""
    pair = chained(reference, [(BACK, (-4.0, 0.0, 1.8)), (BACK, (-6.0, 0.0, 1.8))], [100.0] * 2, [1.0e4] * 2)
    found = first_chain_full(pair, LEVEL, AHEAD)
    assert found.multiplier_ratio * 490.5 == pytest.approx(expected("elastic")["E2"].expected, abs=1e-3)
    assert found.tension_kN[0, 0] == pytest.approx([100.0, 50.0], abs=1e-3)
    assert free_kN(pair, with_friction=False)[0][0] == pytest.approx(expected("elastic")["E2-plastic"].expected)


def test_skew_chain_takes_less(expected: Expected, reference: Arrangement) -> None:
    """E3: the skew chain as a mirrored pair of half the stiffness; so stiff and light that the angles stay."""
    skew = [(BACK, (-3.0, side * 3.0**0.5, 1.8)) for side in (1.0, -1.0)]
    ends: Chains = [(BACK, (-4.0, 0.0, 1.8)), *skew]
    found = first_chain_full(chained(reference, ends, [100.0, 50.0, 50.0], [1e8, 5e7, 5e7]), LEVEL / 1e3, AHEAD)
    assert found.multiplier_ratio * 490.5 == pytest.approx(expected("elastic")["E3"].expected, abs=1e-3)
    plastic, _ = free_kN(chained(reference, ends, [100.0, 50.0, 50.0], [1e8, 5e7, 5e7]), with_friction=False)
    assert plastic[0] == pytest.approx(expected("elastic")["E3-plastic"].expected)


@pytest.mark.parametrize("pretension_kN", [0.0, 5.0, 28.0])
@pytest.mark.parametrize(("axis", "direction"), [("x", AHEAD), ("y", LEFT)])
def test_reference(
    expected: Expected, reference: Arrangement, axis: str, direction: np.ndarray, pretension_kN: float
) -> None:
    push, movement = (expected("elastic")[f"C-{axis}-{pretension_kN:.0f}{end}"] for end in ("", "-mm"))
    found = first_chain_full(stiff(reference), LEVEL, direction, pretension_kN=pretension_kN)
    assert found.multiplier_ratio[0, 0] == pytest.approx(push.expected, abs=push.tolerance)
    assert found.movement_m[0, 0] * 1e3 == pytest.approx(movement.expected, abs=movement.tolerance)
    assert found.reason[0, 0] == "chain full"
    assert found.tension_kN[0, 0, found.full[0, 0]] == pytest.approx(160.0, rel=1e-5)


def test_one_chain_lost(expected: Expected, reference: Arrangement) -> None:
    check = expected("elastic")["C-lost-3"]
    found = first_chain_full(without(stiff(reference), 3), LEVEL, AHEAD, pretension_kN=5.0)
    assert found.multiplier_ratio[0, 0] == pytest.approx(check.expected, abs=check.tolerance)
    assert found.tension_kN[0, 0, 3] == 0.0
    assert not found.is_slack[0, 0, 3]


def test_stiffness_of_13_mm(expected: Expected) -> None:
    stiffness_kN = axial_stiffness_kN(np.array(0.013), figure("securing_chain_stiffness_catalogue_kPa"))
    assert stiffness_kN / 1e3 == pytest.approx(expected("elastic")["CV25"].expected, abs=1e-3)
    assert 100.0 * 100.0 / stiffness_kN == pytest.approx(expected("elastic")["CV25-strain"].expected, abs=1e-3)


def test_softer_chains_move_further_and_hold_the_same(reference: Arrangement) -> None:
    """Without pretension the stiffness of all chains sets the movement; the push changes by less than 1 %."""
    ends = ("", "_estimate", "_catalogue", "_high")
    found = [
        first_chain_full(
            replace(reference, stiffness_kN=np.full(8, figure(f"securing_chain_stiffness{end}_kPa")) * 0.016**2), LEVEL
        )
        for end in ends
    ]
    moved = np.array([each.movement_m[0] for each in found])
    held = np.array([each.multiplier_ratio[0] for each in found])
    assert (np.diff(moved, axis=0) < 0.0).all()
    assert held == pytest.approx(np.broadcast_to(held[0], held.shape), rel=0.01)


def test_between_the_bounds_of_drucker(reference: Arrangement) -> None:
    """CV48, in every direction."""
    (upper_kN, _), (lower_kN, _) = free_kN(reference, with_friction=True), free_kN(reference, with_friction=False)
    found = first_chain_full(stiff(reference), LEVEL, np.arange(24), pretension_kN=5.0).multiplier_ratio[0] * 490.5
    assert (found <= upper_kN).all()
    assert (found[[0, 6, 12, 18]] >= lower_kN[[0, 6, 12, 18]]).all()


def test_close_to_the_elastic_share_of_a_sliding_unit(reference: Arrangement) -> None:
    """Tensions of the closed form for small movements, without turning."""
    found = first_chain_full(stiff(reference), LEVEL, FOUR_WAYS)
    assert found.tension_kN[0] == pytest.approx(shared_kN(stiff(reference))[FOUR_WAYS], abs=0.15 * 160.0)


@pytest.mark.parametrize("stops", [False, True])
def test_increments_do_not_matter(reference: Arrangement, stops: bool) -> None:
    lopsided = without(stiff(reference), 3)
    arrangement = stopped(lopsided) if stops else lopsided
    usual, fine = (
        first_chain_full(arrangement, np.array([0.7, 1.0]), np.arange(0, 24, 3), pretension_kN=5.0, steps_count=count)
        for count in (elastic.STEPS_COUNT, 4 * elastic.STEPS_COUNT)
    )
    assert usual.multiplier_ratio == pytest.approx(fine.multiplier_ratio, rel=0.005)


def test_left_and_right_are_mirrored(reference: Arrangement) -> None:
    lopsided = replace(without(stiff(reference), 5), tolerance_m=0.05)
    mirror = np.array([1.0, -1.0, 1.0])
    restraint = replace(
        lopsided.restraint,
        on_load_m=lopsided.restraint.on_load_m * mirror,
        pull_ratio=lopsided.restraint.pull_ratio * mirror,
    )
    right = first_chain_full(lopsided, LEVEL, np.array([2, 6, 18]), pretension_kN=5.0)
    left = first_chain_full(replace(lopsided, restraint=restraint), LEVEL, np.array([22, 18, 6]), pretension_kN=5.0)
    assert left.multiplier_ratio == pytest.approx(right.multiplier_ratio, rel=1e-5)
    assert left.tension_kN == pytest.approx(right.tension_kN, abs=0.01)


@settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(lost=st.integers(0, 7), chain=st.integers(0, 7), factor=st.floats(0.4, 0.98), pretension_kN=st.floats(0.0, 28.0))
def test_weaker_chain_lower_friction_and_lost_centre_never_hold_more(
    reference: Arrangement, lost: int, chain: int, factor: float, pretension_kN: float
) -> None:
    """Within the effect of the increments, 0.1 %."""
    whole = without(stiff(reference), lost)
    weaker = whole.capacity_kN.copy()
    weaker[chain] *= factor
    cases = [whole, replace(whole, capacity_kN=weaker), rubbing(whole, 0.225 * factor), replace(whole, tolerance_m=0.1)]
    held, *less = (first_chain_full(case, LEVEL, pretension_kN=pretension_kN).multiplier_ratio for case in cases)
    assert np.isfinite(held).all()
    for each in less:
        assert (each <= held * 1.001).all()


def test_forces_balance_and_what_is_slack_or_lifted_carries_nothing(reference: Arrangement) -> None:
    arrangement = stiff(reference)
    found = first_chain_full(arrangement, np.array([0.8, 1.0]), FOUR_WAYS, pretension_kN=5.0)
    assert (found.tension_kN[found.is_slack] == 0.0).all()
    assert (found.tension_kN[~found.is_slack] > 0.0).all()
    assert found.is_slack[1, 0].tolist() == [True, True, False, False, False, False, False, False]
    assert not found.is_lifted.any()
    down_kN = found.contact_kN.sum(axis=-1) + found.tension_kN @ arrangement.restraint.pull_ratio[:, 2]
    assert down_kN[:, 0] == pytest.approx(np.array([0.8, 1.0]) * 490.5, rel=0.01)


def test_a_stop_without_a_gap(reference: Arrangement) -> None:
    """Friction of the pads and the whole stop, by statics; the stop behind is off."""
    alone = stopped(replace(reference, capacity_kN=np.zeros(8)))
    found = first_chain_full(alone, LEVEL, np.array([0, 12]))
    assert found.multiplier_ratio * 490.5 == pytest.approx(np.full((1, 2), 0.225 * 490.5 + 250.0), rel=1e-4)
    assert found.reason[0].tolist() == ["contact full", "contact full"]
    assert found.full[0].tolist() == [12, 13]
    assert found.is_lifted[0].tolist() == [[False] * 5 + [True], [False] * 4 + [True, False]]


def test_a_stop_never_lowers_what_is_held_before_it_is_full(reference: Arrangement) -> None:
    strong = replace(stopped(stiff(reference)), contact_limit_kN=np.array([1e4] * 4 + [1e4, 1e4]))
    held = first_chain_full(stiff(reference), LEVEL, AHEAD).multiplier_ratio
    assert first_chain_full(replace(strong, movement_m=0.001), LEVEL, AHEAD).multiplier_ratio > held


def test_tipping_lifts_the_pads_behind(reference: Arrangement) -> None:
    """Statics: W b / d, less the lean and the give of the pads; movement as allowed."""
    bare = rubbing(replace(reference, capacity_kN=np.zeros(8), movement_m=0.02), 0.9)
    high = replace(bare, restraint=replace(bare.restraint, reference_m=np.array([0.0, 0.0, 2.5])))
    found = first_chain_full(high, LEVEL, LEFT)
    assert found.reason[0, 0] == "allowed movement"
    assert found.multiplier_ratio[0, 0] == pytest.approx(0.5, rel=0.01)
    assert found.multiplier_ratio[0, 0] <= 0.5
    assert found.is_lifted[0, 0].tolist() == [False, True, False, True]


def test_top_over_legs_keep_their_force(reference: Arrangement) -> None:
    """mu (W + sum T sin alpha) at a small movement, by statics."""
    ends: Chains = [((x, 1.3 * y, 1.4), (x, 1.7 * y, 0.0)) for x in (-1.0, 1.0) for y in (1, -1)]
    legs = rubbing(chained(reference, ends, [0.0] * 4, [1.0e4] * 4), 0.225)
    found = first_chain_full(replace(legs, fixed_kN=np.full(4, 20.0), movement_m=0.002), LEVEL, FOUR_WAYS)
    held_kN = 0.225 * (490.5 + 80.0 * 1.4 / np.hypot(1.4, 0.4))
    assert found.multiplier_ratio * 490.5 == pytest.approx(np.full((1, 4), held_kN), rel=2e-3)
    assert found.tension_kN == pytest.approx(np.full((1, 4, 4), 20.0))


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        ({"weight_kN": np.nan}, "not in equilibrium"),
        ({"weight_kN": -490.5, "capacity_kN": np.zeros(8)}, "not in equilibrium"),
        ({"capacity_kN": np.full(8, 4.0)}, "over capacity at rest"),
        ({"contact_limit_kN": np.full(4, 100.0)}, "over capacity at rest"),
    ],
)
def test_a_bad_start_is_not_known(reference: Arrangement, change: dict, reason: str) -> None:
    found = first_chain_full(replace(reference, **change), LEVEL, pretension_kN=5.0)
    assert set(found.reason.ravel()) == {reason}
    for values in (found.multiplier_ratio, found.movement_m, found.tension_kN, found.contact_kN):
        assert np.isnan(values).all()


def test_one_bad_vertical_factor_does_not_spoil_the_others(reference: Arrangement) -> None:
    bare = replace(reference, capacity_kN=np.zeros(8), movement_m=0.01)
    found = first_chain_full(bare, np.array([-0.1, np.nan, 1.0]), AHEAD)
    assert np.isnan(found.multiplier_ratio[:2]).all()
    assert found.multiplier_ratio[2] == pytest.approx(0.225, rel=1e-6)


def test_a_unit_that_would_fall_by_itself_is_not_known(reference: Arrangement) -> None:
    outside = replace(reference.restraint, reference_m=np.array([0.0, 2.0, 1.8]))
    found = first_chain_full(replace(reference, restraint=outside, capacity_kN=np.zeros(8)), LEVEL)
    assert np.isnan(found.multiplier_ratio).all()


def test_no_answer_in_time_is_not_known(reference: Arrangement, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(elastic, "ROUNDS_COUNT", 0)
    found = first_chain_full(reference, LEVEL)
    assert set(found.reason.ravel()) == {"not solved"}
    assert np.isnan(found.multiplier_ratio).all()


def test_steps_that_cannot_be_balanced_are_not_known(reference: Arrangement, monkeypatch: pytest.MonkeyPatch) -> None:
    settled = elastic_march.rest

    def lost(*given: object) -> object:
        place, found = settled(*given)
        return place, found & (given[3][:, 3] == 1.0)

    monkeypatch.setattr(elastic_march, "rest", lost)
    found = first_chain_full(reference, LEVEL)
    assert set(found.reason.ravel()) == {"not solved"}
    assert np.isnan(found.multiplier_ratio).all()


def test_what_cannot_be_followed_further_keeps_the_push_at_which_it_stood(
    reference: Arrangement, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = first_chain_full(reference, LEVEL)
    settled = elastic_march.rest

    def lost(*given: object) -> object:
        place, found = settled(*given)
        return place, found & (np.linalg.norm(place.moved_m, axis=-1) < 0.01)

    monkeypatch.setattr(elastic_march, "rest", lost)
    found = first_chain_full(reference, LEVEL)
    assert set(found.reason.ravel()) == {"followed no further"}
    assert (found.multiplier_ratio < whole.multiplier_ratio).all()
    assert (found.movement_m <= 0.01).all()
    assert (found.multiplier_ratio > 0.225).all()


@pytest.mark.parametrize("pretension_kN", [-1.0, np.nan])
def test_pretension_must_be_known(reference: Arrangement, pretension_kN: float) -> None:
    with pytest.raises(OutOfRangeError, match=r"pretension_kN = \S+ lies outside 0 to .*, a chain does not push"):
        first_chain_full(reference, LEVEL, pretension_kN=pretension_kN)


def test_springs_of_chain_and_contact_by_differences() -> None:
    """The stiffness is the derivative of the force, for a taut chain and a contact that sticks and one that slips."""
    to_deck_m = np.array([[[-1.0, 0.5, -0.8]]])
    for step_m in 1e-6 * np.eye(3):
        chain = [
            contact_spring.chain_spring(to_deck_m - sign * step_m, np.array([1.35]), np.array([8e3]), np.array([5.0]))
            for sign in (1, 0, -1)
        ]
        assert (chain[0][0] - chain[2][0])[0, 0] / 2 == pytest.approx(-chain[1][1][0, 0] @ step_m, rel=1e-4, abs=1e-6)
        for stick_kN in ([1.0, 2.0, 0.0], [60.0, 20.0, 0.0]):
            moved_m, up = np.array([[[0.0, 0.0, -1e-4]]]), np.array([[0.0, 0.0, 1.0]])
            level_m = step_m * [1.0, 1.0, 0.0]
            contact = [
                contact_spring.contact_spring(
                    moved_m + sign * step_m, stick_kN - 8e5 * sign * level_m, up, np.array([0.3]), (1e6, 8e5)
                )
                for sign in (1e-2, 0.0, -1e-2)
            ]
            change_kN = (contact[0][0] - contact[2][0])[0, 0] / 2e-2
            assert change_kN == pytest.approx(-contact[1][1][0, 0] @ step_m, rel=1e-3, abs=1e-4)
