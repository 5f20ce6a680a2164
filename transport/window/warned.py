"""Where the rule of the move would not go, if one gust limit at one place were all there is to it."""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from shared.arrays import Array
from shared.errors import Fault, InputError
from transport.window.chance import members_allowed
from transport.window.fitted_factor import lessened_mps
from transport.window.inputs import Decision

__all__ = ["allowed_count", "by_error", "by_factor", "by_members", "control_of"]

Flags = NDArray[np.bool_]


def by_members(members_mps: Array, decision: Decision) -> Callable[[float], Flags]:
    """The ensemble rule: more members above the limit than it allows. Shape (case, member).

    An archive with too few members for the rule would be warned of always, and whoever never goes misses nothing: there
    one member above the limit is a warning, so that a miss is what no member foresaw.
    """
    allowed = max(allowed_count(members_mps.shape[1], decision), 0)

    def warned(limit_mps: float) -> Flags:
        return np.asarray(~((members_mps > limit_mps).sum(axis=1) <= allowed))

    return warned


def by_factor(control_mps: Array, factor_ratio: float) -> Callable[[float], Flags]:
    """The alpha rule: the control member above a part of the limit. Shape (case,)."""

    def warned(limit_mps: float) -> Flags:
        return np.asarray(~(control_mps <= factor_ratio * limit_mps))

    return warned


def allowed_count(held: int, decision: Decision) -> int:
    """Members above the limit that the ensemble rule allows of those that the archive holds; -1 where it never goes."""
    assert decision.acceptable_chance_ratio is not None and decision.confidence_ratio is not None  # noqa: S101
    return members_allowed(held, decision.acceptable_chance_ratio, decision.confidence_ratio)


def control_of(members_mps: Array, labels: NDArray[np.generic] | None, decision: Decision) -> Array:
    """The control member that the alpha rule looks at, (case,) of (case, member).

    Errors: InputError where the archive does not hold it.
    """
    held = np.empty(0, dtype=int) if labels is None else np.flatnonzero(labels == decision.control_realization)
    if not held.size:
        message = f"is {decision.control_realization}, which the archive does not hold; the rule looks at it alone"
        raise InputError(Fault("", "decision.control_realization", message))
    return np.asarray(members_mps[:, held[0]])


def by_error(control_mps: Array, error_mps: Array) -> Callable[[float], Flags]:
    """The fitted alpha rule: the control member above the limit less the allowance for its error. Shapes (case,).

    Where the allowance is not known every case is warned of, as nothing is decided on the day.
    """

    def warned(limit_mps: float) -> Flags:
        return np.asarray(~(control_mps <= lessened_mps(np.full(control_mps.shape, limit_mps), error_mps)))

    return warned
