"""The limit states of the cover: for each the gust it bears, its utilisation in still air, clause and remedy."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from shared.arrays import Array
from shared.tables import figure
from shared.units import STANDARD_GRAVITY_MPS2
from transport.cover.clearance import dead_pressure_Pa, gap_m, gust_pressure_Pa
from transport.cover.divergence import circle_speed_mps, local_speed_ratio, sail_speed_mps
from transport.cover.fabric import allowable_tension_N_per_m, fabric_pressure_Pa
from transport.cover.fastening import fastening_pressure_Pa
from transport.cover.frequency import added_mass_kg_per_m2, membrane_frequency_hz, watch_speed_mps
from transport.cover.hem import flutter_speed_mps
from transport.cover.pressure import downward_ratio, gust_mps
from transport.cover.sag import sag_m
from transport.cover.situation import Situation
from transport.cover.uplift import rim_capacity_N_per_m, uplift_pressure_Pa

__all__ = [
    "LIMIT_STATES",
    "LimitState",
    "clearance_by_radius_mps",
    "dead_Pa",
    "frequency_hz",
    "radius_m",
    "rim_N_per_m",
    "room_m",
    "watch_mps",
]

RADII_COUNT = 41

Limit = Callable[[Situation, Array], Array]


@dataclass(frozen=True)
class LimitState:
    """A named check: the gust it bears, its utilisation without wind, where it stands, what would raise it."""

    name: str
    gust_mps: Limit
    still_ratio: Limit
    clause: str
    remedy: str


def radius_m(cover: Situation) -> Array:
    """Radii over the mirror at which the room is looked at, centre and edge included."""
    return np.linspace(0.0, cover.mirror_radius_m, RADII_COUNT)


def room_m(cover: Situation) -> Array:
    """Room for the sag at each radius: gap less ring sag and margin, m.

    Source: zero contact, margin (practice)
    """
    gap = gap_m(radius_m(cover), cover.mirror_radius_m, cover.curvature_radius_m, cover.height_m)
    return gap - cover.kept_free_m


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


def rim_N_per_m(cover: Situation) -> float:
    """Allowable line force at the rim, shared by the neighbours of a lost fastening.

    Source: divisor on the working capacity (practice)
    """
    divisor = figure("cover_fastening_safety_ratio") * cover.fastener_load_ratio
    return rim_capacity_N_per_m(cover.fastener_capacity_N, cover.pitch_m, divisor)


def _clearance(cover: Situation, vertical_mps2: Array) -> Array:
    hard = _contact(cover, vertical_mps2, figure("cover_dynamic_factor_ratio"))
    soft = _contact(cover, vertical_mps2, figure("cover_soft_dynamic_factor_ratio"))
    lively = frequency_hz(cover) >= figure("cover_soft_frequency_hz")
    return np.minimum(hard, np.where(lively, np.maximum(watch_mps(cover), soft), soft))


def _contact(cover: Situation, vertical_mps2: Array, dynamic_factor_ratio: float) -> Array:
    return np.asarray(np.min(clearance_by_radius_mps(cover, vertical_mps2, dynamic_factor_ratio), axis=-1))


def _clearance_still(cover: Situation, vertical_mps2: Array) -> Array:
    load_Pa = dead_Pa(cover, vertical_mps2, figure("cover_soft_dynamic_factor_ratio"))[..., None]
    sag = sag_m(radius_m(cover) / cover.radius_m, load_Pa, np.zeros(1), cover.slack)
    return np.asarray(np.max(sag / room_m(cover), axis=-1))


def _divergence(cover: Situation, _vertical_mps2: Array) -> Array:
    air, tension = cover.air_density_kg_per_m3, cover.tension_low_N_per_m
    if cover.underside == "closed":
        speed = circle_speed_mps(tension, cover.radius_m, air, local_speed_ratio(cover.pressure.external_ratio))
    else:
        speed = sail_speed_mps(tension, 2.0 * cover.radius_m, air)
    return speed / figure("cover_divergence_safety_ratio")


def _uplift(cover: Situation, _vertical_mps2: Array) -> Array:
    pressure = uplift_pressure_Pa(
        rim_N_per_m(cover), cover.pressure.up_ratio, cover.radius_m, cover.wind_factor_ratio
    )
    return gust_mps(pressure, cover.air_density_kg_per_m3)


def _fastening(cover: Situation, _vertical_mps2: Array) -> Array:
    if cover.fasteners_missing_count > 0:
        return np.zeros(())
    known, factor = cover.pressure, cover.wind_factor_ratio
    pressure = fastening_pressure_Pa(
        rim_N_per_m(cover), cover.taut, factor * known.up_ratio, factor * known.fastener_ratio
    )
    return gust_mps(pressure, cover.air_density_kg_per_m3)


def _fastening_still(cover: Situation, _vertical_mps2: Array) -> Array:
    gate = np.inf if cover.fasteners_missing_count > 0 else 0.0
    return np.asarray(np.maximum(cover.tension_high_N_per_m / rim_N_per_m(cover), gate))


def _fastening_lost(cover: Situation, vertical_mps2: Array) -> Array:
    return _fastening(cover.one_lost(), vertical_mps2)


def _fastening_lost_still(cover: Situation, vertical_mps2: Array) -> Array:
    return _fastening_still(cover.one_lost(), vertical_mps2)


def _fabric(cover: Situation, _vertical_mps2: Array) -> Array:
    load = figure("cover_soft_dynamic_factor_ratio") * cover.pressure.rim_ratio
    pressure = fabric_pressure_Pa(allowable_tension_N_per_m(cover.strength_N_per_m), cover.taut)
    return gust_mps(pressure / load, cover.air_density_kg_per_m3)


def _fabric_still(cover: Situation, _vertical_mps2: Array) -> Array:
    return np.asarray(cover.tension_high_N_per_m / allowable_tension_N_per_m(cover.strength_N_per_m))


def _hem(cover: Situation, _vertical_mps2: Array) -> Array:
    if not cover.free_hem_m <= figure("cover_hem_length_m"):
        return np.zeros(())
    air = cover.air_density_kg_per_m3
    flutter = flutter_speed_mps(cover.free_hem_m, cover.areal_mass_kg_per_m2, cover.bending_stiffness_Nm, air)
    roped = sail_speed_mps(cover.tension_low_N_per_m, cover.hem_span_m, air)
    return np.minimum(flutter, roped) / figure("cover_divergence_safety_ratio")


def _hem_still(cover: Situation, _vertical_mps2: Array) -> Array:
    return np.asarray(0.0 if cover.free_hem_m <= figure("cover_hem_length_m") else np.inf)


def _vents(cover: Situation, _vertical_mps2: Array) -> Array:
    return np.asarray(np.inf if cover.vented else 0.0)


def _vents_still(cover: Situation, _vertical_mps2: Array) -> Array:
    return np.asarray(0.0 if cover.vented else np.inf)


def _nothing_still(_cover: Situation, _vertical_mps2: Array) -> Array:
    return np.zeros(())


COEFFICIENTS = "EN 1991-1-4 table 7.2 and 7.2.9(6), BS 6399-2 table 13"

LIMIT_STATES = (
    LimitState(
        "cover clearance",
        _clearance,
        _clearance_still,
        f"zero contact, practice; {COEFFICIENTS}",
        "raise tension_min_kN_per_m or height_above_mirror_edge_m; prove the ring stiff",
    ),
    LimitState(
        "cover divergence",
        _divergence,
        _nothing_still,
        "theory of membranes and sails, practice factor 1.5",
        "raise tension_min_kN_per_m; close the underside",
    ),
    LimitState(
        "cover uplift",
        _uplift,
        _nothing_still,
        f"{COEFFICIENTS}; EN 1990 table A1.2(B)",
        "more or stronger fastenings",
    ),
    LimitState(
        "cover fastening",
        _fastening,
        _fastening_still,
        f"{COEFFICIENTS}; EN 1990 table A1.2(B)",
        "replace every missing fastening; more or stronger fastenings; lower tension_max_kN_per_m",
    ),
    LimitState(
        "cover fastening, one lost",
        _fastening_lost,
        _fastening_lost_still,
        f"{COEFFICIENTS}; neighbours x 1.5, practice",
        "replace every missing fastening; more or stronger fastenings; lower tension_max_kN_per_m",
    ),
    LimitState(
        "cover fabric",
        _fabric,
        _fabric_still,
        f"strip strength / 5, from memory; {COEFFICIENTS}",
        "stronger fabric; lower tension_max_kN_per_m",
    ),
    LimitState(
        "cover hem",
        _hem,
        _hem_still,
        "flutter of a clamped plate, practice factor 1.5; no free hem above 50 mm, practice",
        "rope or batten the hem; shorten it; closer fastenings",
    ),
    LimitState(
        "cover vents",
        _vents,
        _vents_still,
        "no sealed cover on a climb, practice",
        "open and clear the vents, then set vented = true",
    ),
)
