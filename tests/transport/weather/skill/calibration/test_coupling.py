"""ECC-Q: the order of the raw members, the quantiles of the law."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import beta, rankdata, truncnorm

from transport.weather.skill.coupling import coupled_mps, levels_ratio
from transport.weather.skill.emos import Law


def law(places: int, steps: int, seed: int = 1) -> Law:
    rng = np.random.default_rng(seed)
    return Law(rng.uniform(-1.0, 12.0, (places, steps)), rng.uniform(0.3, 4.0, (places, steps)))


def test_ranks_stay_and_the_margins_are_the_quantiles_of_scipy() -> None:
    raw, given_law = np.random.default_rng(2).gamma(3.0, 2.0, (4, 9, 6)), law(4, 6)
    found = coupled_mps(raw, given_law)
    np.testing.assert_array_equal(rankdata(found, axis=1), rankdata(raw, axis=1))
    location, scale = given_law
    other = truncnorm.ppf(np.arange(1, 10)[:, None, None] / 10.0, -location / scale, np.inf, loc=location, scale=scale)
    np.testing.assert_allclose(np.sort(found, axis=1), other.transpose(1, 0, 2), rtol=1e-7)


@settings(deadline=None)
@given(seed=st.integers(0, 10_000))
def test_permuting_the_members_permutes_the_answer(seed: int) -> None:
    rng = np.random.default_rng(seed)
    raw, given_law, order = rng.gamma(3.0, 2.0, (2, 7, 3)), law(2, 3, seed), rng.permutation(7)
    np.testing.assert_array_equal(coupled_mps(raw[:, order], given_law), coupled_mps(raw, given_law)[:, order])


def test_equal_members_share_out_different_quantiles_in_their_order() -> None:
    found = coupled_mps(np.full((1, 5, 1), 6.0), law(1, 1))[0, :, 0]
    assert (np.diff(found) > 0.0).all()


def test_an_unknown_member_makes_its_place_and_step_unknown_and_no_other() -> None:
    raw = np.random.default_rng(3).gamma(3.0, 2.0, (2, 5, 3))
    raw[1, 2, 0] = np.nan
    unknown = np.isnan(coupled_mps(raw, law(2, 3)))
    assert unknown[1, :, 0].all()
    assert unknown.sum() == 5


@pytest.mark.parametrize("members", [5, 21, 31, 51])
def test_the_exact_bound_of_a_count_covers_what_the_quantiles_leave(members: int) -> None:
    """k of m members above a limit leave a chance of at most (k + 1) / (m + 1); Clopper and Pearson 95 % lies above."""
    over = np.arange(members)
    left = (over + 1.0) / (members + 1.0)
    assert levels_ratio(members)[-1] == pytest.approx(1.0 - left[0])
    assert (beta.ppf(0.95, over + 1, members - over) >= left).all()
