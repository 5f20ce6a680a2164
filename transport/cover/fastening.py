"""One fastening at the rim: the tension of the fabric together with the uplift beside it."""

import numpy as np

from shared.arrays import Array
from shared.tables import figure
from transport.cover.pressure import largest_pressure_Pa
from transport.cover.sag import Membrane, centre_sag_m
from transport.cover.uplift import rim_uplift_N_per_m

__all__ = ["edge_tension_N_per_m", "fastening_pressure_Pa", "line_force_N_per_m"]


def edge_tension_N_per_m(load_Pa: float | Array, membrane: Membrane) -> Array:
    """Radial tension at the rim: N = T + (c2 / K^2) Et (w0 / R)^2, w0 the sag of the centre times 1.01.

    Exact without pretension, up to 2 % high otherwise. Source: Foeppl-Hencky membrane (own)
    """
    known = membrane.stretching
    slope = figure("cover_sag_model_ratio") * centre_sag_m(load_Pa, membrane) / membrane.radius_m
    added = known.edge_ratio / known.deflection_ratio**2 * membrane.stiffness_N_per_m * slope**2
    return np.asarray(membrane.tension_N_per_m + added)


def line_force_N_per_m(pressure_Pa: Array, membrane: Membrane, up_ratio: float, fastener_ratio: float) -> Array:
    """Force per length of rim at one fastening: sqrt(N(c_up q)^2 + (c_1 q R / 2)^2).

    The whole cover stretches under c_up, one fastening feels the local c_1.
    Source: statics (memory); EN 1991-1-4:2005, table 7.2 (memory)
    """
    vertical = rim_uplift_N_per_m(pressure_Pa, fastener_ratio, membrane.radius_m)
    return np.asarray(np.hypot(edge_tension_N_per_m(up_ratio * pressure_Pa, membrane), vertical))


def fastening_pressure_Pa(
    rim_capacity_N_per_m: float, membrane: Membrane, up_ratio: float, fastener_ratio: float
) -> Array:
    """Velocity pressure at which the line force reaches the capacity; 0 if the pretension alone exceeds it.

    Source: statics, by halving (memory)
    """
    upper = np.asarray(2.0 * rim_capacity_N_per_m / (fastener_ratio * membrane.radius_m))

    def holds(pressure_Pa: Array) -> Array:
        force = line_force_N_per_m(pressure_Pa, membrane, up_ratio, fastener_ratio)
        return np.asarray(force <= rim_capacity_N_per_m)

    return largest_pressure_Pa(holds, upper)
