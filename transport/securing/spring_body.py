"""A rigid body with six degrees of freedom on springs: where it comes to rest under its weight and a push.

Many problems (b) are solved side by side by Newton's method with the multiplier of the push as seventh unknown, so that
either the multiplier or the movement along the push may be given. Forces in kN, moments in kNm about the centre.
"""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from shared.arrays import Array
from transport.securing.chains import length_m
from transport.securing.contact_spring import chain_spring, contact_spring, normal_kN, tension_kN

__all__ = ["Body", "Rest", "Springs", "chain_forces_kN", "chain_lengths_m", "contact_forces_kN", "rest", "unmoved"]

ITERATIONS_COUNT = 30
BALANCE_RATIO = 1e-8
SOFT_RATIO = 1e-7
HALVINGS_COUNT = 6


@dataclass(frozen=True)
class Springs:
    """Chains (n) from the load to the deck and contacts (p), the same in every problem."""

    on_load_m: Array
    on_deck_m: Array
    rate_kN_per_m: Array
    pretension_kN: Array
    contact_m: Array
    normal_ratio: Array
    friction_ratio: Array
    stiffness_kN_per_m: tuple[float, float]


class Body(NamedTuple):
    """What differs between problems: centre of mass, weight on the deck, push, (b, 3); chain lengths at T0, (b, n)."""

    centre_m: Array
    weight_kN: Array
    push_kN: Array
    length_m: Array


class Rest(NamedTuple):
    """Where the body is: movement (b, 3), turn (b, 3, 3), multiplier (b,); of contacts movement, friction (b, p, 3)."""

    moved_m: Array
    turn_ratio: Array
    multiplier_ratio: Array
    contact_moved_m: Array
    friction_kN: Array


def unmoved(springs: Springs, body: Body) -> Rest:
    """The body before its weight acts.

    Source: start of the incremental solution (practice).
    """
    count = len(body.centre_m)
    still = np.zeros((count, len(springs.contact_m), 3))
    return Rest(np.zeros((count, 3)), np.tile(np.eye(3), (count, 1, 1)), np.zeros(count), still, still)


def rest(springs: Springs, body: Body, start: Rest, control: Array, ahead_m: Array) -> tuple[Rest, NDArray[np.bool_]]:
    """Next place of rest after the one before it, and where it was found.

    sum F + w + lambda p = 0, sum s x F = 0, control . d(moved, lambda) = ahead; control (b, 4), ahead (b,). Where it is
    not found, NaN or not balanced to 1e-8 of the push, the place returned must not be used.
    Source: Newton's method with displacement control, Batoz and Dhatt 1979 (memory).
    """
    allowed_kN = BALANCE_RATIO * np.linalg.norm(body.push_kN, axis=-1)
    now, lacking_kN, tangent = _guess(springs, body, start, control, ahead_m)
    for _ in range(ITERATIONS_COUNT):
        missing_kN = np.linalg.norm(lacking_kN, axis=-1)
        found = missing_kN <= allowed_kN
        going = ~found & np.isfinite(missing_kN)
        if not going.any():
            break
        step = _newton(tangent, body, control, lacking_kN) * going[:, None]
        for _ in range(HALVINGS_COUNT):
            after, lacking_kN, tangent = _balance(springs, body, start, _moved(now, step))
            worse = going & ~(np.linalg.norm(lacking_kN, axis=-1) < missing_kN)
            if not worse.any():
                break
            step[worse] *= 0.5
        now = after
    return now, found


def chain_forces_kN(springs: Springs, body: Body, at: Rest) -> Array:
    """Tension of each chain in a place of rest, (b, n).

    Source: contact_spring.tension_kN, statics (read).
    """
    lengths_m = chain_lengths_m(springs, body, at)
    return tension_kN(lengths_m, body.length_m, springs.rate_kN_per_m, springs.pretension_kN)


def chain_lengths_m(springs: Springs, body: Body, at: Rest) -> Array:
    """Length of each chain in a place of rest, (b, n).

    Source: geometry (read).
    """
    points_m = _arms_m(springs, body, at) + (body.centre_m + at.moved_m)[:, None]
    return length_m(points_m[:, : len(springs.on_load_m)], springs.on_deck_m)


def contact_forces_kN(springs: Springs, at: Rest) -> Array:
    """Normal force of each contact in a place of rest, (b, p).

    Source: contact_spring.normal_kN, statics (read).
    """
    return normal_kN(np.sum(at.contact_moved_m * springs.normal_ratio, axis=-1), springs.stiffness_kN_per_m[0])


def _arms_m(springs: Springs, body: Body, at: Rest) -> Array:
    """From the centre of mass to each chain and contact, turned with the body; (b, n + p, 3)."""
    points_m = np.concatenate([springs.on_load_m, springs.contact_m])
    return np.asarray((points_m - body.centre_m[:, None]) @ np.swapaxes(at.turn_ratio, -1, -2), dtype=float)


