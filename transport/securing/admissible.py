"""One set of forces that balances an actual push: what a person can add up, beside the limit of model B.

By the static theorem of limit analysis any set of forces that is in equilibrium and within every capacity proves that
the push can be held. Of all such sets the most even one is taken: the largest part of a capacity in it is the least.
"""

from dataclasses import dataclass

import numpy as np
from scipy.optimize import linprog

from shared.arrays import Array
from transport.securing.arrangement import Arrangement
from transport.securing.equilibrium import friction_kN, friction_rows, unit_wrenches, wrench_kN

__all__ = ["Admissible", "admissible"]

BALANCED, FALLEN = "in equilibrium", "not in equilibrium"
SPREAD_RATIO = 1e-7
NOTHING_RATIO = 1e-9
RESIDUAL_RATIO = 1e-6


@dataclass(frozen=True)
class Admissible:
    """Tensions (n,), forces of the contacts on the unit (p, 3), and how well they balance push and weight.

    use_ratio: largest part of a capacity in the set; centre_m: where the centre of mass lies at worst; residuals:
    length of the sum of all forces, and of all moments about the centre of mass. All NaN where nothing balances.
    """

    tension_kN: Array
    contact_kN: Array
    normal_kN: Array
    use_ratio: float
    centre_m: Array
    residual_kN: float
    residual_kNm: float
    status: str


def admissible(
    arrangement: Arrangement, push_kN: Array, *, tension_limit_kN: Array, contact_limit_kN: Array
) -> Admissible:
    """The most even set of forces in equilibrium with a push, at the worst place of the centre of mass.

    min u: sum T w + sum N n + sum f t = -w0, 0 <= T <= u limit, 0 <= N <= u limit, |f| <= mu N; of those the least sum.
    Push (3,): forward, to the left, and what is carried across the deck; limits (n,), (p,), 0 for what does not count.
    The set holds where u <= 1, which is where model B holds; above 1 it shows what would be needed.
    What is not known or not finite is not in equilibrium.
    Source: static theorem of limit analysis, Gilbert et al. 2006 (read).
    """
    places = _centres_m(arrangement, push_kN)
    limits_kN = np.concatenate([tension_limit_kN, contact_limit_kN])
    found = [_at(arrangement, push_kN, centre_m, limits_kN) for centre_m in places]
    return max(found, key=lambda one: np.inf if np.isnan(one.use_ratio) else one.use_ratio)


def _centres_m(arrangement: Arrangement, push_kN: Array) -> list[Array]:
    """The corners c + tol (e + s, 1) to either side of the push; the centre of mass itself without a tolerance."""
    size_kN = float(np.hypot(*push_kN[:2]))
    along = push_kN[:2] / size_kN if size_kN > 0.0 else np.array([1.0, 0.0])
    aside = np.array([-along[1], along[0]])
    shifts = [np.array([*(along + aside), 1.0]), np.array([*(along - aside), 1.0])]
    reach_m = arrangement.tolerance_m
    return [arrangement.restraint.reference_m + reach_m * one for one in shifts[: 2 if reach_m > 0.0 else 1]]


def _at(arrangement: Arrangement, push_kN: Array, centre_m: Array, limits_kN: Array) -> Admissible:
    """The set at one place of the centre of mass."""
    restraint, weight_kN = arrangement.restraint, arrangement.weight_kN
    acting_kN = np.array([push_kN[0], push_kN[1], -push_kN[2]])
    columns = unit_wrenches(restraint)
    chains, contacts = len(restraint.on_load_m), len(restraint.contact_m)
    fixed = wrench_kN(acting_kN, centre_m, restraint.reference_m) + columns[:, :chains] @ arrangement.fixed_kN
    known = bool(np.isfinite(fixed).all() and np.isfinite(limits_kN).all())
    part = _most_even(columns, friction_rows(restraint), fixed / weight_kN, limits_kN / weight_kN) if known else None
    if part is None:
        return _fallen(chains, contacts, centre_m)
    balance = columns @ part * weight_kN + fixed
    force_kN = part * weight_kN
    normal_kN = force_kN[chains : chains + contacts]
    rubbed_kN = friction_kN(restraint, force_kN[None, chains + contacts :])[0]
    counts = limits_kN > 0.0
    turned_kNm = balance[3:] - np.cross(centre_m - restraint.reference_m, balance[:3])
    return Admissible(
        tension_kN=force_kN[:chains] + arrangement.fixed_kN,
        contact_kN=normal_kN[:, None] * restraint.normal_ratio + rubbed_kN,
        normal_kN=normal_kN,
        use_ratio=float(np.max(force_kN[: chains + contacts][counts] / limits_kN[counts], initial=0.0)),
        centre_m=centre_m,
        residual_kN=float(np.linalg.norm(balance[:3])),
        residual_kNm=float(np.linalg.norm(turned_kNm)),
        status=BALANCED,
    )


def _fallen(chains: int, contacts: int, centre_m: Array) -> Admissible:
    nothing = np.full(contacts, np.nan)
    forces = np.full(chains, np.nan), np.full((contacts, 3), np.nan), nothing
    return Admissible(*forces, np.nan, centre_m, np.nan, np.nan, FALLEN)


def _most_even(columns: Array, rows: Array, fixed: Array, limits: Array) -> Array | None:
    """Unknowns over the weight: first the least of the largest part of a capacity, then the least sum of the parts."""
    count, members = columns.shape[1], len(limits)
    counts = limits > 0.0
    below = np.zeros((int(np.count_nonzero(counts)), count + 1))
    below[np.arange(len(below)), np.flatnonzero(counts)] = 1.0
    below[:, -1] = -limits[counts]
    above = np.concatenate([below, np.pad(rows, ((0, 0), (0, 1)))])
    high = np.full(count + 1, np.inf)
    high[:members][~counts] = 0.0
    parts = np.zeros(count + 1)
    parts[:members][counts] = 1.0 / limits[counts]
    least = _solved(np.eye(count + 1)[-1], above, np.pad(columns, ((0, 0), (0, 1))), fixed, high)
    if least is None:
        return None
    high[-1] = least[-1] * (1.0 + SPREAD_RATIO) + SPREAD_RATIO
    tidy = _solved(parts, above, np.pad(columns, ((0, 0), (0, 1))), fixed, high)
    return _balanced(columns, fixed, (least if tidy is None else tidy)[:-1])


def _solved(aim: Array, above: Array, balance: Array, fixed: Array, high: Array) -> Array | None:
    bounds = [(0.0, float(most)) for most in high]
    found = linprog(
        aim, A_ub=above, b_ub=np.zeros(len(above)), A_eq=balance, b_eq=-fixed, bounds=bounds, method="highs"
    )
    return np.asarray(found.x, dtype=float) if found.status == 0 else None


def _balanced(columns: Array, fixed: Array, part: Array) -> Array | None:
    """The rest that the solver leaves, spread over the forces that act; nothing if they do not balance after all."""
    acting = part > NOTHING_RATIO
    rest = columns[:, acting] @ part[acting] + fixed
    spread = np.zeros_like(part)
    spread[acting] = part[acting] - np.linalg.lstsq(columns[:, acting], rest, rcond=None)[0]
    left = columns @ spread + fixed
    return np.maximum(spread, 0.0) if bool(np.max(np.abs(left)) <= RESIDUAL_RATIO) else None
