"""The resultant of all actions on trailer and load, and where it meets the ground."""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from shared.arrays import Array
from shared.units import STANDARD_GRAVITY_MPS2
from transport.trailer.polygon import Planes

__all__ = [
    "Actions",
    "Body",
    "centrifugal_range_mps2",
    "combined_centre_m",
    "leaned_gradient",
    "least_at_rest_kNm",
    "least_place",
    "plan_shift_m",
    "wind_shift_m",
]


class Body(NamedTuple):
    """Trailer and unit as one body, in each state of its mass; height above the ground."""

    mass_t: Array  # (state,)
    centre_m: Array  # (state, 2)
    height_m: Array  # (state,)
    tolerance_m: Array  # (state,), radius in plan
    amplification_ratio: Array  # (state,), of every sideways action


class Actions(NamedTuple):
    """Ranges of force per unit mass along the deck, and the least and greatest normal to it over g; all (station,)."""

    forward_mps2: tuple[Array, Array]
    left_mps2: tuple[Array, Array]
    normal_ratio: Array
    heaviest_ratio: Array | float = 1.0


def combined_centre_m(mass_t: Array, centre_m: Array) -> Array:
    """Centre of mass of several bodies: sum(m_i c_i) / sum(m_i).

    Shapes: mass (..., body), centre (..., body, 3) or (body, 3), result (..., 3). Source: statics.
    """
    return np.asarray((mass_t[..., None] * centre_m).sum(axis=-2) / mass_t.sum(axis=-1)[..., None])


def plan_shift_m(height_m: ArrayLike, force_mps2: ArrayLike, gravity_mps2: float = STANDARD_GRAVITY_MPS2) -> Array:
    """Shift of the resultant on the ground by a force along the deck: e = h a / g.

    `force_mps2` is force over mass: -g sin(tilt), the inertia of braking, v^2 / R. Shapes broadcast; metres.
    Source: statics, moments about the ground.
    """
    return np.asarray(np.asarray(height_m) * np.asarray(force_mps2) / gravity_mps2)


def wind_shift_m(moment_kNm: ArrayLike, mass_t: ArrayLike, gravity_mps2: float = STANDARD_GRAVITY_MPS2) -> Array:
    """Shift of the resultant on the ground by a wind moment: e = M / (m g).

    Shapes broadcast; metres. Source: statics, moments about the ground.
    """
    return np.asarray(np.asarray(moment_kNm) / (np.asarray(mass_t) * gravity_mps2))


def centrifugal_range_mps2(
    speed_mps: ArrayLike, curvature_per_m: ArrayLike, allowance_per_m: ArrayLike
) -> tuple[Array, Array]:
    """Least and greatest centrifugal force per unit mass towards the left: -v^2 kappa, a left bend pushes right.

    The range holds a straight road with the same allowance, and 0: the convoy may stand.
    Shapes: all (station,), m/s2. Source: kinematics.
    """
    square, curvature = np.square(np.asarray(speed_mps, dtype=float)), np.asarray(curvature_per_m, dtype=float)
    reach = np.asarray(allowance_per_m, dtype=float)
    right, left = np.maximum(curvature, 0.0) + reach, np.maximum(-curvature, 0.0) + reach
    return np.asarray(-square * right), np.asarray(square * left)


def leaned_gradient(planes: Planes, body: Body) -> tuple[Array, Array]:
    """Parts of n along (plane,) and across (state, plane), the latter times the elastic amplification; 1 if infinite.

    Source: second-order statics of roll_amplification_ratio (memory).
    """
    growth = np.where(np.isinf(body.amplification_ratio), 1.0, body.amplification_ratio)
    return planes.gradient[:, 0], planes.gradient[:, 1] * growth[:, None]


def least_place(planes: Planes, body: Body) -> Array:
    """Least s(c) of the centre of mass within its tolerance, elastic roll included: s(c) - r |n|.

    Shapes: planes.value (state or 1, plane), result (state, plane). Source: plane geometry; tolerance to any side.
    """
    along, across = leaned_gradient(planes, body)
    place = planes.value + along * body.centre_m[:, :1] + across * body.centre_m[:, 1:]
    return np.asarray(place - body.tolerance_m[:, None] * np.hypot(along, across))


def least_at_rest_kNm(planes: Planes, body: Body, actions: Actions) -> Array:
    """Least value of N s(p) without wind, s a plane over the place p where the resultant meets the ground.

    N s(c) - N r |n| + m h min(n . f), sideways parts of n times the elastic amplification; r the tolerance of the
    centre of mass. Where s(c) is negative the greatest weight counts. Shapes: planes.value (state or 1, plane), result
    (state, station, plane); kNm if s is a distance, kN if it is a share. Amplification infinite: -inf, it falls over.
    Source: statics, moments about the ground; least favourable corner of all ranges (practice).
    """
    unstable = np.isinf(body.amplification_ratio)
    along, across = leaned_gradient(planes, body)
    place = least_place(planes, body)[:, None, :]
    weight_kN = (body.mass_t * STANDARD_GRAVITY_MPS2)[:, None, None]
    normal = np.minimum(place * actions.normal_ratio[:, None], place * np.asarray(actions.heaviest_ratio)[..., None])
    forward, left = (np.stack(side)[:, None, :, None] for side in (actions.forward_mps2, actions.left_mps2))
    pushed = np.min(forward * along, axis=0) + np.min(left * across[:, None, :], axis=0)
    value = weight_kN * normal + (body.mass_t * body.height_m)[:, None, None] * pushed
    return np.where(unstable[:, None, None] & ~np.isnan(value), -np.inf, value)
