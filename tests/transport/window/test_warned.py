"""When the rule of the move warns of a case: strictly, and never less for what is not known."""

import numpy as np
import pytest

from shared.errors import InputError
from transport.window.inputs import Decision
from transport.window.warned import allowed_count, by_error, by_factor, by_members, control_of

ENSEMBLE = {"rule": "ensemble", "acceptable_chance_ratio": 0.1, "confidence_ratio": 0.95}
ALPHA = Decision(rule="alpha", alpha_ratio=0.8, control_realization=3)


def ensemble(**changes: float) -> Decision:
    return Decision.model_validate(ENSEMBLE | {"members_count": 51} | changes)


def members(over: int, of: int) -> np.ndarray:
    return np.where(np.arange(of) < over, 13.0, 9.0)[None]


@pytest.mark.parametrize(("over", "warned"), [(0, False), (1, False), (2, True)])
def test_as_many_members_as_the_rule_allows(over: int, warned: bool) -> None:
    """1 of 51: upper bound 8.97 %, 2 of 51: 11.86 % (Clopper-Pearson, scipy), allowed 10 %."""
    assert allowed_count(51, ensemble()) == 1
    assert by_members(members(over, 51), ensemble())(12.0).tolist() == [warned]


def test_too_few_members_for_the_rule_warn_with_one() -> None:
    """Whoever never goes misses nothing: that would hide every miss of the forecast."""
    assert allowed_count(7, ensemble()) == -1
    rule = by_members(np.concatenate([members(0, 7), members(1, 7)]), ensemble())
    assert rule(12.0).tolist() == [False, True]


def test_at_the_limit_is_no_warning() -> None:
    assert by_members(np.full((1, 31), 12.0), ensemble())(12.0).tolist() == [False]
    assert by_factor(np.array([9.6, 9.61]), 0.8)(12.0).tolist() == [False, True]


def test_the_fitted_error_is_taken_off_the_limit_and_unknown_is_warned_of() -> None:
    control, error = np.array([9.0, 9.0, 9.0]), np.array([2.0, 3.5, np.nan])
    assert by_error(control, error)(12.0).tolist() == [False, True, True]


def test_the_fitted_factor_is_never_above_its_greatest() -> None:
    assert by_error(np.array([11.5]), np.array([0.0]))(12.0).tolist() == [True]


def test_unknown_members_are_warned_of_by_the_factor() -> None:
    assert by_factor(np.array([np.nan]), 0.8)(12.0).tolist() == [True]


def test_the_control_member_is_found_by_its_number() -> None:
    gust = np.arange(8.0).reshape(2, 4)
    assert control_of(gust, np.array([0, 3, 5, 9]), ALPHA).tolist() == [1.0, 5.0]
    with pytest.raises(
        InputError, match=r"decision\.control_realization: is 3, which the archive does not hold; the rule"
    ):
        control_of(gust, np.array([0, 1, 2, 4]), ALPHA)
