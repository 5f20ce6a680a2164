"""What the securing holds as a table: resistance over vertical factors and directions of push, and its safe cuts.

The table is made for the facets of polytope: after the cuts the resistance falls with the weight on the pads and with
no push that shrinks along an axis.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from shared.arrays import Array

__all__ = [
    "CLOSED",
    "Envelope",
    "Rows",
    "at_ratio",
    "between",
    "error_ratio",
    "held_kN",
    "rising",
    "with_halves",
    "without_favour",
]

Rows = NDArray[np.intp]
CLOSED = -1e30
LEAST_RATIO = 0.6


@dataclass(frozen=True)
class Envelope:
    """Resistance over vertical factors (f) and directions (d): force (f, d), pure moment about x, y, z (f, 3)."""

    vertical_ratio: Array
    force_kN: Array
    moment_kNm: Array
    weight_kN: float


def with_halves(vertical_ratio: Array) -> Array:
    """The vertical factors with the one halfway between each two, where the reciprocal would run far below the chord.

    Source: a straight line between neighbouring vertical factors, common practice, no source (practice).
    """
    return np.sort(np.concatenate([vertical_ratio, (vertical_ratio[1:] + vertical_ratio[:-1]) / 2.0]))


def at_ratio(vertical_ratio: Array, values: Array, wanted_ratio: Array) -> Array:
    """Resistances at other vertical factors, straight between those known, (..., f, d) to (..., wanted, d).

    Source: a straight line between neighbouring vertical factors, common practice, no source (practice).
    """
    _, row, share = between(vertical_ratio, wanted_ratio)
    lower, upper = np.take(values, row, axis=-2), np.take(values, row + 1, axis=-2)
    share = np.broadcast_to(share[:, None], lower.shape)
    straight = np.where(share > 0.0, lower * (1.0 - share) + upper * share, lower)
    return np.asarray(np.where(share < 1.0, straight, upper), dtype=float)


def rising(envelope: Envelope) -> Envelope:
    """The envelope cut so that less weight on the pads never holds more, and more weight never less.

    min over c' >= c of R(c'), so that the lowest vertical factor of an action governs.
    Source: the least over a range of a concave function lies at its ends (read).
    """

    def least(values: Array) -> Array:
        return np.asarray(np.minimum.accumulate(values[::-1], axis=0)[::-1], dtype=float)

    return replace(envelope, force_kN=least(envelope.force_kN), moment_kNm=least(envelope.moment_kNm))


def without_favour(envelope: Envelope) -> Envelope:
    """The envelope cut so that a push that is smaller along both axes never uses more.

    R_k' = min over j of the same quadrant of max(|R_j cos psi_j / cos psi_k|, |R_j sin psi_j / sin psi_k|): the largest
    push whose whole rectangle down to no push stays inside. Without it a harder stop could turn the push away from
    a weak direction and so allow more wind.
    Source: favourable actions are not counted, EN 1990:2002, 6.4.2 (memory).
    """
    angle_rad = 2.0 * np.pi * np.arange(envelope.force_kN.shape[1]) / envelope.force_kN.shape[1]
    along, aside = np.round(np.cos(angle_rad), 12), np.round(np.sin(angle_rad), 12)
    beside = (np.outer(along, along) >= 0.0) & (np.outer(aside, aside) >= 0.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        reach = np.fmax(np.abs(along / along[:, None]), np.abs(aside / aside[:, None]))
    reach = np.where(beside, reach, np.inf)
    held_kN = np.maximum(envelope.force_kN, 0.0)[:, None, :]
    least_kN = np.min(np.where(np.isinf(reach), np.inf, held_kN * np.where(np.isinf(reach), 1.0, reach)), axis=-1)
    force_kN = np.where(np.isnan(envelope.force_kN), np.nan, np.where(least_kN > 0.0, least_kN, CLOSED))
    return replace(envelope, force_kN=force_kN)


def held_kN(lower_kN: Array, upper_kN: Array, share_ratio: Array) -> Array:
    """Resistance between two vertical factors, whose reciprocal runs straight.

    1 / R = (1 - t) / R_0 + t / R_1, below the straight line between R_0 and R_1; closed where one of both is.
    Source: the harmonic mean is never above the arithmetic one (read).
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        between_kN = 1.0 / ((1.0 - share_ratio) / lower_kN + share_ratio / upper_kN)
    least_kN = np.minimum(lower_kN, upper_kN)
    return np.where(least_kN > 0.0, between_kN, np.where(np.isnan(least_kN), np.nan, CLOSED))


def error_ratio(envelope: Envelope, cut: Envelope) -> float:
    """Largest part of a resistance that the cuts and the straight reciprocal give away, vertical factors from 0.6.

    max (1 - R' / R) at the vertical factors and halfway between; R runs straight between them and the whole is taken
    away where it is closed. NaN stays NaN; 0 without a vertical factor from 0.6.
    Source: error of an inner approximation as a part of the radius (practice).
    """
    rows = np.flatnonzero(envelope.vertical_ratio >= LEAST_RATIO)
    given, left = envelope.force_kN[rows], cut.force_kN[rows]
    given = np.concatenate([given, (given[1:] + given[:-1]) / 2.0])
    left = np.concatenate([left, held_kN(left[:-1], left[1:], np.array(0.5))])
    with np.errstate(divide="ignore", invalid="ignore"):
        part = 1.0 - np.maximum(left, 0.0) / given
    return float(np.max(np.where(given > 0.0, part, np.where(np.isnan(given), np.nan, 0.0)), initial=0.0))


def between(nodes: Array, value: Array) -> tuple[NDArray[np.bool_], Rows, Array]:
    """Whether values lie among the nodes, the node below, and the share of the next one.

    t = (v - n_r) / (n_(r+1) - n_r); nodes (f,) rising, any shape of values.
    Source: linear interpolation (read).
    """
    row = np.clip(np.searchsorted(nodes, value, side="right") - 1, 0, len(nodes) - 2)
    weight = (value - nodes[row]) / np.diff(nodes)[row]
    return (weight > -1e-9) & (weight < 1.0 + 1e-9), row, weight
