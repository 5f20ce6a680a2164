"""What each code compares with: the capacity it allows the lines, and what they hold in each direction at it.

EN 12195-1 and the CTU Code share one level, LC and MSL being the same number for chains. 49 CFR 393 has two of its own:
breaking strength and working load limit.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from shared.arrays import Array
from shared.tables import figure
from transport.load_cases.ride import Masses
from transport.load_cases.tiedowns import Tiedowns
from transport.securing import sharing
from transport.securing.arrangement import DIRECTION_DEG, Arrangement, counted, resisting, stop_ratio
from transport.securing.capacity import WAYS, elastic_chains, ways_of
from transport.securing.closed_forms import closed_forms_kN
from transport.securing.limit_analysis import stopped_kN

__all__ = [
    "MARKED",
    "Level",
    "at_level_kN",
    "frictionless_kN",
    "held_kN",
    "lashing_rate_kN_per_m",
    "levels",
    "slide_m",
    "steady_kN",
    "stops_kN",
    "ways",
    "with_capacity",
]

MARKED = {"EN 12195-1": "LC", "CTU Code": "MSL"}


@dataclass(frozen=True)
class Level:
    """One level of capacity of one code: the lines at it, and what they hold, (models, directions) with tipping second.

    words: the level as it is shown, such as LC / 1.5.
    """

    code: str
    name: str
    words: str
    arrangement: Arrangement
    by_model_kN: Array


def levels(
    codes: Sequence[str], arrangement: Arrangement, at_level_kN: Array, tied: Tiedowns, masses: Masses, divisor: float
) -> list[Level]:
    """The levels of the chosen codes; arrangement and at_level_kN: as LC over the divisor gives them."""
    found, part = [], "" if divisor == 1.0 else f" / {divisor:g}"
    for code, name in MARKED.items():
        if code in codes:
            found.append(Level(code, name, name + part, arrangement, at_level_kN))
    if "49 CFR 393" in codes:
        strong, weak = (with_capacity(arrangement, capacity_kN) for capacity_kN in (tied.breaking_kN, tied.limit_kN))
        by_stops_kN = stopped_kN(strong, _factors_ratio(masses))  # whatever the direct lines may carry
        for name, other in (("breaking strength", strong), ("WLL", weak)):
            known_kN = by_stops_kN if (other.fixed_kN == strong.fixed_kN).all() else None
            found.append(Level("49 CFR 393", name, name, other, held_kN(other, masses, known_kN)))
    return found


def at_level_kN(vertical_ratio: Array, by_model_kN: Array, masses: Masses) -> Array:
    """What is held on a level deck with the least or the greatest mass, whichever is less; (models, directions).

    Linear between the vertical factors (f,) of the resistances (models, f, directions).
    Source: the least over a range of a concave function lies at its ends (read).
    """
    if not vertical_ratio[0] <= masses.least_t / masses.nominal_t <= masses.greatest_t / masses.nominal_t:
        return np.full_like(by_model_kN[:, 0], np.nan)
    wanted = _factors_ratio(masses)
    row = np.clip(np.searchsorted(vertical_ratio, wanted, side="right") - 1, 0, len(vertical_ratio) - 2)
    part = ((wanted - vertical_ratio[row]) / np.diff(vertical_ratio)[row])[:, None]
    held_kN = by_model_kN[:, row] * (1.0 - part) + by_model_kN[:, row + 1] * part
    return np.asarray(np.min(held_kN, axis=1), dtype=float)


def held_kN(arrangement: Arrangement, masses: Masses, by_stops_kN: Array | None = None) -> Array:
    """What an arrangement holds by each model on a level deck with the least or greatest mass; (models, directions).

    by_stops_kN: limit_analysis.stopped_kN at the two masses where it is known already.
    Source: capacity.ways_of (memory).
    """
    wanted = _factors_ratio(masses)
    held = ways_of(arrangement, wanted, elastic_chains(arrangement, wanted), by_stops_kN=by_stops_kN)
    return np.asarray(np.min(held.by_model_kN, axis=1), dtype=float)


def with_capacity(arrangement: Arrangement, capacity_kN: Array) -> Arrangement:
    """The arrangement with other capacities of its direct lines; a top-over leg keeps its STF, within the capacity.

    Capacities (n,); lines without direct capacity stay without.
    """
    direct_kN = np.where(arrangement.capacity_kN > 0.0, capacity_kN, 0.0)
    fixed_kN = np.minimum(arrangement.fixed_kN, capacity_kN / figure("securing_safety_factor_forward_ratio"))
    return replace(arrangement, capacity_kN=direct_kN, fixed_kN=fixed_kN)


def frictionless_kN(arrangement: Arrangement) -> Array:
    """What stops or direct lines and top-over lines hold against sliding if no friction is counted, (directions,).

    The better of the two ways, each by the lesser of the sliding balance and the elastic share with mu = 0.
    Source: capacity.closed_forms_kN with mu = 0 (memory).
    """
    bare = replace(arrangement.restraint, friction_ratio=np.zeros_like(arrangement.restraint.friction_ratio))
    forms_kN = closed_forms_kN(replace(arrangement, restraint=bare), np.ones(1))
    return np.asarray(np.max(np.min(forms_kN[:, :, 0], axis=1), axis=0), dtype=float)


def steady_kN(arrangement: Arrangement, carried_kN: float) -> Array:
    """What friction of the pads and top-over lines hold before any stop or direct line, (directions,).

    R_f = mu (N + sum(F v)) + sum(F h), F the top-over tension of each leg.
    Source: EN 12195-1:2010, 5.4 (memory).
    """
    friction, down = arrangement.pad_friction_ratio, -arrangement.restraint.pull_ratio[:, 2]
    legs_kN = (resisting(arrangement) + friction * down) @ arrangement.fixed_kN
    return np.asarray(friction * carried_kN + legs_kN, dtype=float)


def stops_kN(arrangement: Arrangement, carried_ratio: float) -> Array:
    """What the stops bear in each direction beside friction and top-over lines, without direct lines, (directions,).

    The lesser of what they share until the first is full and what is in equilibrium with them, less the friction: a
    stop beside the middle lets the unit turn. 0 where none counts.
    Source: sharing.blocked_kN, EN 12195-1:2010, 5.3 (memory); limit_analysis.stopped_kN (read).
    """
    shared_kN = sharing.blocked_kN(stop_ratio(arrangement), arrangement.contact_limit_kN)
    if not (shared_kN > 0.0).any():
        return shared_kN
    held_kN = stopped_kN(arrangement, np.array([carried_ratio]))[0]
    beside_kN = held_kN - steady_kN(arrangement, carried_ratio * arrangement.weight_kN)
    return np.where(shared_kN > 0.0, np.maximum(np.minimum(shared_kN, beside_kN), 0.0), 0.0)


def lashing_rate_kN_per_m(arrangement: Arrangement, angle_deg: float) -> float:
    """Force along a direction that the direct lines gain for each metre the load slides, with the friction they add.

    K = sum(EA / L h (h + mu v)) over the direct lines that count, each tightened just free of slack.
    Source: springs in tension only, statics; EA from practice (practice).
    """
    k = int(np.flatnonzero(angle_deg == DIRECTION_DEG)[0])
    along, down = resisting(arrangement)[k], -arrangement.restraint.pull_ratio[:, 2]
    works = counted(arrangement)[k] & (arrangement.capacity_kN > 0.0)
    rate = arrangement.stiffness_kN / arrangement.length_m * along * (along + arrangement.pad_friction_ratio * down)
    return float(np.sum(rate[works]))


def slide_m(left_kN: float, rate_kN_per_m: float) -> float:
    """How far the load slides before its direct lines hold what friction leaves over.

    d = left / K; 0 if nothing is left, infinite without lines, NaN if not known.
    Source: springs in tension only, statics (practice).
    """
    if not left_kN > 0.0:
        return np.nan if np.isnan(left_kN) else 0.0
    return left_kN / rate_kN_per_m if rate_kN_per_m > 0.0 else np.inf


def ways(level: Level, masses: Masses) -> list[str]:
    """What holds each direction beside friction and top-over lines: the way whose sliding and share are those found."""
    forms_kN = np.min(closed_forms_kN(level.arrangement, _factors_ratio(masses)), axis=2)
    apart_kN = np.sum(np.abs(forms_kN - level.by_model_kN[[0, 2]]), axis=1)
    stopped = (stop_ratio(level.arrangement) > 0.0).any(axis=-1)
    apart_kN[0] = np.where(stopped, apart_kN[0], np.inf)
    return [WAYS[int(k)] for k in np.argmin(apart_kN, axis=0)]


def _factors_ratio(masses: Masses) -> Array:
    return np.unique(np.array([masses.least_t, masses.greatest_t]) / masses.nominal_t)
