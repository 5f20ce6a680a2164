"""Wind on the load and on the platform below it, in the frame of the trailer, per unit of gust pressure."""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from shared.arrays import Array
from transport.trailer.polygon import Planes
from transport.trailer.resultant import Body

__all__ = ["Silhouette", "Wind", "facing_area_m2", "force_direction", "least_per_pressure_m3", "wind_moment_m3"]


class Silhouette(NamedTuple):
    """What the wind sees of one body: areas from the front and from the side, and the height of their middle."""

    front_m2: float
    side_m2: float
    height_m: float


class Wind(NamedTuple):
    """Wind per unit pressure: overturning moment (station, wind_from, 2), lift and where it acts (2,)."""

    moment_m3: Array
    lift_m2: float
    lift_at_m: Array


def force_direction(wind_from_deg: ArrayLike, heading_deg: ArrayLike) -> Array:
    """Unit vector of the wind force in the frame of the trailer (x forward, y left).

    rel = D + 180 - h, (cos rel, -sin rel): wind from ahead pushes back, wind from the left pushes right.
    Shapes broadcast, the last axis of the result is x, y. Source: ISO 8855 axes, compass directions (geometry).
    """
    rel = np.radians(np.asarray(wind_from_deg, dtype=float) + 180.0 - np.asarray(heading_deg, dtype=float))
    return np.stack([np.cos(rel), -np.sin(rel)], axis=-1)


def facing_area_m2(direction_ratio: Array, front_m2: float, side_m2: float) -> Array:
    """Area that faces the wind, never less than the true one: |cos rel| A_front + |sin rel| A_side.

    Shapes: direction_ratio (..., 2), result (...).
    Validity: convex bodies, an upper bound. Source: geometry of projections.
    """
    return np.asarray(np.abs(direction_ratio[..., 0]) * front_m2 + np.abs(direction_ratio[..., 1]) * side_m2)


def wind_moment_m3(direction_ratio: Array, force_ratio: float, bodies: tuple[Silhouette, ...]) -> Array:
    """Overturning moment about the ground per unit pressure: sum(c_f A z) along the force direction.

    Shapes: direction_ratio (..., 2), result (..., 2); times a pressure in kPa it is kNm.
    Source: EN 1991-1-4:2005, 5.3 (form of the force coefficient; memory) and statics.
    """
    arms = [facing_area_m2(direction_ratio, body.front_m2, body.side_m2) * body.height_m for body in bodies]
    return np.asarray(force_ratio * np.sum(arms, axis=0)[..., None] * direction_ratio)


def least_per_pressure_m3(planes: Planes, body: Body, wind: Wind) -> Array:
    """Change of N s(p) per unit of gust pressure in the bad sense; help from the wind is not counted.

    min(n . M, 0) - L max(s(p_lift), 0), sideways parts times the elastic amplification.
    Shapes: planes.value (state or 1, plane), result (state, station, wind_from, plane), never above 0, NaN kept.
    Source: statics; favourable parts of a variable action left out (practice).
    """
    growth = np.where(np.isinf(body.amplification_ratio), 1.0, body.amplification_ratio)
    along, across = planes.gradient[:, 0], planes.gradient[:, 1] * growth[:, None]
    turned = wind.moment_m3[..., :1] * along + wind.moment_m3[..., 1:] * across[:, None, None, :]
    at_lift = planes.value + along * wind.lift_at_m[0] + across * wind.lift_at_m[1]
    return np.asarray(np.minimum(turned, 0.0) - wind.lift_m2 * np.maximum(at_lift, 0.0)[:, None, None, :])
