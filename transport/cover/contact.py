"""Contact between cover and mirror: the gust that closes the gap, and the speed above which to watch."""

import numpy as np

from shared.arrays import Array
from shared.tables import figure
from shared.units import STANDARD_GRAVITY_MPS2
from transport.cover.clearance import dead_pressure_Pa, gap_m, gust_pressure_Pa
from transport.cover.frequency import added_mass_kg_per_m2, membrane_frequency_hz, watch_speed_mps
from transport.cover.pressure import downward_ratio, gust_mps
from transport.cover.sag import sag_m
from transport.cover.situation import Situation

__all__ = [
    "clearance_by_radius_mps",
    "clearance_mps",
    "clearance_still_ratio",
    "dead_Pa",
    "frequency_hz",
    "radius_m",
    "room_m",
    "watch_mps",
]

RADII_COUNT = 41


def radius_m(cover: Situation) -> Array:
    """Radii over the mirror at which the room is looked at, centre and edge included.

    Source: 41 places (practice)
    """
    return np.linspace(0.0, cover.mirror_radius_m, RADII_COUNT)


def room_m(cover: Situation) -> Array:
    """Room for the sag at each radius: gap less ring sag and margin, at most R / 5, m.

    The cap keeps the bow within the small slopes of the formulas.
    Source: zero contact, margin (practice); theory of membranes (memory)
    """
    gap = gap_m(radius_m(cover), cover.mirror_radius_m, cover.curvature_radius_m, cover.height_m)
    return np.minimum(gap - cover.kept_free_m, figure("cover_small_slope_ratio") * cover.radius_m)


def frequency_hz(cover: Situation) -> Array:
    """Lowest frequency of the cover with its air, at the lowest tension.

    Source: theory of membranes (memory)
    """
    air_kg_per_m2 = added_mass_kg_per_m2(cover.radius_m, cover.air_density_kg_per_m3)
    mass_kg_per_m2 = cover.areal_mass_kg_per_m2 + air_kg_per_m2
    return membrane_frequency_hz(cover.tension_low_N_per_m, mass_kg_per_m2, cover.radius_m)


def watch_mps(cover: Situation) -> Array:
    """Gust above which the cover must be watched: reduced velocity 1.

    Source: screening line (practice)
    """
    return watch_speed_mps(frequency_hz(cover), cover.radius_m)


def dead_Pa(cover: Situation, vertical_mps2: Array, dynamic_factor_ratio: float) -> Array:
    """Pressure of self weight and shaking.

    Source: statics (memory)
    """
    return dead_pressure_Pa(
        cover.areal_mass_kg_per_m2,
        added_mass_kg_per_m2(cover.radius_m, cover.air_density_kg_per_m3),
        gravity_mps2=STANDARD_GRAVITY_MPS2,
        vertical_mps2=vertical_mps2,
        dynamic_factor_ratio=dynamic_factor_ratio,
    )


def clearance_by_radius_mps(cover: Situation, vertical_mps2: Array, dynamic_factor_ratio: float) -> Array:
    """Gust that fills the room, at each radius, for one dynamic factor; shapes (n) to (n, radius).

    Source: theory of membranes (memory); EN 1991-1-4:2005, table 7.2 and 7.2.9(6) (memory)
    """
    known = cover.pressure
    pressure_Pa = gust_pressure_Pa(
        room_m(cover),
        radius_m(cover) / cover.radius_m,
        cover.slack,
        dead_Pa=dead_Pa(cover, vertical_mps2, dynamic_factor_ratio)[..., None],
        down_ratio=downward_ratio(dynamic_factor_ratio, known.down_ratio, known.up_ratio),
        gradient_ratio=dynamic_factor_ratio * known.down_gradient_ratio,
    )
    return gust_mps(pressure_Pa, cover.air_density_kg_per_m3)


def clearance_mps(cover: Situation, vertical_mps2: Array) -> Array:
    """Gust at which the cover comes within its margin of the mirror, n places; dynamic factor 1.5 or 2.

    U = min(U_1.5, max(U_watch, U_2)); below 1 Hz U = U_2, since a gust then acts as a step.
    Source: rule for the dynamic factor (practice)
    """
    hard = _contact_mps(cover, vertical_mps2, figure("cover_dynamic_factor_ratio"))
    soft = _contact_mps(cover, vertical_mps2, figure("cover_soft_dynamic_factor_ratio"))
    lively = frequency_hz(cover) >= figure("cover_soft_frequency_hz")
    return np.minimum(hard, np.where(lively, np.maximum(watch_mps(cover), soft), soft))


def clearance_still_ratio(cover: Situation, vertical_mps2: Array) -> Array:
    """Sag without wind over the room for it, at the worst radius.

    Source: theory of membranes (memory)
    """
    load_Pa = dead_Pa(cover, vertical_mps2, figure("cover_soft_dynamic_factor_ratio"))[..., None]
    sag = sag_m(radius_m(cover) / cover.radius_m, load_Pa, np.zeros(1), cover.slack)
    return np.asarray(np.max(sag / room_m(cover), axis=-1))


def _contact_mps(cover: Situation, vertical_mps2: Array, dynamic_factor_ratio: float) -> Array:
    return np.asarray(np.min(clearance_by_radius_mps(cover, vertical_mps2, dynamic_factor_ratio), axis=-1))
