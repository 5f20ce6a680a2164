"""Room between the cover and the concave mirror, over its whole radius, and the gust that uses it up."""

import numpy as np

from shared.arrays import Array
from transport.cover.pressure import largest_pressure_Pa
from transport.cover.sag import Membrane, pressure_Pa, sag_m, shape_ratio, unstretched

__all__ = ["bearable_Pa", "dead_pressure_Pa", "gap_m", "gust_pressure_Pa", "sagitta_m"]


def sagitta_m(radius_m: float | Array, curvature_radius_m: float) -> Array:
    """Depth of a spherical bowl: s = R_c - sqrt(R_c^2 - r^2), for r up to R_c.

    Source: geometry (memory)
    """
    return np.asarray(curvature_radius_m - np.sqrt(curvature_radius_m**2 - np.square(radius_m)))


def gap_m(radius_m: Array, mirror_radius_m: float, curvature_radius_m: float, height_m: float) -> Array:
    """Height of the flat cover above the mirror at radius r: c = h0 + s(a) - s(r), h0 above its edge.

    Source: geometry (memory)
    """
    return height_m + sagitta_m(mirror_radius_m, curvature_radius_m) - sagitta_m(radius_m, curvature_radius_m)


def dead_pressure_Pa(
    areal_mass_kg_per_m2: float,
    air_mass_kg_per_m2: float,
    *,
    gravity_mps2: float,
    vertical_mps2: Array,
    dynamic_factor_ratio: float,
) -> Array:
    """Pressure of self weight and of the shaking deck: p = m g + DAF (m + m_air) |a_v|.

    Source: statics; air carried by the membrane (own)
    """
    shaken = dynamic_factor_ratio * (areal_mass_kg_per_m2 + air_mass_kg_per_m2) * np.abs(vertical_mps2)
    return areal_mass_kg_per_m2 * gravity_mps2 + shaken


def bearable_Pa(room_m: float | Array, radius_ratio: float | Array, membrane: Membrane) -> Array:
    """Even pressure whose sag fills the room at x = r / R; not below that of pretension alone.

    Source: pressure_Pa and shape_ratio (practice)
    """
    plain = unstretched(membrane)
    kinds = [pressure_Pa(room_m / shape_ratio(radius_ratio, kind), kind) for kind in (membrane, plain)]
    return np.maximum(*kinds)


def gust_pressure_Pa(
    room_m: Array,
    radius_ratio: Array,
    membrane: Membrane,
    *,
    dead_Pa: Array,
    down_ratio: float,
    gradient_ratio: float,
) -> Array:
    """Velocity pressure at which the sag fills the room at x = r / R; 0 if it is filled without wind.

    Sag(c q + p_dead) + gradient sag(c1 q) <= room; the least over x governs.
    Shapes: room and x (x), dead load (n, 1), tension scalar or (n, 1), result (n, x).
    Source: theory of membranes (practice)
    """
    upper = (bearable_Pa(np.maximum(room_m, 0.0), radius_ratio, membrane) - dead_Pa) / down_ratio

    def holds(q: Array) -> Array:
        sag = sag_m(radius_ratio, dead_Pa + down_ratio * q, gradient_ratio * q, membrane)
        return np.asarray(sag <= room_m)

    return largest_pressure_Pa(holds, upper)
