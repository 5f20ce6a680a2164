"""Limit analysis of the unit as a rigid body with six degrees of freedom (model B).

Forces are in kN and moments in kNm about a reference point; a wrench is (Fx, Fy, Fz, Mx, My, Mz) on the load.
Coulomb friction slips without lifting, so a free analysis overestimates: it would tighten a chain that lies across the
motion only to press the load down. The remedy is in the limits on tension: chains that do not lengthen get none.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.optimize import linprog
from scipy.sparse import coo_array, csc_array

from shared.arrays import Array
from transport.securing.friction import fan_ratio

__all__ = [
    "Collapse",
    "Restraint",
    "collapse",
    "friction_kN",
    "friction_rows",
    "mechanism",
    "unit_wrenches",
    "wrench_kN",
]

Status = Literal["limit found", "not in equilibrium", "unbounded", "not solved"]
STATUS: dict[int, Status] = {0: "limit found", 2: "not in equilibrium", 3: "unbounded"}
SIDES_COUNT = 16
FALLEN: Status = "not in equilibrium"
TOGETHER_COUNT = 64
SLACK_RATIO = 1e-7


@dataclass(frozen=True)
class Restraint:
    """What holds the unit: chains (n) and contacts (p), as arrays; all points in the trailer frame."""

    reference_m: Array
    on_load_m: Array
    pull_ratio: Array
    contact_m: Array
    normal_ratio: Array
    friction_ratio: Array


@dataclass(frozen=True)
class Collapse:
    """Largest multiplier of the scaled wrench, with the forces that hold it; NaN where there is no equilibrium.

    Tensions (b, n), normal forces of the contacts (b, p) and their friction on the load as vectors (b, p, 3).
    """

    multiplier_ratio: Array
    tension_kN: Array
    contact_kN: Array
    friction_kN: Array
    velocity_ratio: Array
    status: tuple[Status, ...]


def wrench_kN(force_kN: Array, at_m: Array, about_m: Array) -> Array:
    """Force and its moment about a point.

    w = (F, (r - r0) x F); forces and points (..., 3), result (..., 6) in kN and kNm.
    Source: statics (read).
    """
    moment_kNm = np.cross(at_m - about_m, force_kN)
    return np.concatenate(np.broadcast_arrays(force_kN, moment_kNm), axis=-1)


def collapse(
    restraint: Restraint,
    *,
    fixed_kN: Array,
    scaled_kN: Array,
    tension_limit_kN: Array,
    contact_limit_kN: Array,
    scale_kN: float,
    sides_count: int = SIDES_COUNT,
) -> Collapse:
    """Largest multiple of the scaled wrench that can be held beside the fixed one, for many problems at once.

    max lambda: sum T w + sum N n + sum f t + lambda w1 = -w0, 0 <= T <= limit, 0 <= N <= limit, |f| <= mu N.
    Wrenches (b, 6), limits (b, n) and (b, p), infinite where there is none; forces are divided by scale_kN inside.
    A wrench w0 that cannot be held, even alone, gives NaN and "not in equilibrium", never 0.
    Source: static theorem of limit analysis with linearised friction, Gilbert et al. 2006 (read).
    """
    columns, rows = unit_wrenches(restraint, sides_count), friction_rows(restraint, sides_count)
    limit = np.concatenate([tension_limit_kN, contact_limit_kN], axis=-1) / scale_kN
    problem = (columns, rows, fixed_kN / scale_kN, scaled_kN / scale_kN, limit)
    least, (value, velocity, status) = _in_parts(*problem, aim=1.0)[0][:, -1], _in_parts(*problem, aim=-1.0)
    stands = least <= SLACK_RATIO
    value[~stands] = np.nan
    chains, contacts = len(restraint.on_load_m), len(restraint.contact_m)
    return Collapse(
        multiplier_ratio=value[:, -1],
        tension_kN=value[:, :chains] * scale_kN,
        contact_kN=value[:, chains : chains + contacts] * scale_kN,
        friction_kN=friction_kN(restraint, value[:, chains + contacts : -1] * scale_kN),
        velocity_ratio=velocity,
        status=tuple(name if ok or name == "not solved" else FALLEN for name, ok in zip(status, stands, strict=True)),
    )


def mechanism(velocity_ratio: Array, radius_m: float, height_m: float) -> str:
    """Name of the motion at collapse: the largest of sliding, turning about the vertical, and tipping.

    |v_xy| of the unit where it stands, |omega_z| r, |omega_xy| r; virtual velocity (6,) about the centre of mass, which
    lies height_m above the pads, r the radius of the support.
    Source: duality of the static and the kinematic theorem (read).
    """
    v_x, v_y, _, turn_x, turn_y, turn_z = velocity_ratio
    sizes = {
        "sliding": np.hypot(v_x - height_m * turn_y, v_y + height_m * turn_x),
        "turning": abs(turn_z) * radius_m,
        "tipping": np.hypot(turn_x, turn_y) * radius_m,
    }
    return max(sizes, key=lambda name: sizes[name])


def friction_kN(restraint: Restraint, along_sides_kN: Array) -> Array:
    """Friction of each contact on the load, from its parts along the sides of the friction polygon.

    f = sum_k f_k t_k; parts (b, contacts times sides), result (b, contacts, 3).
    Source: linearised Coulomb friction, statics (read).
    """
    contacts = len(restraint.contact_m)
    parts_kN = along_sides_kN.reshape(len(along_sides_kN), contacts, -1)
    fans = np.stack([fan_ratio(normal, parts_kN.shape[-1]) for normal in restraint.normal_ratio])
    return np.asarray(np.einsum("bps,psx->bpx", parts_kN, fans), dtype=float)


def unit_wrenches(restraint: Restraint, sides_count: int = SIDES_COUNT) -> Array:
    """Wrench of a unit of each unknown: chain tensions, contact forces, friction forces; (6, unknowns).

    Source: statics, wrench_kN (read).
    """
    about_m = restraint.reference_m
    chains = wrench_kN(restraint.pull_ratio, restraint.on_load_m, about_m)
    contacts = wrench_kN(restraint.normal_ratio, restraint.contact_m, about_m)
    fans = [
        wrench_kN(fan_ratio(normal, sides_count), np.broadcast_to(point, (sides_count, 3)), about_m)
        for normal, point in zip(restraint.normal_ratio, restraint.contact_m, strict=True)
    ]
    return np.concatenate([chains, contacts, *fans]).T


def friction_rows(restraint: Restraint, sides_count: int = SIDES_COUNT) -> Array:
    """Sum of friction forces less mu N is at most 0, one row a contact; (p, unknowns).

    Source: linearised Coulomb friction, statics (read).
    """
    count, contacts = len(restraint.on_load_m), len(restraint.contact_m)
    normal = -np.diag(restraint.friction_ratio)
    friction = np.kron(np.eye(contacts), np.ones(sides_count))
    return np.concatenate([np.zeros((contacts, count)), normal, friction], axis=1)


def _in_parts(
    columns: Array, rows: Array, fixed: Array, scaled: Array, limit: Array, *, aim: float
) -> tuple[Array, Array, list[Status]]:
    """Solve all problems, some together; the multiplier is least for aim 1 and largest for aim -1."""
    cuts = [slice(k, k + TOGETHER_COUNT) for k in range(0, len(fixed), TOGETHER_COUNT)]
    parts = [_solved(columns, rows, fixed[cut], scaled[cut], limit[cut], aim=aim) for cut in cuts]
    return (
        np.concatenate([part[0] for part in parts]),
        np.concatenate([part[1] for part in parts]),
        [name for part in parts for name in part[2]],
    )


def _solved(
    columns: Array, rows: Array, fixed: Array, scaled: Array, limit: Array, *, aim: float
) -> tuple[Array, Array, list[Status]]:
    """Unknowns, virtual velocity and status of each problem; if one of many has no solution, each alone."""
    count, unknowns = len(fixed), columns.shape[1] + 1
    status, found, velocity = _solved_together(columns, rows, fixed, scaled, limit, aim=aim)
    if status == 0:
        return found.reshape(count, unknowns), velocity.reshape(count, 6), [STATUS[0]] * count
    if count > 1:
        alone = [_solved(columns, rows, fixed[k, None], scaled[k, None], limit[k, None], aim=aim) for k in range(count)]
        values, velocities = (np.concatenate([part[n] for part in alone]) for n in (0, 1))
        return values, velocities, [part[2][0] for part in alone]
    none = np.full((1, unknowns), np.nan)
    none[0, -1] = np.inf if status == 3 else np.nan
    return none, np.full((1, 6), np.nan), [STATUS.get(status, "not solved")]


def _solved_together(
    columns: Array, rows: Array, fixed: Array, scaled: Array, limit: Array, *, aim: float
) -> tuple[int, Array, Array]:
    """Problems side by side in one block matrix: status, unknowns, virtual velocity."""
    count, unknowns = len(fixed), columns.shape[1] + 1
    balance = np.concatenate([np.broadcast_to(columns, (count, *columns.shape)), scaled[:, :, None]], axis=2)
    slip = np.zeros((count, len(rows), unknowns))
    slip[:, :, :-1] = rows
    high = np.full((count, unknowns), np.inf)
    high[:, : limit.shape[1]] = limit
    result = linprog(  # type: ignore[call-overload]  # the stubs know no sparse matrix
        np.tile(aim * np.eye(unknowns)[-1], count),
        A_ub=_side_by_side(slip),
        b_ub=np.zeros(count * len(rows)),
        A_eq=_side_by_side(balance),
        b_eq=-fixed.ravel(),
        bounds=np.stack([np.zeros(high.size), high.ravel()], axis=-1),
        method="highs",
    )
    if result.status != 0:
        return int(result.status), np.empty(0), np.empty(0)
    return 0, np.asarray(result.x), np.asarray(result.eqlin.marginals)


def _side_by_side(blocks: Array) -> csc_array:
    """Block-diagonal matrix of equal blocks (b, rows, columns)."""
    block, row, column = np.nonzero(blocks)
    count, rows, columns = blocks.shape
    place = (block * rows + row, block * columns + column)
    return csc_array(coo_array((blocks[block, row, column], place), shape=(count * rows, count * columns)))
