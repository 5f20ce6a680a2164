"""Which chains and stops count against a push."""

from dataclasses import replace

import numpy as np
import pytest

from transport.securing import arrangement as arranging
from transport.securing.arrangement import Arrangement

AHEAD, LEFT, BACK = 0, 6, 12


def test_the_fan_goes_round_in_steps_of_15_degrees() -> None:
    fan = arranging.direction_ratio()
    assert fan[AHEAD] == pytest.approx([1.0, 0.0])
    assert fan[LEFT] == pytest.approx([0.0, 1.0], abs=1e-12)
    assert np.rad2deg(np.arctan2(fan[1, 1], fan[1, 0])) == pytest.approx(15.0)


def test_chains_across_the_push_and_slack_ones_do_not_count(reference: Arrangement) -> None:
    counted = arranging.counted(reference)
    assert counted[AHEAD].tolist() == [False, False, True, True, False, False, False, False]
    assert counted[LEFT].tolist() == [False, True, False, True, False, True, False, True]


def test_a_lost_chain_has_no_force(reference: Arrangement) -> None:
    rest = arranging.without(replace(reference, fixed_kN=np.full(8, 5.0)), 3)
    assert rest.capacity_kN.tolist() == [160.0] * 3 + [0.0] + [160.0] * 4
    assert rest.fixed_kN[3] == 0.0
    assert reference.capacity_kN[3] == 160.0


def test_a_top_over_line_is_lost_with_both_legs(reference: Arrangement) -> None:
    over = replace(reference, fixed_kN=np.full(8, 5.0), line=np.array([0, 1, 2, 3, 4, 4, 6, 6]))
    assert arranging.without(over, 5).fixed_kN.tolist() == [5.0] * 4 + [0.0, 0.0] + [5.0] * 2
    assert arranging.without(over, 1).fixed_kN.tolist() == [5.0, 0.0] + [5.0] * 6


def test_only_the_stop_in_the_way_counts(reference: Arrangement) -> None:
    restraint = replace(
        reference.restraint,
        contact_m=np.vstack([reference.restraint.contact_m, [[3.1, 0, 0.3], [-3.1, 0, 0.3]]]),
        normal_ratio=np.vstack([reference.restraint.normal_ratio, [[-1.0, 0, 0], [1.0, 0, 0]]]),
        friction_ratio=np.append(reference.restraint.friction_ratio, [0.0, 0.0]),
    )
    stopped = replace(
        reference,
        restraint=restraint,
        contact_limit_kN=np.array([1e4] * 4 + [250.0, 200.0]),
        is_pad=np.array([True] * 4 + [False] * 2),
    )
    limits = arranging.contact_limits_kN(stopped)
    assert limits[AHEAD].tolist() == [1e4] * 4 + [250.0, 0.0]
    assert limits[LEFT].tolist() == [1e4] * 4 + [0.0, 0.0]
    assert limits[BACK].tolist() == [1e4] * 4 + [0.0, 200.0]
    assert arranging.stop_ratio(stopped)[AHEAD] == pytest.approx([0, 0, 0, 0, 1.0, 0.0])
    assert arranging.stop_ratio(stopped)[1, 4] == pytest.approx(np.cos(np.deg2rad(15.0)))


def test_elastic_share_of_the_reference_to_the_side(expected, reference: Arrangement) -> None:  # type: ignore[no-untyped-def]
    check = expected("reference")["CV45-T"]
    tension = arranging.shared_kN(reference)[LEFT]
    assert tension[[5, 7]] == pytest.approx([160.0, 160.0])
    assert tension[[1, 3]] == pytest.approx([check.expected] * 2, abs=check.tolerance)


def test_the_centre_of_mass_moves_where_its_tolerance_hurts(reference: Arrangement) -> None:
    centres = arranging.centres_m(replace(reference, tolerance_m=0.1))
    assert centres[:, AHEAD] == pytest.approx(np.array([[0.1, 0.1, 1.9], [0.1, -0.1, 1.9]]))
    assert centres[:, LEFT] == pytest.approx(np.array([[-0.1, 0.1, 1.9], [0.1, 0.1, 1.9]]))