def _balance(springs: Springs, body: Body, start: Rest, now: Rest) -> tuple[Rest, Array, Array]:
    """The place with its contacts up to date, the wrench out of balance (b, 6) and its tangent (b, 6, 6)."""
    arm_m, chains = _arms_m(springs, body, now), len(springs.on_load_m)
    points_m = arm_m + (body.centre_m + now.moved_m)[:, None]
    pull_kN, pull_stiffness = chain_spring(
        springs.on_deck_m - points_m[:, :chains], body.length_m, springs.rate_kN_per_m, springs.pretension_kN
    )
    moved_m = points_m[:, chains:] - springs.contact_m
    shift_m = moved_m - start.contact_moved_m
    level_m = shift_m - np.sum(shift_m * springs.normal_ratio, axis=-1)[..., None] * springs.normal_ratio
    push_kN, push_stiffness, friction_kN = contact_spring(
        moved_m,
        start.friction_kN - springs.stiffness_kN_per_m[1] * level_m,
        springs.normal_ratio,
        springs.friction_ratio,
        springs.stiffness_kN_per_m,
    )
    force_kN = np.concatenate([pull_kN, push_kN], axis=1)
    lacking, tangent = _wrench(arm_m, force_kN, np.concatenate([pull_stiffness, push_stiffness], axis=1))
    lacking[:, :3] += body.weight_kN + now.multiplier_ratio[:, None] * body.push_kN
    tangent -= SOFT_RATIO * springs.stiffness_kN_per_m[0] * np.eye(6)
    return now._replace(contact_moved_m=moved_m, friction_kN=friction_kN), lacking, tangent


def _wrench(arm_m: Array, force_kN: Array, stiffness: Array) -> tuple[Array, Array]:
    """Sum of forces at arms s and its change with the body's movement: J'F and -J'SJ + [F][s], J = [I, -[s]]."""
    count, points, _ = arm_m.shape
    arm_cross, force_cross = _cross(arm_m), _cross(force_kN)
    motion = np.concatenate([np.broadcast_to(np.eye(3), arm_cross.shape), -arm_cross], axis=-1)
    turned = np.swapaxes(motion.reshape(count, 3 * points, 6), -1, -2)
    tangent = -turned @ (stiffness @ motion).reshape(count, 3 * points, 6)
    tangent[:, 3:, 3:] += np.sum(force_cross @ arm_cross, axis=1)
    return (turned @ force_kN.reshape(count, 3 * points, 1))[..., 0], tangent


def _cross(vector: Array) -> Array:
    """Matrix [v] with [v] a = v x a; (..., 3, 3)."""
    matrix = np.zeros((*vector.shape, 3))
    matrix[..., [2, 0, 1], [1, 2, 0]] = vector
    matrix[..., [1, 2, 0], [2, 0, 1]] = -vector
    return matrix


def _guess(springs: Springs, body: Body, start: Rest, control: Array, ahead_m: Array) -> tuple[Rest, Array, Array]:
    """Two guesses, whichever lacks less balance: the body slides along the push, or moves as if its contacts stuck."""
    slid = _balance(springs, body, start, start._replace(moved_m=start.moved_m + ahead_m[:, None] * control[:, :3]))
    _, lacking_kN, tangent = _balance(springs, body, start, start)
    stuck_step = _newton(tangent, body, control, lacking_kN, ahead_m)
    stuck = _balance(springs, body, start, _moved(start, stuck_step))
    sticks = np.linalg.norm(stuck[1], axis=-1) < np.linalg.norm(slid[1], axis=-1)
    place = Rest(*(np.where(_over(sticks, a), a, b) for a, b in zip(stuck[0], slid[0], strict=True)))
    lacking_kN, tangent = (np.where(_over(sticks, a), a, b) for a, b in zip(stuck[1:], slid[1:], strict=True))
    return place, lacking_kN, tangent


def _over(choice: NDArray[np.bool_], like: Array) -> NDArray[np.bool_]:
    return choice.reshape(-1, *[1] * (like.ndim - 1))


def _newton(tangent: Array, body: Body, control: Array, lacking_kN: Array, ahead_m: Array | float = 0.0) -> Array:
    """Change of movement, turn and multiplier that would restore balance, ahead_m further along the push; (b, 7)."""
    matrix = np.zeros((len(tangent), 7, 7))
    matrix[:, :6, :6], matrix[:, :3, 6] = tangent, body.push_kN
    matrix[:, 6, :3], matrix[:, 6, 6] = control[:, :3], control[:, 3]
    right = np.concatenate([-lacking_kN, np.broadcast_to(ahead_m, (len(tangent),))[:, None]], axis=-1)
    sound = np.isfinite(matrix).all(axis=(1, 2)) & np.isfinite(right).all(axis=1)
    matrix[~sound], right[~sound] = np.eye(7), 0.0
    return np.asarray(np.linalg.solve(matrix, right[..., None])[..., 0], dtype=float)


def _moved(now: Rest, step: Array) -> Rest:
    return now._replace(
        moved_m=now.moved_m + step[:, :3],
        turn_ratio=Rotation.from_rotvec(step[:, 3:6]).as_matrix() @ now.turn_ratio,
        multiplier_ratio=now.multiplier_ratio + step[:, 6],
    )
